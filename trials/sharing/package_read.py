"""Read a package that may come from anybody: every check before any value.

Nothing is unpacked to the disk, run or unpickled. What a package says of itself is checked against
what is there, in this order: the digest of the whole file, the layout of the archive, the checksum
of every file, every cell of every table, every trace.
"""

from __future__ import annotations

import csv
import hashlib
import io
import os
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import fields
from datetime import datetime
from pathlib import Path
from typing import IO, Any, NoReturn
from uuid import UUID

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from trials.errors import InputError, require
from trials.model import CuttingData, Trial
from trials.model.plain import from_plain
from trials.sharing.package_cells import from_cell, read_json
from trials.sharing.package_format import (
    DESCRIPTION,
    FORMAT,
    NAMES,
    README,
    TABLES,
    TRACE_COLUMNS,
    TRIAL_FILE,
    ContentTable,
    columns_of,
    photo_name,
)
from trials.sharing.package_photos import check_photo
from trials.sharing.package_write import MOST_BYTES, NEEDED, SEAL, SEAL_BYTES, as_written, digest_of
from trials.store import PackedColumn, PackedRow

_MOST_FILES = 100_000
_MOST_DESCRIPTION = 64 << 20
_MOST_ROWS_OF_TRACE = 200_000_000
_LOCAL_HEADER = 30
_PORTION = 1 << 20
MOST_REMARK = 5000
_NOTHING_TAKEN = "Nothing was taken from it. Ask the sender for the package as it was written."


class Package:
    """An opened package whose every byte agrees with its checksums.

    Use `open_package`. Tables are read a row at a time, traces by portions.
    """

    def __init__(self, path: Path, archive: zipfile.ZipFile, digest: str) -> None:
        self._archive = archive
        self.path = path
        self.digest = digest
        self.description = self._describe()
        own = self.description["holewise"]
        self.removed = tuple(own.get("removed", ()))
        self.version = str(own.get("version", ""))
        licences = self.description.get("licenses") or [{}]
        self.licence = str(licences[0].get("title", licences[0].get("name", "")))
        found = read_json(self._bytes(TRIAL_FILE), f"{path.name}, {TRIAL_FILE}")
        try:
            self.trial_uuid = UUID(found["uuid"])
            self.created_utc: str | None = found["created_utc"]
            self.plain: dict[str, Any] = dict(found["trial"])
        except (KeyError, TypeError, ValueError, AttributeError):
            self._refuse(TRIAL_FILE, "not a trial")
        self.plain["drills"] = [
            {name: value for name, value in row.items() if value is not None}
            for row in self.rows("drills")
        ]

    @property
    def files(self) -> tuple[str, ...]:
        """Names of the files inside."""
        return tuple(self._archive.namelist())

    def trial(self) -> Trial:
        """The trial, where nothing that it needs was removed.

        Raises:
            InputError: a value that the model refuses.
        """
        return from_plain(Trial, self.plain, f"{self.path.name}, {TRIAL_FILE}")

    def created(self) -> datetime | None:
        """When the trial was begun; None where that was removed."""
        column = PackedColumn("created_utc", "time", True)
        text = self.created_utc or ""
        found: datetime | None = from_cell(text, column, f"{self.path.name}, {TRIAL_FILE}")
        return found

    def rows(self, table: ContentTable) -> Iterator[PackedRow]:
        """Rows of a table, every cell checked; none where the package has no such table."""
        name = f"{table}.csv"
        if name not in self.files:
            return
        columns = {column.name: column for column in columns_of(table, self.removed)}
        with self._archive.open(name) as raw:
            text = io.TextIOWrapper(raw, encoding="utf-8", newline="")
            sheet = csv.reader(text, strict=True)
            try:
                header = next(sheet, [])
                if not set(header) <= set(columns) or len(set(header)) != len(header):
                    self._refuse(name, f"columns {', '.join(header)}", ", ".join(columns))
                for cells in sheet:
                    where = f"{self.path.name}, {name}, line {sheet.line_num}"
                    require(len(cells) == len(header), where, f"{len(cells)} cells",
                            f"{len(header)}")  # fmt: skip
                    yield {
                        one: from_cell(cell, columns[one], where)
                        for one, cell in zip(header, cells, strict=True)
                    }
            except (csv.Error, UnicodeDecodeError) as error:
                self._refuse(name, str(error), "a table in UTF-8")

    def trace_names(self) -> list[str]:
        """Names of the traces inside."""
        return [name for name in self.files if name.startswith("traces/")]

    def copy(self, name: str, to: IO[bytes]) -> str:
        """Write one file to an open one; its SHA-256."""
        digest = hashlib.sha256()
        for part in self.portions(name):
            digest.update(part)
            to.write(part)
        return digest.hexdigest()

    def check_trace(self, name: str, samples: int) -> None:
        """Read a trace through: its columns, as many samples as said, all of them finite.

        Raises:
            InputError: it is not what the package says.
        """
        with self._archive.open(name) as file:
            check_trace(file, f"{self.path.name}, {name}", samples)

    def photo_names(self) -> list[str]:
        """Names of the photos inside."""
        return [name for name in self.files if name.startswith("photos/")]

    def photo_bytes(self, sha256: str) -> bytes:
        """A photo by its checksum."""
        return self._bytes(photo_name(sha256))

    def portions(self, name: str) -> Iterator[bytes]:
        """Any file inside, by portions."""
        with self._archive.open(name) as file:
            while part := file.read(_PORTION):
                yield part

    def checksum(self, name: str) -> str:
        """SHA-256 of a file inside, which was compared with its bytes."""
        found = next(one for one in self.description["resources"] if one["path"] == name)
        return str(found["hash"]).removeprefix("sha256:")

    def _describe(self) -> dict[str, Any]:
        if self._archive.getinfo(DESCRIPTION).file_size > _MOST_DESCRIPTION:
            self._refuse(DESCRIPTION, "too large")
        found: Any = read_json(self._bytes(DESCRIPTION), f"{self.path.name}, {DESCRIPTION}")
        own = found.get("holewise") if isinstance(found, dict) else None
        if not isinstance(own, dict) or own.get("format") != FORMAT:
            version = own.get("version") if isinstance(own, dict) else None
            raise InputError(
                f"{self.path.name}: package of a format that this program does not know",
                got=own.get("format") if isinstance(own, dict) else "none", allowed=str(FORMAT),
                do=f"It was written by version {version}; use that one." if version else None,
            )  # fmt: skip
        listed: dict[str, tuple[Any, Any]] = {}
        resources = found.get("resources")
        if not isinstance(resources, list):
            self._refuse(DESCRIPTION, "no list of resources")
        for resource in resources:
            if not isinstance(resource, dict) or not isinstance(resource.get("path"), str):
                self._refuse(DESCRIPTION, resource, "a resource with its path")
            listed[resource["path"]] = (resource.get("hash"), resource.get("bytes"))
        names = [name for name in self._archive.namelist() if name != DESCRIPTION]
        if sorted(listed) != sorted(names) or len(listed) != len(resources):
            odd = sorted(set(listed) ^ set(names))
            self._refuse(DESCRIPTION, f"other files than it lists: {', '.join(odd)[:200]}")
        for name, (checksum, size) in listed.items():
            if (checksum, size) != self._measured(name):
                self._refuse(name, "bytes that do not agree with its checksum")
        return dict(found)

    def _measured(self, name: str) -> tuple[str, int]:
        digest, size = hashlib.sha256(), 0
        with self._archive.open(name) as file:
            while part := file.read(_PORTION):
                digest.update(part)
                size += len(part)
        return f"sha256:{digest.hexdigest()}", size

    def _bytes(self, name: str) -> bytes:
        if name not in self._archive.namelist():
            self._refuse(name, "no such file")
        if self._archive.getinfo(name).file_size > _MOST_DESCRIPTION:
            self._refuse(name, "too large")
        return self._archive.read(name)

    def _refuse(self, name: str, got: object, allowed: str | None = None) -> NoReturn:
        raise InputError(f"{self.path.name}, {name}", got=got, allowed=allowed, do=_NOTHING_TAKEN)


@contextmanager
def open_package(
    path: Path, *, on_progress: Callable[[float], None] | None = None
) -> Iterator[Package]:
    """Open a package after checking its digest, its layout and the checksum of every file.

    Raises:
        InputError: not a package, changed since it was written, or made to do harm; says what.
    """
    told = on_progress or (lambda _: None)
    try:
        with path.open("rb") as file:
            digest = _check_seal(file, path.name)
            told(0.4)
            try:
                with zipfile.ZipFile(file) as archive:
                    _check_layout(archive, file, path.name)
                    package = Package(path, archive, digest)
                    told(1.0)
                    yield package
            except (zipfile.BadZipFile, NotImplementedError, EOFError, KeyError) as error:
                raise InputError(
                    f"{path.name}: not an archive as Holewise writes it", got=str(error),
                    do=_NOTHING_TAKEN,
                ) from None  # fmt: skip
    except OSError as error:
        raise InputError(
            f"package {path}: cannot be read ({error.strerror})",
            do="Check the name and that you may read it.",
        ) from None


def verify_package(path: Path, *, on_progress: Callable[[float], None] | None = None) -> Package:
    """Check all of a package, every cell and every sample; gives it for its names and figures.

    Raises:
        InputError: the first thing that is wrong with it.
    """
    with open_package(path) as package:
        samples = {row.get("trace"): row["samples"] for row in package.rows("recordings")}
        _check_trace_names(package, set(samples))
        check_answers(package)
        photos = {}
        for table in TABLES:
            for row in package.rows(table):
                if table == "photos":
                    photos[photo_name(str(row["sha256"]))] = row
        _check_photos(package, photos)
        names = package.trace_names()
        for place, name in enumerate(names, 1):
            package.check_trace(name, samples[name])
            if on_progress is not None:
                on_progress(place / len(names))
        return package


def _check_trace_names(package: Package, named: set[Any]) -> None:
    there = set(package.trace_names())
    require(there == named - {None}, f"{package.path.name}, recordings.csv: traces",
            ", ".join(sorted(str(one) for one in there ^ (named - {None})))[:200],
            "the traces that are in the package", _NOTHING_TAKEN)  # fmt: skip


def _check_photos(package: Package, named: dict[str, PackedRow]) -> None:
    there = set(package.photo_names())
    require(there == set(named), f"{package.path.name}, photos.csv: photos",
            ", ".join(sorted(there ^ set(named)))[:200], "the photos that are in the package",
            _NOTHING_TAKEN)  # fmt: skip
    for name, row in named.items():
        size_px = (row["width_px"], row["height_px"])
        place = f"{package.path.name}, {name}"
        check_photo(package.photo_bytes(row["sha256"]), row["sha256"], size_px, place)


def check_answers(package: Package) -> None:
    """Look at remarks and proposals: of runs and drills that there are, within what can be.

    Raises:
        InputError: they are not.
    """
    runs = {row["number"] for row in package.rows("runs")}
    drills = [drill["name"] for drill in package.plain["drills"]]
    for table in ("remarks", "proposals"):
        for line, row in enumerate(package.rows(table), 2):
            where = f"{package.path.name}, {table}.csv, row {line}"
            require(row["run"] is None or row["run"] in runs, f"{where}: run", row["run"],
                    "a run of the package, or empty", _NOTHING_TAKEN)  # fmt: skip
            for text in (row.get("text"), row.get("why")):
                require(len(text or "") <= MOST_REMARK, where, f"{len(text or ''):,} characters",
                        f"at most {MOST_REMARK:,}", _NOTHING_TAKEN)  # fmt: skip
            if table == "proposals":
                require(row["drill"] in drills, f"{where}: drill", row["drill"],
                        ", ".join(drills), _NOTHING_TAKEN)  # fmt: skip
                names = [field.name for field in fields(CuttingData)]
                from_plain(CuttingData, {name: row[name] for name in names}, where)


def check_trace(file: IO[bytes], where: str, samples: int) -> None:
    """Read Parquet samples through by portions; see `Package.check_trace`."""
    try:
        parquet = pq.ParquetFile(file, page_checksum_verification=True, memory_map=False)
        schema, rows = parquet.schema_arrow, parquet.metadata.num_rows
        require(schema.names == list(TRACE_COLUMNS)
                and all(pa.types.is_float64(field.type) for field in schema),
                where, ", ".join(str(field) for field in schema)[:200],
                ", ".join(TRACE_COLUMNS) + " as 64-bit floats")  # fmt: skip
        require(rows == samples and rows <= _MOST_ROWS_OF_TRACE, where, f"{rows:,} samples",
                f"{samples:,}, as recordings.csv says")  # fmt: skip
        largest = max((parquet.metadata.row_group(i).num_rows
                       for i in range(parquet.num_row_groups)), default=0)  # fmt: skip
        require(largest <= 1 << 20, where, f"{largest:,} samples in one group", "at most 1,048,576")
        last_s = -np.inf
        for batch in parquet.iter_batches(65_536):
            time_s = batch.column(0).to_numpy(zero_copy_only=False)
            load_pct = batch.column(1).to_numpy(zero_copy_only=False)
            whole = bool(np.isfinite(time_s).all() and np.isfinite(load_pct).all())
            require(whole, where, "a value that is not finite", "finite times and loads")
            if len(time_s):
                rising = bool(time_s[0] >= last_s and (np.diff(time_s) >= 0).all())
                require(rising, where, "time that runs back", "times in their order")
                last_s = float(time_s[-1])
    except (pa.ArrowException, OSError, UnicodeDecodeError) as error:
        raise InputError(
            f"{where}: not a trace", got=str(error).splitlines()[0][:200], do=_NOTHING_TAKEN
        ) from None


def _check_seal(file: IO[bytes], name: str) -> str:
    size = file.seek(0, os.SEEK_END)
    require(size > SEAL_BYTES, f"package {name}", f"{size} bytes", "a package", _NOTHING_TAKEN)
    require(size <= MOST_BYTES + (1 << 24), f"package {name}", f"{size:,} bytes", "less than 4 GiB")
    file.seek(size - SEAL_BYTES)
    found = file.read()
    if not found.startswith(SEAL):
        raise InputError(
            f"{name}: not a package of Holewise, or cut off or packed again by another program",
            do=_NOTHING_TAKEN,
        )
    digest = digest_of(file, size - SEAL_BYTES)
    if found != SEAL + digest.encode():
        raise InputError(f"{name} was changed or damaged since it was written", do=_NOTHING_TAKEN)
    file.seek(0)
    return digest


def _check_layout(archive: zipfile.ZipFile, file: IO[bytes], name: str) -> None:
    """One file after the other, stored, each name once and of a known kind, nothing between."""
    entries = archive.infolist()
    require(
        len(entries) <= _MOST_FILES, name, f"{len(entries):,} files", f"at most {_MOST_FILES:,}"
    )
    at = 0
    seen: set[str] = set()
    for entry in entries:
        inside = entry.filename
        require(NAMES.fullmatch(inside) is not None and inside not in seen,
                f"{name}: name of a file", inside, "the names that Holewise writes, each once",
                _NOTHING_TAKEN)  # fmt: skip
        seen.add(inside)
        require(entry.compress_type == zipfile.ZIP_STORED and entry.flag_bits == 0
                and entry.file_size == entry.compress_size and not entry.extra,
                f"{name}, {inside}", "packed in another way",
                "stored as it is, neither compressed nor encrypted", _NOTHING_TAKEN)  # fmt: skip
        wanted = as_written(inside)
        wanted.CRC, wanted.file_size, wanted.compress_size = (
            entry.CRC, entry.file_size, entry.compress_size,
        )  # fmt: skip
        header = wanted.FileHeader(zip64=False)
        file.seek(entry.header_offset)
        require(entry.header_offset == at and file.read(len(header)) == header,
                f"{name}, {inside}", "bytes that Holewise does not write between the files",
                "one file after the other", _NOTHING_TAKEN)  # fmt: skip
        at += _LOCAL_HEADER + len(inside) + entry.file_size
    require(archive.start_dir == at, name, "bytes behind the files", "none", _NOTHING_TAKEN)
    needed = {README, TRIAL_FILE, DESCRIPTION, *(f"{table}.csv" for table in NEEDED)}
    require(needed <= seen, name, f"without {', '.join(sorted(needed - seen))}", "a whole package",
            _NOTHING_TAKEN)  # fmt: skip

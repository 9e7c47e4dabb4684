"""Write a package: the same bytes for the same trial, whatever the computer and the day.

Files are stored in the archive without compression, in a fixed order, with a fixed time. So the
bytes do not hang on a compression library, and no archive of this kind can be a bomb. Traces are
compressed inside already. The comment of the archive is the SHA-256 of everything before it, which
makes a change of any byte visible, also in the archive's own tables.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import zipfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import IO, Any

from trials.errors import ConflictError, InputError
from trials.sharing.package_cells import time_text, to_cell
from trials.sharing.package_format import (
    DESCRIPTION,
    README,
    TABLES,
    TRIAL_FILE,
    ContentTable,
    PackageContent,
    describe,
    readme,
)
from trials.store import PackedColumn, PackedRow, disk_error

SEAL = b"sha256:"
SEAL_BYTES = len(SEAL) + 64
_LONG_AGO = (1980, 1, 1, 0, 0, 0)
_PORTION = 1 << 20
MOST_BYTES = (1 << 32) - (1 << 24)  # beyond this an archive needs fields that old readers lack
_FLUSH_ROWS = 2000
NEEDED: tuple[ContentTable, ...] = ("drills", "runs", "wear", "recordings", "holes", "gaps")
ALWAYS = (*NEEDED, "remarks", "proposals")  # the last two to be filled in by who answers

Told = Callable[[float], None]


def write_package(
    path: Path, content: PackageContent, *, replace: bool = False, on_progress: Told | None = None
) -> int:
    """Write a package; it appears under its name only when it is whole.

    Args:
        path: where; the folder must exist.
        content: what.
        replace: write over a file that is there.
        on_progress: told the share that is done, by bytes of traces and by tables.

    Returns:
        Its length in bytes.

    Raises:
        ConflictError: a file of that name is there.
        InputError: larger than such an archive can be.
        StoreError: the disk refuses, or a trace is absent or not the one that was stored.
    """
    if path.exists() and not replace:
        raise ConflictError(
            f"{path} is there already", do="Choose another name, or write over it with --replace."
        )
    partial = path.with_name(f".{path.name}.partial-{os.getpid()}")
    try:
        _Writer(partial, content, on_progress or (lambda _: None)).write()
        size = seal(partial)
        partial.replace(path)
    except OSError as error:
        raise disk_error("package", path, error) from error
    finally:
        partial.unlink(missing_ok=True)
    return size


def seal(path: Path) -> int:
    """Put the digest of an archive into the room that was left for it; its length in bytes."""
    with path.open("rb+") as file:
        size = file.seek(0, os.SEEK_END)
        digest = digest_of(file, size - SEAL_BYTES)
        file.seek(size - SEAL_BYTES)
        file.write(SEAL + digest.encode())
        file.flush()
        os.fsync(file.fileno())
    return size


def as_written(name: str) -> zipfile.ZipInfo:
    """How a file is entered in the archive: nothing in it hangs on the day or the computer."""
    entry = zipfile.ZipInfo(name, _LONG_AGO)
    entry.create_system = 3
    entry.external_attr = 0o644 << 16
    return entry


def digest_of(file: IO[bytes], length: int) -> str:
    """SHA-256 over the first bytes of a file."""
    digest, left = hashlib.sha256(), length
    file.seek(0)
    while left > 0 and (part := file.read(min(_PORTION, left))):
        digest.update(part)
        left -= len(part)
    return digest.hexdigest()


class _Writer:
    def __init__(self, path: Path, content: PackageContent, told: Told) -> None:
        self._path = path
        self._content = content
        self._told = told
        self._files: dict[str, tuple[str, int]] = {}
        self._rows: dict[ContentTable, int] = {}
        self._bytes = 0

    def write(self) -> None:
        content = self._content
        with zipfile.ZipFile(self._path, "w", zipfile.ZIP_STORED, allowZip64=False) as archive:
            self._archive = archive
            archive.comment = SEAL + b"0" * 64
            self._put(README, [readme(content).encode()])
            self._put(TRIAL_FILE, [_canonical(trial_json(content))])
            tables = list(TABLES)
            for place, table in enumerate(tables):
                self._table(table)
                self._told(0.3 * (place + 1) / len(tables))
            files = (*content.traces, *content.photos)
            for place, file in enumerate(files):
                if self._put(file.name, file.portions()) != file.sha256:
                    raise InputError(
                        f"{file.where} was changed or damaged since it was stored",
                        do="Nothing was written. Put it back from a copy, or rebuild it.",
                    )
                self._told(0.3 + 0.65 * (place + 1) / len(files))
            self._put(DESCRIPTION, [_canonical(describe(content, self._files, self._rows))])
        self._told(1.0)

    def _table(self, table: ContentTable) -> None:
        rows = iter(
            self._content.plain["drills"] if table == "drills" else self._content.rows(table)
        )
        first = next(rows, None)
        if first is None and table not in ALWAYS:
            return

        def lines() -> Iterable[bytes]:
            columns = TABLES[table]
            buffer = io.StringIO()
            sheet = csv.writer(buffer, lineterminator="\r\n")
            sheet.writerow([column.name for column in columns])
            count = 0
            for row in _with(first, rows):
                sheet.writerow(_cells(row, columns))
                count += 1
                if count % _FLUSH_ROWS == 0:
                    yield buffer.getvalue().encode()
                    buffer.seek(0)
                    buffer.truncate()
            self._rows[table] = count
            yield buffer.getvalue().encode()

        self._put(f"{table}.csv", lines())

    def _put(self, name: str, parts: Iterable[bytes]) -> str:
        entry = as_written(name)
        digest, size = hashlib.sha256(), 0
        with self._archive.open(entry, "w") as file:
            for part in parts:
                digest.update(part)
                size += len(part)
                self._bytes += len(part)
                if self._bytes > MOST_BYTES:
                    raise InputError(
                        "package", got=f"more than {MOST_BYTES:,} bytes", allowed="less than 4 GiB",
                        do="Leave the traces or the photos out.",
                    )  # fmt: skip
                file.write(part)
        self._files[name] = (digest.hexdigest(), size)
        return digest.hexdigest()


def trial_json(content: PackageContent) -> dict[str, Any]:
    """The trial without its drills, which have a table of their own."""
    created = content.created_utc
    return {
        "uuid": str(content.trial_uuid),
        "created_utc": None if created is None else time_text(created),
        "trial": {name: part for name, part in content.plain.items() if name != "drills"},
    }


def _canonical(value: Any) -> bytes:
    text = json.dumps(value, allow_nan=False, ensure_ascii=False, indent=1)
    return (text + "\n").encode()


def _cells(row: PackedRow, columns: Iterable[PackedColumn]) -> list[str]:
    return [to_cell(row.get(column.name), column.kind) for column in columns]


def _with(first: PackedRow | None, rest: Iterable[PackedRow]) -> Iterable[PackedRow]:
    if first is not None:
        yield first
        yield from rest

"""Finished traces as Parquet files, with checksums written and verified: a flipped bit must not
become a wrong number.

Every page carries a CRC, which Parquet readers everywhere can check. A SHA-256 over the whole
file, kept in the store, covers the rest of it: header, footer and statistics.
"""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
from numpy.typing import ArrayLike

from trials.errors import StoreError
from trials.store._errors import disk_error

COLUMNS = ("time_s", "load_pct", "rpm", "depth_mm")
_ROWS_A_GROUP = 262_144
_SCHEMA = pa.schema(
    [pa.field(name, pa.float64(), nullable=name in ("rpm", "depth_mm")) for name in COLUMNS]
)


@dataclass(frozen=True, slots=True)
class TraceFile:
    """A written trace: where, how many samples, and the checksum of the whole file."""

    path: Path
    samples: int
    sha256: str


class TraceWriter:
    """Writes samples as they come; the file appears under its name only when it is whole.

    Memory stays at one row group. Use it as a context manager: leaving it without `finish`, for
    example by an error, leaves no file behind.

    Raises:
        StoreError: the disk refuses.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._partial = path.with_suffix(f".partial-{os.getpid()}")
        self._pending: list[tuple[np.ndarray[Any, Any], ...]] = []
        self._pending_rows = 0
        self._samples = 0
        self._writer: pq.ParquetWriter | None = None

    @property
    def samples(self) -> int:
        """Samples taken so far."""
        return self._samples

    def append(
        self,
        time_s: ArrayLike,
        load_pct: ArrayLike,
        rpm: ArrayLike | None = None,
        depth_mm: ArrayLike | None = None,
    ) -> None:
        """Take samples; rpm and depth are left out where they were not recorded."""
        columns = [None if values is None else np.array(values, dtype=float)
                   for values in (time_s, load_pct, rpm, depth_mm)]  # fmt: skip
        rows = len(np.atleast_1d(time_s))
        if rows == 0:
            return
        absent = np.full(rows, np.nan)
        self._pending.append(tuple(absent if part is None else part for part in columns))
        self._pending_rows += rows
        self._samples += rows
        if self._pending_rows >= _ROWS_A_GROUP:
            self._flush(whole_groups=True)

    def finish(self) -> TraceFile:
        """Write what is left, make it durable and give the file its name."""
        try:
            self._flush()
            if self._writer is None:
                self._open()
            assert self._writer is not None  # noqa: S101 - opened in the line above
            self._writer.close()
            self._writer = None
            checksum = checksum_of(self._partial)
            with self._partial.open("rb+") as file:
                os.fsync(file.fileno())
            self._partial.replace(self._path)
            _sync_folder(self._path.parent)
        except (OSError, pa.ArrowException) as error:
            raise trace_error("written", self._path, error) from error
        return TraceFile(self._path, self._samples, checksum)

    def __enter__(self) -> TraceWriter:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.discard()

    def discard(self) -> None:
        """Give up what was not finished; after `finish` this changes nothing."""
        try:
            if self._writer is not None:
                self._writer.close()
                self._writer = None
        except (OSError, pa.ArrowException):
            pass  # the first error is the one to tell; the half file goes anyway
        finally:
            self._partial.unlink(missing_ok=True)

    def _open(self) -> None:
        self._writer = pq.ParquetWriter(
            self._partial, _SCHEMA, compression="zstd", write_page_checksum=True
        )

    def _flush(self, *, whole_groups: bool = False) -> None:
        """Write what waits in row groups of one size, so that the same samples always give the
        same bytes, in whatever portions they came; ``whole_groups`` keeps a smaller rest."""
        columns = [np.concatenate(parts) for parts in zip(*self._pending, strict=True)]
        begin = 0
        least = _ROWS_A_GROUP if whole_groups else 1
        while self._pending_rows - begin >= least:
            self._write([part[begin : begin + _ROWS_A_GROUP] for part in columns])
            begin += min(_ROWS_A_GROUP, self._pending_rows - begin)
        self._pending = [tuple(part[begin:] for part in columns)] if columns else []
        self._pending_rows -= begin

    def _write(self, columns: list[np.ndarray[Any, Any]]) -> None:
        arrays = [
            pa.array(part, from_pandas=name in ("rpm", "depth_mm"))
            for name, part in zip(COLUMNS, columns, strict=True)
        ]
        try:
            if self._writer is None:
                self._open()
            assert self._writer is not None  # noqa: S101 - opened in the line above
            self._writer.write_table(pa.Table.from_arrays(arrays, schema=_SCHEMA))
        except (OSError, pa.ArrowException) as error:
            raise trace_error("written", self._path, error) from error


def read_trace(path: Path, sha256: str | None = None) -> pd.DataFrame:
    """Read a trace: time_s and load_pct, and rpm and depth_mm where they were recorded.

    Args:
        path: the Parquet file.
        sha256: checksum from the store; None checks the pages alone.

    Raises:
        StoreError: absent, damaged, or not the file that was stored.
    """
    try:
        if sha256 is not None and checksum_of(path) != sha256:
            raise StoreError(
                f"trace {path} was changed or damaged since it was stored",
                do="It was not read. Put it back from a copy, or rebuild it from its journal.",
            )
        table = pq.read_table(path, page_checksum_verification=True, memory_map=False)
        names = table.schema.names
    except (OSError, pa.ArrowException, UnicodeDecodeError) as error:
        raise trace_error("read", path, error) from error
    if names != list(COLUMNS):
        raise StoreError(f"trace {path}", got=", ".join(names), allowed=", ".join(COLUMNS))
    recorded = [name for name in COLUMNS if name in COLUMNS[:2] or _any(table.column(name))]
    return pd.DataFrame({name: table.column(name).to_numpy() for name in recorded})


def _any(column: Any) -> bool:
    return bool(column.null_count < len(column))


def trace_error(done: str, path: Path, error: Exception) -> StoreError:
    """What went wrong with a trace file, as an error for the user."""
    do = "Put it back from a copy, or rebuild it from its journal." if done == "read" else None
    if isinstance(error, OSError) and error.errno is not None:
        return disk_error("trace", path, error, do)
    return StoreError(f"trace {path} could not be {done}", got=str(error).splitlines()[0], do=do)


def checksum_of(path: Path) -> str:
    """SHA-256 over a whole file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _sync_folder(folder: Path) -> None:
    """Make a new name in a folder durable, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)

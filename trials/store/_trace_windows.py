"""A stretch of a stored trace: only the row groups that it lies in are read, and are verified.

The checksum of the whole file is taken once for each state of the file on disk; the checksum of
every page that is read is verified each time.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.parquet as pq

from trials.errors import StoreError
from trials.store._traces import checksum_of, trace_error

Floats = npt.NDArray[np.float64]
_verified: dict[Path, tuple[int, int, int, str]] = {}
_verifying = threading.Lock()


@dataclass(frozen=True, slots=True)
class TraceExtent:
    """Where a trace begins and ends, s, and how many samples it has."""

    first_s: float
    last_s: float
    samples: int


def trace_extent(path: Path, sha256: str | None = None) -> TraceExtent:
    """First and last time of a trace, from its footer; zeros for an empty one.

    Raises:
        StoreError: absent, damaged, or not the file that was stored.
    """
    with _opened(path, sha256) as file:
        groups = [_times(file, group) for group in range(file.num_row_groups)]
        if not groups:
            return TraceExtent(0.0, 0.0, 0)
        return TraceExtent(groups[0][0], groups[-1][1], file.metadata.num_rows)


def read_window(
    path: Path, sha256: str | None, start_s: float, end_s: float
) -> Iterator[tuple[Floats, Floats]]:
    """Times, s, and loads, %, from ``start_s`` to ``end_s``, one row group after the other.

    One sample before and one after the stretch come with it, where their group is read, so that a
    line can be drawn to the edges. Memory stays at one row group.

    Raises:
        StoreError: absent, damaged, or not the file that was stored.
    """
    with _opened(path, sha256) as file:
        for group in range(file.num_row_groups):
            first_s, last_s = _times(file, group)
            if last_s < start_s or first_s > end_s:
                continue
            try:
                table = file.read_row_group(group, columns=["time_s", "load_pct"])
            except (OSError, pa.ArrowException) as error:
                raise trace_error("read", path, error) from error
            time_s = table.column("time_s").to_numpy()
            load_pct = table.column("load_pct").to_numpy()
            a = max(0, int(np.searchsorted(time_s, start_s, side="left")) - 1)
            b = int(np.searchsorted(time_s, end_s, side="right")) + 1
            yield time_s[a:b], load_pct[a:b]


def _opened(path: Path, sha256: str | None) -> Any:
    try:
        if sha256 is not None:
            _verify(path, sha256)
        return pq.ParquetFile(path, page_checksum_verification=True, memory_map=False)
    except (OSError, pa.ArrowException) as error:
        raise trace_error("read", path, error) from error


def _verify(path: Path, sha256: str) -> None:
    state = path.stat()
    key = (state.st_mtime_ns, state.st_size, state.st_ino, sha256)
    with _verifying:
        if _verified.get(path) == key:
            return
        if checksum_of(path) != sha256:
            raise StoreError(
                f"trace {path} was changed or damaged since it was stored",
                do="It was not read. Put it back from a copy, or rebuild it from its journal.",
            )
        _verified[path] = key


def _times(file: Any, group: int) -> tuple[float, float]:
    """First and last time of a row group, from its statistics; without them from its samples."""
    found = file.metadata.row_group(group).column(0).statistics
    if found is not None and found.has_min_max:
        return float(found.min), float(found.max)
    times = file.read_row_group(group, columns=["time_s"]).column(0).to_numpy()
    return float(times[0]), float(times[-1])

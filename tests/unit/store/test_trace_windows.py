"""A stretch of a trace: what lies in it, no more groups than needed, and no damage read."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from trials.errors import StoreError
from trials.store import TraceFile, TraceWriter, _traces, read_window, trace_extent


@pytest.fixture
def trace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> TraceFile:
    """10,000 samples at 100 Hz in ten row groups."""
    monkeypatch.setattr(_traces, "_ROWS_A_GROUP", 1000)
    time_s = np.arange(10_000) / 100.0
    with TraceWriter(tmp_path / "x.parquet") as writer:
        for start in range(0, 10_000, 500):
            writer.append(time_s[start : start + 500], np.sin(time_s[start : start + 500]))
        return writer.finish()


@pytest.mark.parametrize(
    ("start_s", "end_s"), [(0, 99.99), (0, 0), (9.995, 10.005), (33.33, 47.1), (-5, 500)]
)
def test_the_window_has_its_samples_and_one_beside(
    trace: TraceFile, start_s: float, end_s: float
) -> None:
    parts = list(read_window(trace.path, trace.sha256, start_s, end_s))
    time_s = np.concatenate([part for part, _ in parts])
    load_pct = np.concatenate([part for _, part in parts])
    every = np.arange(10_000) / 100.0
    inside = every[(every >= start_s) & (every <= end_s)]
    assert set(inside) <= set(time_s)
    assert len(time_s) <= len(inside) + 2 * len(parts)
    assert np.array_equal(load_pct, np.sin(time_s))


def test_only_the_groups_of_the_window_are_read(trace: TraceFile) -> None:
    assert len(list(read_window(trace.path, trace.sha256, 0, 99.99))) == 10
    assert len(list(read_window(trace.path, trace.sha256, 33.0, 33.5))) == 1
    assert list(read_window(trace.path, trace.sha256, 200.0, 300.0)) == []


def test_where_a_trace_begins_and_ends(trace: TraceFile, tmp_path: Path) -> None:
    extent = trace_extent(trace.path, trace.sha256)
    assert (extent.first_s, extent.last_s, extent.samples) == (0.0, 99.99, 10_000)
    with TraceWriter(tmp_path / "empty.parquet") as writer:
        empty = writer.finish()
    assert trace_extent(empty.path, empty.sha256).samples == 0


def test_a_file_changed_after_it_was_read_once_is_refused(trace: TraceFile) -> None:
    assert list(read_window(trace.path, trace.sha256, 0, 1))
    data = bytearray(trace.path.read_bytes())
    data[len(data) // 2] ^= 1
    state = trace.path.stat()
    trace.path.write_bytes(data)
    os.utime(trace.path, ns=(state.st_atime_ns, state.st_mtime_ns + 1))
    with pytest.raises(StoreError, match="changed or damaged"):
        list(read_window(trace.path, trace.sha256, 0, 1))


def test_a_damaged_page_is_refused_without_the_whole_checksum(trace: TraceFile) -> None:
    data = bytearray(trace.path.read_bytes())
    for place in range(100, len(data) * 3 // 4, 97):
        data[place] ^= 0xFF
    trace.path.write_bytes(data)
    with pytest.raises(StoreError):
        list(read_window(trace.path, None, 0, 99))


def test_a_trace_that_is_gone_is_told(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="gone"):
        list(read_window(tmp_path / "gone.parquet", "0" * 64, 0, 1))

"""Traces in Parquet: back to the last digit, and no damage is read as a number."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow.parquet as pq
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trials.errors import StoreError
from trials.store import TraceFile, TraceWriter, _traces, read_trace


def write(path: Path, frame: pd.DataFrame, block: int = 1000) -> TraceFile:
    with TraceWriter(path) as writer:
        for start in range(0, len(frame), block):
            part = frame.iloc[start : start + block]
            writer.append(**{name: part[name].to_numpy() for name in part.columns})
        return writer.finish()


def samples(count: int = 5000) -> pd.DataFrame:
    time_s = np.arange(count) / 100.0
    return pd.DataFrame({"time_s": time_s, "load_pct": 30 + 10 * np.sin(time_s)})


@pytest.mark.parametrize("extra", [(), ("rpm",), ("depth_mm",), ("rpm", "depth_mm")])
def test_samples_come_back_to_the_last_digit(tmp_path: Path, extra: tuple[str, ...]) -> None:
    frame = samples()
    for name in extra:
        frame[name] = np.where(frame.index % 7 == 0, np.nan, frame["load_pct"] * 3.3)
    file = write(tmp_path / "x.parquet", frame)
    assert file.samples == len(frame)
    pd.testing.assert_frame_equal(read_trace(file.path, file.sha256), frame, check_exact=True)


@settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(blocks=st.lists(st.integers(0, 40), max_size=12))
def test_any_blocks_give_the_same_trace(tmp_path: Path, blocks: list[int]) -> None:
    frame = samples(sum(blocks))
    edges = np.cumsum([0, *blocks])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(_traces, "_ROWS_A_GROUP", 25)
        with TraceWriter(tmp_path / "x.parquet") as writer:
            for start, end in pairwise(edges):
                part = frame.iloc[start:end]
                writer.append(part["time_s"].to_numpy(), part["load_pct"].to_numpy())
            file = writer.finish()
    pd.testing.assert_frame_equal(read_trace(file.path, file.sha256), frame)


def test_a_writer_that_is_left_early_leaves_no_file(tmp_path: Path) -> None:
    with TraceWriter(tmp_path / "x.parquet") as writer:
        writer.append([0.0], [1.0])
    absent = TraceWriter(tmp_path / "no folder" / "x.parquet")
    absent.append([0.0], [1.0])
    with pytest.raises(StoreError, match="no folder"), absent:
        absent.finish()
    assert list(tmp_path.iterdir()) == []


def test_page_checksums_are_written(tmp_path: Path) -> None:
    """A flipped bit within a page is found by the file alone, as other programs read it."""
    file = write(tmp_path / "x.parquet", samples())
    content = bytearray(file.path.read_bytes())
    column = pq.ParquetFile(file.path).metadata.row_group(0).column(1)
    start = column.dictionary_page_offset or column.data_page_offset
    assert column.total_compressed_size > 10_000
    for offset in range(start + 200, start + 10_000, 97):
        flipped = bytearray(content)
        flipped[offset] ^= 0x10
        file.path.write_bytes(flipped)
        with pytest.raises(StoreError):
            read_trace(file.path)


def test_no_flipped_bit_is_read_as_a_number(tmp_path: Path) -> None:
    file = write(tmp_path / "x.parquet", samples(300))
    content = file.path.read_bytes()
    for offset in range(0, len(content), 11):
        flipped = bytearray(content)
        flipped[offset] ^= 1 << (offset % 8)
        file.path.write_bytes(flipped)
        with pytest.raises(StoreError):
            read_trace(file.path, file.sha256)
    file.path.write_bytes(content)
    assert len(read_trace(file.path, file.sha256)) == 300


def test_a_trace_that_is_gone_or_cut_says_what_to_do(tmp_path: Path) -> None:
    file = write(tmp_path / "x.parquet", samples())
    file.path.write_bytes(file.path.read_bytes()[:-100])
    with pytest.raises(StoreError, match="rebuild it from its journal"):
        read_trace(file.path)
    file.path.unlink()
    with pytest.raises(StoreError, match=r"x\.parquet"):
        read_trace(file.path, file.sha256)


def test_the_same_samples_give_the_same_bytes_in_whatever_portions(tmp_path: Path) -> None:
    """A rebuild is checked byte for byte, and comes in other portions than a live recording."""
    count = 600_000  # more than two row groups
    time_s = np.arange(count) / 100
    load_pct = np.arange(count) % 97 / 1.7
    sums = set()
    for portion in (count, 262_144, 100_003, 1_009):
        with TraceWriter(tmp_path / f"{portion}.parquet") as writer:
            for begin in range(0, count, portion):
                part = slice(begin, begin + portion)
                writer.append(time_s[part], load_pct[part])
            sums.add(writer.finish().sha256)
    assert len(sums) == 1
    trace = read_trace(tmp_path / "1009.parquet", sums.pop())
    assert trace["load_pct"].tolist() == load_pct.tolist()

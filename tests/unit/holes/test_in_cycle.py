"""A signal that says whether the machine works through its program: nothing is cut out of cycle."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.unit.holes.test_finder import square_trace
from trials.errors import InputError
from trials.holes import HoleFinder, find_holes
from trials.logger import LineFormat, Mapping, import_file

HEADER = "time,load,mode\n"


def written(path: Path, words: tuple[str, str]) -> Path:
    """Six alike holes; the second was drilled by hand, out of cycle."""
    samples = square_trace()
    out = samples.time_s.between(9.0, 15.0)
    lines = [
        f"{time:.2f},{load:.1f},{words[0] if away else words[1]}\n"
        for time, load, away in zip(samples.time_s, samples.load_pct, out, strict=True)
    ]
    path.write_text(HEADER + "".join(lines), encoding="utf-8")
    return path


@pytest.mark.parametrize("words", [("0", "1"), ("STOPPED", "ACTIVE"), ("FEED_HOLD", "Running")])
def test_no_hole_is_found_out_of_cycle(tmp_path: Path, words: tuple[str, str]) -> None:
    path = written(tmp_path / "trace.csv", words)
    holes = {}
    for text in ("load=load,time=time", "load=load,time=time,cycle=mode"):
        finder, found = HoleFinder(), []
        for batch in import_file(path, LineFormat("delimited"), Mapping.parse(text)):
            cycle = batch.in_cycle if len(batch.in_cycle) else None
            found += finder.feed(batch.time_s, batch.load_pct, in_cycle=cycle)
        holes[text] = [round(hole.start_s) for hole in found + finder.finish()]
    without, with_it = holes.values()
    assert without == [3, 10, 17, 24, 31, 38]
    assert with_it == [3, 17, 24, 31, 38]


def test_a_word_that_says_neither_is_rejected_with_the_words_that_do(tmp_path: Path) -> None:
    path = written(tmp_path / "trace.csv", ("perhaps", "ACTIVE"))
    mapping = Mapping.parse("load=load,time=time,cycle=mode")
    with pytest.raises(InputError, match=r"cycle \(mode.*perhaps.*active") as error:
        list(import_file(path, LineFormat("delimited"), mapping))
    # 9 s of 0.02 s each stand before it, and the header.
    assert "line 452" in str(error.value)


def test_the_same_words_line_by_line_and_in_bulk(tmp_path: Path) -> None:
    """A comment sends the block the slow way."""
    path = written(tmp_path / "trace.csv", ("0", "1"))
    mapping = Mapping.parse("load=load,time=time,cycle=mode")
    quick = np.concatenate(
        [b.in_cycle for b in import_file(path, LineFormat("delimited"), mapping)]
    )
    path.write_text(path.read_text() + "# end\n")
    slow = np.concatenate([b.in_cycle for b in import_file(path, LineFormat("delimited"), mapping)])
    assert 0 < quick.sum() < len(quick)
    np.testing.assert_array_equal(slow, quick)


def test_held_between_shdr_lines_and_not_known_where_unavailable() -> None:
    from trials.logger import Decoder

    lines = (
        b"2026-01-31T08:00:00Z|load|10|execution|ACTIVE\n2026-01-31T08:00:01Z|load|11\n"
        b"2026-01-31T08:00:02Z|execution|READY\n2026-01-31T08:00:03Z|load|12\n"
        b"2026-01-31T08:00:04Z|execution|UNAVAILABLE\n2026-01-31T08:00:05Z|load|13\n"
    )
    decoder = Decoder(LineFormat("shdr"), Mapping.parse("load=load,cycle=execution"))
    np.testing.assert_array_equal(decoder.feed(lines).in_cycle, [1.0, 1.0, 0.0, np.nan])


def test_a_signal_that_is_out_of_cycle_for_most_of_the_load_is_left_aside() -> None:
    samples = square_trace()
    assert len(find_holes(samples.assign(in_cycle=0.0))) == len(find_holes(samples)) == 6

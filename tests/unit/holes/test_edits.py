"""Edits on found holes: merge, split, drop, add; what stays, what is measured anew."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.helpers import trace_kinds  # noqa: F401 - fills KINDS
from tests.helpers.invented_stream import CUT_S, LEAD_S, PERIOD_S, stream
from tests.helpers.traces import make
from trials.errors import InputError
from trials.holes import (
    Hole,
    HoleEdit,
    add_hole,
    apply_edits,
    drop_hole,
    find_holes,
    hole_from_plain,
    hole_to_plain,
    holes_of,
    look_at,
    measure_stretch,
    merge_holes,
    peck_marks,
    split_hole,
    split_place,
    to_frame,
)


class Samples:
    """The samples of a trace, by stretch."""

    def __init__(self, frame: pd.DataFrame) -> None:
        self.time = frame["time_s"].to_numpy()
        self.load = frame["load_pct"].to_numpy()

    def __call__(self, start_s: float, end_s: float) -> tuple[np.ndarray, np.ndarray]:
        inside = (self.time >= start_s) & (self.time <= end_s)
        return self.time[inside], self.load[inside]


@pytest.fixture(scope="module")
def samples() -> Samples:
    return Samples(pd.read_csv(io.BytesIO(stream(10))))


@pytest.fixture(scope="module")
def found(samples: Samples) -> list[Hole]:
    frame = find_holes(pd.DataFrame({"time_s": samples.time, "load_pct": samples.load}))
    assert len(frame) == 10
    return holes_of(frame)


def numbers(holes: Sequence[Hole]) -> list[int]:
    return [hole.number for hole in holes]


def test_a_frame_and_its_holes_say_the_same(found: list[Hole]) -> None:
    assert [hole_from_plain(hole_to_plain(hole)) for hole in found] == found
    again = holes_of(to_frame(found))
    assert again == found


def test_merge_makes_one_hole_of_two_and_leaves_the_rest(
    found: list[Hole], samples: Samples
) -> None:
    done = apply_edits(found, [merge_holes(found, 3, 4)], samples)
    assert not done.not_kept
    assert numbers(done.holes) == list(range(1, 10))
    merged = done.holes[2]
    assert (merged.start_s, merged.end_s) == (found[2].start_s, found[3].end_s)
    assert merged.pecks == 2
    assert merged.cut_s == pytest.approx(2 * CUT_S, abs=0.3)
    assert merged.peak_pct == max(found[2].peak_pct, found[3].peak_pct)
    assert merged.area_pct_s == pytest.approx(found[2].area_pct_s + found[3].area_pct_s)
    assert merged.confidence == 1.0
    assert "merged by hand" in merged.flags
    assert [replace(h, number=0, trend_pct=0) for h in done.holes[3:]] == [
        replace(h, number=0, trend_pct=0) for h in found[4:]
    ]


def test_split_finds_the_two_holes_that_were_merged(found: list[Hole], samples: Samples) -> None:
    merge = merge_holes(found, 3, 4)
    one = apply_edits(found, [merge], samples).holes
    at_s = split_place(*samples(0, 100), one[2].start_s, one[2].end_s)
    assert found[2].end_s < at_s < found[3].start_s
    done = apply_edits(found, [merge, split_hole(one, 3, at_s)], samples)
    assert not done.not_kept
    assert len(done.holes) == 10
    for made, was in zip(done.holes[2:4], found[2:4], strict=True):
        assert made.start_s == pytest.approx(was.start_s, abs=0.15)
        assert made.end_s == pytest.approx(was.end_s, abs=0.15)
        assert made.pecks == 1
        assert made.peak_pct == pytest.approx(was.peak_pct, rel=0.02)
        assert made.mean_pct == pytest.approx(was.mean_pct, rel=0.04)
        assert made.area_pct_s == pytest.approx(was.area_pct_s, rel=0.04)
        assert made.cut_s == pytest.approx(was.cut_s, abs=0.2)


def test_drop_and_add_are_each_other_s_way_back(found: list[Hole], samples: Samples) -> None:
    drop = drop_hole(found, 5)
    left = apply_edits(found, [drop], samples).holes
    assert len(left) == 9
    assert numbers(left) == list(range(1, 10))
    assert all(hole.start_s != found[4].start_s for hole in left)
    # The hole as it was invented: begins at LEAD_S + 4 periods and cuts for CUT_S.
    start_s = LEAD_S + 4 * PERIOD_S
    add = add_hole(left, start_s, start_s + CUT_S)
    done = apply_edits(found, [drop, add], samples)
    assert len(done.holes) == 10
    added = done.holes[4]
    assert added.number == 5
    assert added.peak_pct == pytest.approx(42.0, rel=0.03)  # 40 % and 0.5 % a hole, invented
    assert added.flags == ("added by hand",)


def test_edits_keep_what_they_made_without_the_trace(found: list[Hole], samples: Samples) -> None:
    edits = [merge_holes(found, 3, 4), drop_hole(found, 8)]
    edits[1] = HoleEdit("drop", edits[1].spans)
    first = apply_edits(found, edits, samples)
    again = apply_edits(found, first.edits)
    assert again.holes == first.holes


def test_an_edit_is_laid_on_again_where_the_hole_moved_a_little(
    found: list[Hole], samples: Samples
) -> None:
    edits = apply_edits(found, [merge_holes(found, 3, 4), drop_hole(found, 9)], samples).edits
    moved = [replace(hole, start_s=hole.start_s + 0.1, end_s=hole.end_s - 0.1) for hole in found]
    assert not apply_edits(moved, edits, samples).not_kept
    fewer = [replace(hole, number=i) for i, hole in enumerate(found[1:], 1)]
    assert not apply_edits(fewer, edits, samples).not_kept, "numbers may shift, times count"


def test_an_edit_whose_hole_is_gone_is_left_out_and_says_so(
    found: list[Hole], samples: Samples
) -> None:
    edits = [merge_holes(found, 3, 4), drop_hole(found, 9)]
    gone = [hole for hole in found if hole.number != 4]
    done = apply_edits(gone, edits, samples)
    assert list(done.not_kept) == [0]
    assert f"{found[3].start_s:.1f}" in done.not_kept[0]
    assert len(done.holes) == 8, "the other edit holds"
    none = apply_edits(found[:2], edits, samples)
    assert list(none.not_kept) == [0, 1]
    assert none.holes == tuple(found[:2])


@pytest.mark.parametrize("number", [0, 11, -1])
def test_holes_that_are_not_there_cannot_be_mended(found: list[Hole], number: int) -> None:
    for mend in (
        lambda: drop_hole(found, number),
        lambda: split_hole(found, number, 10.0),
        lambda: merge_holes(found, number, number + 1),
    ):
        with pytest.raises(InputError, match="1 to 10"):
            mend()


def test_what_makes_no_sense_is_refused(found: list[Hole], samples: Samples) -> None:
    with pytest.raises(InputError, match="hole 2 there already"):
        add_hole(found, found[1].start_s + 1, found[1].end_s + 1)
    with pytest.raises(InputError, match="between its start"):
        split_hole(found, 2, found[2].start_s)
    with pytest.raises(InputError, match="the lower first"):
        merge_holes(found, 4, 3)
    with pytest.raises(InputError, match="after its start"):
        add_hole(found, 20.0, 19.0)
    beyond = apply_edits(found, [add_hole(found, 900.0, 902.0)], samples)
    assert "no samples" in beyond.not_kept[0]


def test_what_a_person_should_look_at(found: list[Hole]) -> None:
    assert look_at(replace(found[0], flags=("long",), confidence=0.9)).startswith("more cutting")
    assert look_at(replace(found[0], flags=(), confidence=0.4))
    assert not look_at(replace(found[0], flags=("spike",), confidence=0.9))
    assert not look_at(replace(found[0], flags=("merged by hand", "long"), confidence=0.2))


@pytest.mark.parametrize("name", ["clean_250_hz", "full_retract", "chip_break"])
def test_a_stretch_is_measured_as_the_finder_measures_it(name: str) -> None:
    """Against the labels of the invented trace where there are some, else against the finder."""
    trace = make(name, 3)
    samples = Samples(trace.samples)
    for label in trace.holes.to_dict("records"):
        around = samples(label["start_s"] - 1.0, label["end_s"] + 1.0)
        hole = measure_stretch(*around, label["start_s"], label["end_s"])
        assert hole.peak_pct == pytest.approx(label["peak_pct"], rel=0.06)
        marks = peck_marks(*around, label["start_s"], label["end_s"], label["pecks"])
        assert len(marks) == label["pecks"] - 1
        # Pecks are of even length in these traces, so marks lie near even shares.
        even = np.linspace(label["start_s"], label["end_s"], label["pecks"] + 1)[1:-1]
        share = (label["end_s"] - label["start_s"]) / label["pecks"]
        assert np.allclose(marks, even, atol=0.5 * share)
    found = holes_of(find_holes(trace.samples, trace.expected))
    assert found
    for hole in found:
        around = samples(hole.start_s - 1.0, hole.end_s + 1.0)
        same = measure_stretch(*around, hole.start_s, hole.end_s, idle_pct=hole.idle_pct)
        assert same.mean_pct == pytest.approx(hole.mean_pct, rel=0.08)
        assert same.area_pct_s == pytest.approx(hole.area_pct_s, rel=0.08)

"""Frames that are no clean recording: a clear error, or holes and an empty frame, never a crash."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.unit.holes.test_finder import square_trace
from trials.errors import InputError
from trials.holes import COLUMNS, HoleFinder, find_holes

GOOD = square_trace()


def frame(time: object, load: object) -> pd.DataFrame:
    return pd.DataFrame({"time_s": time, "load_pct": load})


@pytest.mark.parametrize("samples", [
    frame([], []), pd.DataFrame(columns=["time_s", "load_pct"]), frame([0.0], [5.0]),
    frame([0.0, 1.0], [5.0, 6.0]), frame(np.arange(50.0), np.nan), frame(np.nan, np.arange(50.0)),
    frame(np.zeros(50), np.arange(50.0)), frame(np.arange(5000) * 0.01, 7.0),
    GOOD.assign(load_pct=np.inf), frame(np.arange(300) * 60.0, np.tile([5.0, 40.0, 9.0], 100)),
])  # fmt: skip
def test_nothing_to_find_gives_an_empty_frame_with_all_columns(samples: pd.DataFrame) -> None:
    holes = find_holes(samples)
    assert list(holes.columns) == list(COLUMNS)
    assert len(holes) == 0


@pytest.mark.parametrize(("samples", "says"), [
    (GOOD.sample(frac=1, random_state=1), "Sort the samples"), (GOOD[::-1], "Sort the samples"),
    (GOOD.assign(load_pct="x"), "load_pct"), (GOOD.assign(rpm="fast"), "rpm"),
    (GOOD.assign(time_s=pd.to_datetime(GOOD.time_s, unit="s")), "total_seconds"),
    (GOOD[["time_s"]], "load_pct"),
])  # fmt: skip
def test_what_cannot_be_read_is_an_error_that_says_what_to_do(
    samples: pd.DataFrame, says: str
) -> None:
    with pytest.raises(InputError, match=says):
        find_holes(samples)


@pytest.mark.parametrize("samples", [
    GOOD.astype({"load_pct": int}), GOOD.astype({"load_pct": str}),
    GOOD.convert_dtypes(), GOOD.assign(rpm=np.nan), GOOD.assign(rpm=0.0), GOOD.assign(rpm=None),
    GOOD.assign(depth_mm=12.0), GOOD.assign(load_pct=GOOD.load_pct.clip(upper=20.0)),
    GOOD.assign(load_pct=GOOD.load_pct * 1e6), GOOD.assign(time_s=GOOD.time_s + 1.7e9),
])  # fmt: skip
def test_all_six_holes_are_found_in_an_unusual_but_whole_frame(samples: pd.DataFrame) -> None:
    assert len(find_holes(samples)) == 6


def test_a_recording_that_begins_or_ends_within_a_hole_says_so() -> None:
    for samples, at in ((GOOD[GOOD.time_s > 4.5], 0), (GOOD[GOOD.time_s < 40.0], -1)):
        holes = find_holes(samples)
        assert "cut off" in holes["flags"].iloc[at]
        assert holes.confidence.iloc[at] < holes.confidence.iloc[2]


def test_a_filter_whose_delay_is_stated_is_taken_off() -> None:
    """A first-order filter delays a ramp by its time constant (any book on control)."""
    from tests.helpers import trace_kinds  # noqa: F401 - fill KINDS
    from tests.helpers.traces import make

    trace = make("filter_fast", 3)
    late = find_holes(trace.samples, trace.expected)
    right = find_holes(trace.samples, {**trace.expected, "filter_delay_s": trace.delay_s})
    for name in ("start_s", "end_s"):
        np.testing.assert_allclose(late[name] - right[name], trace.delay_s, atol=1e-9)
        assert float((right[name] - trace.holes[name]).abs().quantile(0.95)) < 0.1


def test_holes_so_far_show_at_once_though_they_are_settled_later() -> None:
    """Common practice, no source: what was drilled shows before the next hole is done."""
    finder, shown = HoleFinder(), []
    for at in range(0, len(GOOD), 25):
        part = GOOD.iloc[at : at + 25]
        assert finder.feed(part.time_s, part.load_pct) == []
        newest = float(part.time_s.iloc[-1])
        for hole in finder.pending[len(shown) :]:
            shown.append(newest - hole.end_s)
    assert len(shown) == 6
    assert max(shown) < 1.5

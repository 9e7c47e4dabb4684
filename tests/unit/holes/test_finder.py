"""The finder's face: live and in bulk, features by their definition, errors that teach."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from trials.errors import InputError
from trials.holes import COLUMNS, HoleFinder, find_holes
from trials.holes.expected import expected_times
from trials.model import CuttingData, ExpectedHole


def square_trace(
    holes: int = 6, cut_s: float = 4.0, move_s: float = 3.0, sample_s: float = 0.02,
    idle: float = 5.0, height: float = 30.0,
) -> pd.DataFrame:  # fmt: skip
    """Holes of known area: idle, then a straight step up, then down."""
    time = np.arange(0.0, 3.0 + holes * (cut_s + move_s), sample_s)
    phase = (time - 3.0) % (cut_s + move_s)
    load = idle + height * ((time >= 3.0) & (phase < cut_s))
    return pd.DataFrame({"time_s": time, "load_pct": load})


def test_features_of_a_square_hole() -> None:
    holes = find_holes(square_trace())
    assert list(holes.columns) == list(COLUMNS)
    assert holes.number.tolist() == [1, 2, 3, 4, 5, 6]
    np.testing.assert_allclose(holes.start_s, 3.0 + 7.0 * np.arange(6), atol=0.03)
    np.testing.assert_allclose(holes.cut_s, 4.0, atol=0.05)
    np.testing.assert_allclose(holes.peak_pct, 35.0, atol=1e-6)
    np.testing.assert_allclose(holes.peak_raw_pct, 35.0, atol=1e-6)
    np.testing.assert_allclose(holes.idle_pct, 5.0, atol=1e-6)
    np.testing.assert_allclose(holes.mean_pct, 35.0, rtol=0.02)
    np.testing.assert_allclose(holes.area_pct_s, 30.0 * 4.0, rtol=0.02)
    np.testing.assert_allclose(holes.trend_pct, 0.0, atol=1e-6)
    assert holes.pecks.tolist() == [1] * 6
    assert holes["flags"].tolist() == [""] * 6
    assert (holes.confidence > 0.9).all()


def test_the_hole_in_progress_shows_and_is_settled_later() -> None:
    samples = square_trace(holes=60)
    time, load = samples.time_s.to_numpy(), samples.load_pct.to_numpy()
    finder = HoleFinder()
    at = int(np.searchsorted(time, 3.0 + 2 * 7.0 + 1.5))
    assert finder.current is None
    assert math.isnan(finder.idle_pct)
    assert finder.feed(time[:at], load[:at]) == []
    current = finder.current
    assert current is not None
    assert current.number == 3
    assert current.cut_s == pytest.approx(1.5, abs=0.1)
    assert [hole.number for hole in finder.pending] == [1, 2]
    assert finder.idle_pct == pytest.approx(5.0, abs=0.1)
    settled, worst = [], 0.0
    for start in range(at, len(time), 500):
        for hole in finder.feed(time[start : start + 500], load[start : start + 500]):
            settled.append(hole.number)
            worst = max(worst, float(time[min(start + 500, len(time)) - 1]) - hole.end_s)
    assert worst <= 300 + 10.0 + 7.0
    settled += [hole.number for hole in finder.finish()]
    assert settled == list(range(1, 61))


@pytest.mark.parametrize("samples", range(1100, 1300, 20))
def test_what_is_no_hole_yet_is_not_taken_for_the_one_in_progress(samples: int) -> None:
    """A load that goes up and down without a rest, looked at after each length of it."""
    finder = HoleFinder()
    finder.feed(np.arange(samples) / 1000, np.arange(samples) % 90)
    assert len(finder.pending) <= 1


def test_a_gap_that_the_source_tells_is_flagged_not_bridged_in_silence() -> None:
    samples = square_trace()
    gap = (11.0, 12.5)
    inside = samples.time_s.between(*gap)
    finder = HoleFinder()
    kept = samples[~inside]
    holes = finder.feed(kept.time_s, kept.load_pct, gaps=[gap]) + finder.finish()
    assert len(holes) == 6
    assert ["gap" in hole.flags for hole in holes] == [False, True, False, False, False, False]
    assert holes[1].confidence < holes[0].confidence


def test_values_that_are_no_numbers_are_left_out() -> None:
    samples = square_trace()
    holed = samples.copy()
    holed.loc[::7, "load_pct"] = np.nan
    found = find_holes(holed)
    np.testing.assert_allclose(found.start_s, find_holes(samples).start_s, atol=0.05)


def test_nothing_gives_no_holes_with_all_columns() -> None:
    for samples in (pd.DataFrame({"time_s": [], "load_pct": []}), square_trace(holes=0)):
        holes = find_holes(samples)
        assert list(holes.columns) == list(COLUMNS)
        assert len(holes) == 0


def test_idle_noise_alone_has_no_holes() -> None:
    rng = np.random.default_rng(3)
    for _ in range(5):
        time = np.arange(0, 200, 0.02)
        load = 6 + rng.normal(0, 0.7, len(time))
        assert len(find_holes(pd.DataFrame({"time_s": time, "load_pct": load}))) == 0


def test_expected_may_be_any_thing_with_the_fields() -> None:
    data = CuttingData(80.0, 0.15)
    hole = ExpectedHole(data, 8.0, 24.0)
    flat = {"speed_m_per_min": 80.0, "feed_mm_per_rev": 0.15, "peck_mode": "none",
            "peck_depth_xd": 1.0, "diameter_mm": 8.0, "depth_mm": 24.0}  # fmt: skip
    nested = {"cutting_data": data, "diameter_mm": 8.0, "depth_mm": 24.0}
    samples = square_trace(cut_s=3.2)
    frames = [find_holes(samples, expected) for expected in (hole, flat, nested)]
    assert len(frames[0]) == 6
    for frame in frames[1:]:
        pd.testing.assert_frame_equal(frame, frames[0])


@pytest.mark.parametrize("missing", ["diameter_mm", "depth_mm", "speed_m_per_min"])
def test_expected_without_a_value_says_which(missing: str) -> None:
    whole = {"speed_m_per_min": 80.0, "feed_mm_per_rev": 0.15, "diameter_mm": 8.0, "depth_mm": 24.0}
    del whole[missing]
    with pytest.raises(InputError, match=missing):
        HoleFinder(whole)


def test_a_missing_column_is_named() -> None:
    with pytest.raises(InputError, match="column load_pct"):
        find_holes(pd.DataFrame({"time_s": [0.0], "load": [1.0]}))
    with pytest.raises(InputError, match="column load_pct"):
        find_holes(pd.DataFrame({"time_s": [0.0], "load_pct": ["1,2"]}))
    with pytest.raises(InputError, match="as many times as loads"):
        HoleFinder().feed([0.0, 1.0], [1.0])


def test_a_short_last_peck_counts_where_the_spindle_stops_right_after_it() -> None:
    # Two pecks of 7.5 and 5.25 s; every fourth hole the spindle stops at once, for a look at the
    # drill, and the level after the last peck is not the idle of the others.
    expected = {
        "diameter_mm": 10.0, "depth_mm": 27.0, "point_angle_deg": 180.0, "speed_m_per_min": 31.4159,
        "feed_mm_per_rev": 0.126, "peck_mode": "full_retract", "peck_depth_xd": 1.5876,
    }  # fmt: skip
    levels: list[tuple[float, float]] = []
    for number in range(1, 25):
        levels += [(4.3, 3.0), (55.0, 7.5), (5.0, 0.6), (55.0, 5.25)]
        levels += [(2.9, 0.6), (0.0, 15.0)] if number % 4 == 0 else []
    load = np.concatenate([np.full(round(10 * long_s), level) for level, long_s in levels])
    load += np.random.default_rng(5).normal(0.0, 0.15, len(load))
    samples = pd.DataFrame({"time_s": 0.1 * np.arange(len(load)), "load_pct": np.maximum(load, 0)})
    assert expected_times(expected).pecks == 2
    holes = find_holes(samples, expected)
    assert holes["pecks"].tolist() == [2] * 24

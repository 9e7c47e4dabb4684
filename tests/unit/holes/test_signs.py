"""What is told beside the load, and what is said of a hole at the edge of what was recorded."""

from __future__ import annotations

import numpy as np
import pandas as pd

from trials.holes import HoleFinder, find_holes, to_frame

KNOWN = {
    "speed_m_per_min": 80.0, "feed_mm_per_rev": 0.15, "diameter_mm": 8.0, "depth_mm": 24.0,
}  # fmt: skip


def run_up_trace(up_s: float, up_pct: float) -> pd.DataFrame:
    """Spindle off, a run-up, then eight holes of 3.3 s; labels by construction."""
    time = np.arange(0.0, 60.0, 0.05)
    load = np.where(time < 1.2, 0.0, 6.8)
    rpm = np.clip((time - 1.2) / up_s, 0.0, 1.0) * 3000.0
    load[(time >= 1.2) & (time < 1.2 + up_s)] = up_pct
    for start in 7.0 + 6.0 * np.arange(8):
        load[(time >= start) & (time < start + 3.3)] = 21.0
    load += np.random.default_rng(4).normal(0, 0.25, len(time))
    return pd.DataFrame({"time_s": time, "load_pct": load, "rpm": rpm})


def test_a_run_up_is_no_hole_and_no_broken_drill() -> None:
    samples = run_up_trace(0.5, 19.0).drop(columns="rpm")
    for expected in (KNOWN, None):
        holes = find_holes(samples, expected)
        assert len(holes) == 8
        assert holes["flags"].tolist() == [""] * 8


def test_the_spindle_speed_tells_a_run_up_as_long_and_high_as_a_hole() -> None:
    samples = run_up_trace(3.3, 21.0)
    holes = find_holes(samples)
    assert len(holes) == 8
    assert holes.start_s.min() > 6.5


def test_depth_tells_pecks_from_holes_where_the_load_cannot() -> None:
    """Twelve even cuts are four holes of three pecks, by depth alone."""
    time = np.arange(0.0, 70.0, 0.02)
    load, depth = np.full(len(time), 5.0), np.zeros(len(time))
    for i in range(12):
        start = 3.0 + 4.0 * i
        cut = (time >= start) & (time < start + 2.5)
        load[cut] = 30.0
        depth[cut] = 8.0 * (i % 3) + 8.0 * (time[cut] - start) / 2.5
        if i % 3 < 2:
            depth[(time >= start + 2.5) & (time < start + 4.0)] = 8.0 * (i % 3 + 1)
    samples = pd.DataFrame({"time_s": time, "load_pct": load, "depth_mm": depth})
    assert find_holes(samples).pecks.tolist() == [3, 3, 3, 3]


def test_holes_at_the_ends_of_the_trace_are_cut_off() -> None:
    time = np.arange(0.0, 37.0, 0.02)
    load = 5.0 + 30.0 * (time % 6.0 < 3.5)
    holes = find_holes(pd.DataFrame({"time_s": time[:-100], "load_pct": load[:-100]}))
    cut_off = ["cut off" in flags for flags in holes["flags"]]
    assert cut_off == [True] + [False] * (len(holes) - 1)
    late = time < 32.0
    holes = find_holes(pd.DataFrame({"time_s": time[late], "load_pct": load[late]}))
    assert "cut off" in holes["flags"].iloc[-1]


def test_one_sample_at_a_time_gives_what_all_at_once_give() -> None:
    samples = run_up_trace(0.5, 19.0)
    finder, holes = HoleFinder(KNOWN), []
    for time, load, rpm in samples.to_numpy():
        holes += finder.feed([time], [load], rpm=[rpm])
    assert finder.pending
    holes += finder.finish()
    pd.testing.assert_frame_equal(to_frame(holes), find_holes(samples, KNOWN), check_exact=True)


def test_a_hole_counts_within_two_seconds_of_its_end() -> None:
    samples = run_up_trace(0.5, 19.0)
    finder = HoleFinder(KNOWN)
    for number, end_s in enumerate(10.3 + 6.0 * np.arange(8), 1):
        part = samples[samples.time_s.between(end_s - 6.0 if number > 1 else 0.0, end_s + 2.0)]
        part = part[part.time_s > (end_s - 4.0 if number > 1 else -1.0)]
        finder.feed(part.time_s, part.load_pct)
        assert [hole.number for hole in finder.pending] == list(range(1, number + 1))
        assert finder.current is None

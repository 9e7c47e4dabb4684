"""Whole runs of the invented machine: what is heard, what is true, what the person notes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from trials.errors import InputError
from trials.mechanics import hole_time, load_pct, rpm
from trials.model import CuttingData, Drill, HoleFeature, Machine, Work
from trials.simulator import DrilledHole, Job, Watch, drill_holes, invented_process
from trials.simulator.drilling import MOVE_S
from trials.simulator.spindle import Signal

JOB = Job(
    Machine(2.2, 2500, 8000),
    Work("invented steel", "P"),
    HoleFeature(8.5, 25.0),
    Drill("invented drill", 8.5, substrate="cobalt", coating="TiN", point_angle_deg=135.0),
    CuttingData(28.0, 0.13),
)
SAFE = replace(
    invented_process(JOB.drill, JOB.work), chip_chance=0.0, break_chance=0.0, life_scatter=0.0
)
CLEAN = Signal(sample_hz=50.0, decimals=2, filter_s=0.0, noise=0.0)


def _all(holes: list[DrilledHole], name: str) -> np.ndarray:
    return np.concatenate([getattr(hole.samples, name) for hole in holes])


def test_the_same_seed_gives_the_same_run_and_another_seed_another() -> None:
    def loads(seed: int) -> list[float]:
        return _all(list(drill_holes(JOB, Watch(5), seed=seed)), "load_pct").tolist()  # type: ignore[no-any-return]

    assert loads(4) == loads(4)
    assert loads(4) != loads(5)


def test_the_clock_ticks_at_the_sample_rate_and_never_back() -> None:
    holes = list(drill_holes(JOB, Watch(7, look_every_holes=3), Signal(20.0)))
    steps = np.diff(_all(holes, "time_s"))
    np.testing.assert_allclose(steps, 0.05, atol=1e-6)


def test_the_sample_rate_does_not_change_the_life_of_the_drill() -> None:
    slow, quick = (
        [hole.label.vb_mm for hole in drill_holes(JOB, Watch(30), Signal(hz))] for hz in (5, 100)
    )
    assert slow == quick


def test_a_sharp_drill_shows_the_load_that_torque_and_rating_say() -> None:
    (hole,) = drill_holes(JOB, Watch(1), CLEAN, SAFE, seed=1)
    turns = rpm(28.0, 8.5)
    expected = load_pct(JOB.machine, turns, SAFE.torque_n_m(8.5, 0.13))
    idle = hole.samples.load_pct[(hole.samples.rpm > 0) & (hole.samples.depth_mm == 0)]
    above = hole.label.peak_pct - float(np.median(idle))
    assert above == pytest.approx(expected, rel=0.08)  # drill and material scatter by some per cent


def test_cutting_is_heard_for_as_long_as_the_mechanics_say_it_cuts() -> None:
    (hole,) = drill_holes(JOB, Watch(1), CLEAN, SAFE)
    time_s, depth = hole.samples.time_s, hole.samples.depth_mm
    label = hole.label
    expected = hole_time(JOB.cutting_data, 8.5, 25.0, point_angle_deg=135.0)
    assert label.end_s - label.start_s == pytest.approx(expected.cut_s)
    assert label.cut_s == pytest.approx(expected.cut_s)
    deep = time_s[depth > 0.05]
    assert deep[0] == pytest.approx(label.start_s, abs=0.1)
    assert depth[np.searchsorted(time_s, label.end_s) - 1] == pytest.approx(depth.max(), abs=0.1)


def test_holes_come_at_the_cycle_of_the_mechanics_and_the_move() -> None:
    holes = list(drill_holes(JOB, Watch(4, look_every_holes=0), CLEAN, SAFE))
    starts = [hole.label.start_s for hole in holes]
    total_s = hole_time(JOB.cutting_data, 8.5, 25.0, point_angle_deg=135.0).total_s
    np.testing.assert_allclose(np.diff(starts), total_s + MOVE_S)


def test_wear_makes_load_grow_and_idle_falls_as_the_spindle_warms() -> None:
    watch = Watch(400, look_every_holes=0, wear_limit_mm=0.3)
    holes = [h for h in drill_holes(JOB, watch, CLEAN, SAFE) if h.label.life_share < 1.0]
    peaks = [hole.label.peak_pct for hole in holes]
    assert peaks[-1] > 1.15 * peaks[0]
    idle = [float(np.median(h.samples.load_pct[h.samples.depth_mm == 0])) for h in holes]
    assert idle[0] - idle[-1] == pytest.approx(2.0, abs=0.5)


def test_a_run_ends_worn_at_the_look_that_sees_the_limit() -> None:
    holes = list(drill_holes(JOB, Watch(1000, look_every_holes=5), Signal(2.0), SAFE))
    last = holes[-1]
    assert last.end == "worn"
    assert last.label.number % 5 == 0
    assert last.reading is not None
    assert last.reading.vb_maximum_mm is not None
    assert last.reading.vb_maximum_mm >= 0.3
    assert all(hole.end is None for hole in holes[:-1])
    looks = [hole.reading for hole in holes if hole.reading is not None]
    assert [reading.hole for reading in looks] == list(range(5, last.label.number + 1, 5))
    for reading, hole in zip(looks, holes[4::5], strict=True):
        # A loupe of 2 % and hundredths, five standard deviations wide.
        assert reading.vb_maximum_mm == pytest.approx(hole.label.vb_mm, rel=0.1, abs=0.006)


def test_a_run_of_few_holes_is_stopped_with_a_last_look() -> None:
    last = list(drill_holes(JOB, Watch(12, look_every_holes=5), Signal(5.0), SAFE))[-1]
    assert (last.label.number, last.end) == (12, "stopped")
    assert last.reading is not None


def test_the_person_stops_above_the_load_limit() -> None:
    watch = Watch(400, look_every_holes=0, load_limit_pct=45.0)
    holes = list(drill_holes(JOB, watch, CLEAN, SAFE))
    assert holes[-1].end == "load_limit"
    assert holes[-1].label.peak_pct > 45.0
    assert all(hole.label.peak_pct <= 45.0 for hole in holes[:-1])


def test_a_broken_drill_spikes_then_turns_in_air() -> None:
    holes = list(drill_holes(JOB, Watch(60), CLEAN, replace(SAFE, break_chance=1.0)))
    hole = holes[-1]
    assert not any(other.label.broken for other in holes[:-1])
    assert hole.end == "broken"
    assert hole.label.broken
    assert hole.reading is None
    load, depth = hole.samples.load_pct, hole.samples.depth_mm
    spike = int(load.argmax())
    assert load[spike] > 150.0
    rest = load[spike + 15 :][depth[spike + 15 :] > 0]
    assert rest.max(initial=0.0) < 12.0


def test_chipping_raises_load_and_ends_the_run_when_it_is_seen() -> None:
    holes = list(drill_holes(JOB, Watch(300, 5), Signal(2.0), replace(SAFE, chip_chance=0.3)))
    assert holes[-1].end == "chipped"
    assert holes[-1].reading is not None
    assert holes[-1].reading.corner_chipping_mm is not None
    assert holes[-1].reading.corner_chipping_mm >= 0.3
    chips = [hole.label.corner_chipping_mm for hole in holes]
    assert chips == sorted(chips)


def test_drills_scatter_around_the_life_of_the_process() -> None:
    truth = replace(SAFE, life_scatter=0.12)
    lives = [
        next(
            h.label.number
            for h in drill_holes(JOB, Watch(2000, 0, 5.0), Signal(0.2), truth, seed=seed)
            if h.label.life_share >= 1.0
        )
        for seed in range(40)
    ]
    cut_min = hole_time(JOB.cutting_data, 8.5, 25.0, point_angle_deg=135.0).cut_s / 60.0
    expected = 1.0 / truth.life_share_per_hole(JOB.cutting_data, cut_min, 1, 1.0)
    # The mean of 40 lognormal lives of 12 % lies within 8 % (four standard errors).
    assert np.exp(np.mean(np.log(lives))) == pytest.approx(expected, rel=0.08)
    assert 0.06 < np.std(np.log(lives)) < 0.20


def test_whole_percent_is_whole_percent() -> None:
    holes = list(drill_holes(JOB, Watch(2), Signal(10.0, decimals=0)))
    loads = _all(holes, "load_pct")
    assert np.all(loads == np.round(loads))
    assert loads.min() >= 0.0


def test_pecking_shows_in_the_trace() -> None:
    data = replace(JOB.cutting_data, peck_mode="full_retract", peck_depth_xd=1.0)
    (hole,) = drill_holes(replace(JOB, cutting_data=data), Watch(1), CLEAN, SAFE)
    cutting = hole.samples.load_pct > 0.5 * hole.label.peak_pct
    entries = int(np.sum(np.diff(cutting.astype(int)) == 1))
    assert entries == hole.label.pecks == 4  # 25 mm and the point, 8.5 mm a peck


def test_half_feed_at_breakthrough_is_a_step_down_and_not_an_end() -> None:
    data = replace(JOB.cutting_data, breakthrough_feed_factor=0.5, breakthrough_mm=6.0)
    job = replace(JOB, cutting_data=data, hole=replace(JOB.hole, through=True))
    (hole,) = drill_holes(job, Watch(1), CLEAN, SAFE)
    depth, load = hole.samples.depth_mm, hole.samples.load_pct
    full = load[(depth > 15.0) & (depth < 18.5)].mean()
    half = load[(depth > 20.0) & (depth < 24.5)].mean()
    assert 0.5 * full < half < 0.75 * full  # f^0.8 of torque at half feed is 0.57


def test_cutting_data_beyond_the_machine_are_refused() -> None:
    with pytest.raises(InputError, match="turns at most"):
        replace(JOB, cutting_data=CuttingData(400.0, 0.1))

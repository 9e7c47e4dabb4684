"""A sound drill raises no alarm, at whatever moment the holes so far are looked at."""

from __future__ import annotations

import numpy as np

from trials.holes import HoleFinder
from trials.logger import HoleAlarm
from trials.mechanics import hole_time
from trials.model import CuttingData, Drill, ExpectedHole, HoleFeature, Machine, Work
from trials.simulator import Job, Signal, Watch, drill_holes

JOB = Job(
    Machine(11, 1500, 8000),
    Work("invented steel", "P"),
    HoleFeature(8.5, 30.0),
    Drill("invented drill", 8.5, substrate="carbide", coating="TiAlN"),
    CuttingData(81.0, 0.165),
)


def test_the_first_holes_of_a_sound_drill_raise_no_alarm() -> None:
    expected = ExpectedHole(JOB.cutting_data, JOB.drill.diameter_mm, JOB.hole.depth_mm)
    cut_s = hole_time(JOB.cutting_data, JOB.drill.diameter_mm, JOB.hole.depth_mm).cut_s
    told = []
    for seed in range(6):
        holes = list(drill_holes(JOB, Watch(2, look_every_holes=0), Signal(20.0), seed=seed))
        time_s, load_pct, speed = (
            np.concatenate([getattr(hole.samples, name) for hole in holes])
            for name in ("time_s", "load_pct", "rpm")
        )
        for count in range(20, len(time_s), 2):
            finder = HoleFinder(expected)
            finder.feed(time_s[:count], load_pct[:count], rpm=speed[:count])
            alarm = HoleAlarm(1000.0, expected_cut_s=cut_s)
            events = alarm.look(finder.pending, float(time_s[count - 1]))
            told += [(seed, float(time_s[count - 1]), event.text) for event in events]
    assert told == []

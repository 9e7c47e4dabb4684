"""The path of one hole spends exactly the times that the mechanics count."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials.mechanics import hole_time, point_length_mm
from trials.model import CuttingData, Drill, HoleFeature, Machine, PeckMode
from trials.simulator.hole_path import CLEARANCE_MM, hole_path

MACHINE = Machine(7.5, 2000, 10_000, rapid_mm_per_min=15_000)


@given(
    mode=st.sampled_from(["none", "chip_break", "full_retract"]),
    peck=st.floats(0.3, 4.0),
    depth_xd=st.floats(0.5, 8.0),
    through=st.booleans(),
    factor=st.sampled_from([1.0, 0.5]),
    angle=st.floats(90.0, 150.0),
)
def test_its_times_are_those_of_the_mechanics(
    mode: PeckMode, peck: float, depth_xd: float, through: bool, factor: float, angle: float
) -> None:
    data = CuttingData(60.0, 0.15, mode, peck, factor, 2.0)
    drill, hole = Drill("d", 8.0, point_angle_deg=angle), HoleFeature(8.0, 8.0 * depth_xd, through)
    path = hole_path(data, drill, hole, MACHINE)
    times = hole_time(
        data, 8.0, hole.depth_mm, point_angle_deg=angle, through=through,
        clearance_mm=CLEARANCE_MM, rapid_mm_per_min=15_000,
    )  # fmt: skip
    assert path.total_s == pytest.approx(times.total_s, rel=1e-9)
    assert path.pecks == times.pecks
    cut = [0.0] * path.pecks
    for step in path.steps:
        if step.doing == "cut":
            cut[step.peck] += step.seconds
    assert cut == pytest.approx(list(times.peck_cut_s), rel=1e-9)
    assert path.last_cut_s == pytest.approx(path.total_s - times.retract_s)


def test_the_tip_goes_through_the_point_length_and_comes_back() -> None:
    drill, hole = Drill("d", 10.0, point_angle_deg=118.0), HoleFeature(10.0, 30.0)
    path = hole_path(CuttingData(60.0, 0.2, "full_retract", 1.0), drill, hole, MACHINE)
    depth, _ = path.at(np.linspace(0.0, path.total_s, 5000))
    assert depth[0] == depth[-1] == -CLEARANCE_MM
    # 0.30043 · D is the point of 118° (geometry).
    assert depth.max() == pytest.approx(30.0 + 3.0043, abs=0.02)
    assert point_length_mm(10.0, 118.0) == pytest.approx(3.0043, abs=1e-4)


def test_a_chip_break_stays_in_the_hole_and_a_full_retract_leaves_it() -> None:
    drill, hole = Drill("d", 10.0), HoleFeature(10.0, 30.0)
    for mode, leaves in (("chip_break", False), ("full_retract", True)):
        path = hole_path(CuttingData(60.0, 0.2, mode, 1.0), drill, hole, MACHINE)  # type: ignore[arg-type]  # both are peck modes
        between = [step.to_mm for step in path.steps[:-1] if step.doing != "cut"][1:]
        assert (min(between) < 0) is leaves

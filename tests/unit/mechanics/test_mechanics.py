from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials import mechanics
from trials.errors import InputError
from trials.model import CuttingData, Drill, HoleFeature, Machine, Work

MACHINE = Machine(11, 1500, 8000)
speeds = st.floats(5, 300)
feeds = st.floats(0.01, 0.5)
diameters = st.floats(1, 30)
depths_xd = st.floats(0.5, 12)
modes = st.sampled_from(["none", "chip_break", "full_retract"])


@given(speeds, feeds, diameters, depths_xd, modes, st.floats(0.3, 4))
def test_pecks_cover_the_hole_once(
    speed: float, feed: float, diameter: float, depth_xd: float, mode: str, peck_xd: float
) -> None:
    data = CuttingData(speed, feed, mode, peck_xd)  # type: ignore[arg-type]  # sampled text
    depth = diameter * depth_xd
    time = mechanics.hole_time(data, diameter, depth)
    plain = mechanics.hole_time(CuttingData(speed, feed), diameter, depth)
    assert time.cut_s == pytest.approx(plain.cut_s)
    assert time.total_s >= plain.total_s - 1e-9
    path = depth + mechanics.point_length_mm(diameter, 140)
    if mode != "none":
        assert time.pecks == max(1, math.ceil(path / (peck_xd * diameter) - 1e-9))


@given(speeds, feeds, diameters, depths_xd, modes)
def test_deeper_takes_longer(
    speed: float, feed: float, diameter: float, depth_xd: float, mode: str
) -> None:
    data = CuttingData(speed, feed, mode, 1.0)  # type: ignore[arg-type]  # sampled text
    shallow = mechanics.hole_time(data, diameter, diameter * depth_xd)
    deep = mechanics.hole_time(data, diameter, diameter * depth_xd * 1.1)
    assert deep.total_s > shallow.total_s


def test_a_full_retract_peck_costs_more_time_than_a_chip_break() -> None:
    full = mechanics.hole_time(CuttingData(80, 0.2, "full_retract", 1.0), 8, 40)
    chip = mechanics.hole_time(CuttingData(80, 0.2, "chip_break", 1.0), 8, 40)
    assert full.pecks == chip.pecks == 6
    assert full.peck_s > chip.peck_s > 0


def test_load_is_torque_below_and_power_above_the_base_speed() -> None:
    torque = MACHINE.rated_torque_n_m / 2
    assert mechanics.load_pct(MACHINE, 500, torque) == pytest.approx(50)
    assert mechanics.load_pct(MACHINE, 1500, torque) == pytest.approx(50)
    assert mechanics.load_pct(MACHINE, 3000, torque) == pytest.approx(100)


def test_within_machine_names_what_is_too_much() -> None:
    assert mechanics.within_machine(CuttingData(80, 0.2), 8.5, MACHINE) == []
    too_fast = mechanics.within_machine(CuttingData(500, 0.2), 8.5, MACHINE)
    assert len(too_fast) == 1
    assert "turns at most 8000 /min" in too_fast[0]
    weak_axis = Machine(11, 1500, 8000, max_feed_mm_per_min=100)
    assert "feeds at most 100 mm/min" in mechanics.within_machine(
        CuttingData(80, 0.2), 8.5, weak_axis
    )[0]  # fmt: skip


@given(
    st.floats(1, 25), depths_xd, st.sampled_from("PMKNS"),
    st.sampled_from(["hss", "cobalt", "carbide"]), st.booleans(),
)  # fmt: skip
def test_a_start_is_within_every_limit(
    diameter: float, depth_xd: float, group: str, substrate: str, through: bool
) -> None:
    machine = Machine(15, 1500, 8000, max_feed_mm_per_min=2000, max_thrust_n=15_000)
    drill = Drill("d", diameter, substrate=substrate)  # type: ignore[arg-type]  # sampled text
    work = Work("any", group)  # type: ignore[arg-type]  # sampled text
    hole = HoleFeature(diameter, diameter * depth_xd, through=through)
    start = mechanics.first_cutting_data(drill, work, hole, machine, load_limit_pct=80)
    data = start.cutting_data
    assert mechanics.within_machine(data, diameter, machine) == []
    assert start.load_worn_pct <= 80
    assert start.thrust_n <= 15_000
    low, high = start.bounds.speed_m_per_min
    assert low <= data.speed_m_per_min <= high
    low, high = start.bounds.feed_mm_per_rev
    assert low <= data.feed_mm_per_rev <= high
    assert all(start.reasons)


def test_a_start_that_is_not_possible_says_what_to_change() -> None:
    weak = Machine(0.3, 1500, 8000)
    with pytest.raises(InputError, match="stronger machine"):
        mechanics.first_cutting_data(
            Drill("d", 20.0), Work("steel", "P"), HoleFeature(20, 40), weak
        )
    with pytest.raises(InputError, match="carbide"):
        mechanics.first_cutting_data(
            Drill("d", 8.0, substrate="hss"), Work("hard", "H"), HoleFeature(8, 16), MACHINE
        )


def test_chisel_ratio_outside_the_table_is_refused() -> None:
    with pytest.raises(InputError, match=r"0\.03 to 0\.4"):
        mechanics.handbook_thrust_n(10, 0.2, 24_000, chisel_ratio=0.5)

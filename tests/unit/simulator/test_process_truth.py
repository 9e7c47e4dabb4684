"""The invented process behaves as the trade says drilling does; its numbers are nobody's."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials.errors import InputError
from trials.mechanics import first_cutting_data, material_defaults, torque_n_m
from trials.model import ISO_GROUPS, CuttingData, Drill, HoleFeature, Machine, Work
from trials.simulator import ProcessTruth, invented_process

TRUTH = ProcessTruth(
    kc1_1_n_per_mm2=1800.0,
    mc=0.2,
    point_angle_deg=140.0,
    reference_min=20.0,
    reference_speed_m_per_min=80.0,
    reference_feed_mm_per_rev=0.2,
)


def test_the_sharp_drill_follows_the_specific_force_formula() -> None:
    # The formula itself is checked against outside values in tests/reference.
    assert TRUTH.torque_n_m(10.0, 0.2) == torque_n_m(10.0, 0.2, 1800.0, 0.2, 140.0)


def test_wear_at_the_limit_adds_its_share_of_torque() -> None:
    # Arithmetic: 35 % more at the wear that ends life.
    assert TRUTH.torque_n_m(10.0, 0.2, 0.3) == pytest.approx(1.35 * TRUTH.torque_n_m(10.0, 0.2))


def test_life_ends_at_the_limit_in_three_phases() -> None:
    # Three phases of wear, quick, steady, steep: common practice, no source.
    assert TRUTH.wear_mm(0.0) == 0.0
    assert TRUTH.wear_mm(1.0) == pytest.approx(0.3, rel=1e-6)
    early = TRUTH.wear_mm(0.1) - TRUTH.wear_mm(0.0)
    middle = TRUTH.wear_mm(0.55) - TRUTH.wear_mm(0.45)
    late = TRUTH.wear_mm(1.0) - TRUTH.wear_mm(0.9)
    assert early > 1.5 * middle
    assert late > 1.5 * middle


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0))
def test_wear_never_goes_back(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert TRUTH.wear_mm(low) <= TRUTH.wear_mm(high)


def test_faster_is_shorter_above_the_reference_and_slower_is_no_gain_in_a_built_up_edge() -> None:
    # Built-up edge at low speed: common practice, no source. Life grows with less speed, but by
    # less than the power law says once an edge builds up.
    at = {speed: TRUTH.minutes_to_wear(speed, 0.2) for speed in (25.0, 50.0, 80.0, 120.0, 160.0)}
    assert at[80.0] > at[120.0] > at[160.0]
    power_law = (50.0 / 25.0) ** TRUTH.speed_exponent
    assert at[25.0] / at[50.0] < 0.8 * power_law
    clean = replace(TRUTH, built_up_edge=0.0)
    assert clean.minutes_to_wear(25.0, 0.2) > 1.5 * at[25.0]


def test_it_is_no_power_law_of_speed() -> None:
    # The optimizer believes in one; the simulator must be able to prove it wrong.
    def local_exponent(speed: float) -> float:
        return TRUTH.minutes_to_wear(speed, 0.2) / TRUTH.minutes_to_wear(1.1 * speed, 0.2)

    assert local_exponent(150.0) > 1.5 * local_exponent(30.0)


def test_every_entry_costs_life() -> None:
    # "Most wear comes at entry, so every peck costs life": common practice, no source.
    data = CuttingData(80.0, 0.2)
    one = TRUTH.life_share_per_hole(data, 0.1, 1, 1.0)
    five = TRUTH.life_share_per_hole(data, 0.1, 5, 1.0)
    assert five - one == pytest.approx(4 * TRUTH.entry_min / TRUTH.minutes_to_wear(80.0, 0.2))


def test_chips_pack_only_beyond_what_the_flutes_carry_away() -> None:
    assert TRUTH.packing(TRUTH.chips_free_xd) == 1.0
    assert TRUTH.packing(5.0) > TRUTH.packing(4.0) > 1.0


def test_damage_is_likelier_the_harder_the_edge_is_loaded() -> None:
    loads = [0.5, 1.0, 1.5, 2.0]
    chipping = [TRUTH.chance_of_chipping(load) for load in loads]
    breaking = [TRUTH.chance_of_breaking(load) for load in loads]
    assert chipping == sorted(chipping)
    assert breaking == sorted(breaking)
    assert len(set(chipping)) == len(set(breaking)) == 4
    assert all(0 < b < c <= 0.5 for b, c in zip(breaking, chipping, strict=True))


@pytest.mark.parametrize("group", ISO_GROUPS)
def test_there_is_a_process_for_every_group_and_the_catalogue_is_not_its_answer(
    group: str,
) -> None:
    work = Work("invented", group)  # type: ignore[arg-type]  # parametrized over the same list
    drill = Drill("invented", 8.0, substrate="carbide")
    truth = invented_process(drill, work)
    catalogue = material_defaults(work.group)
    assert truth.reference_speed_m_per_min != catalogue.speed_m_per_min["carbide"]
    start = first_cutting_data(drill, work, HoleFeature(8.0, 16.0), Machine(11.0, 2000, 12_000))
    data = start.cutting_data
    assert truth.minutes_to_wear(data.speed_m_per_min, data.feed_mm_per_rev) > 1.0


def test_a_better_coating_lasts_longer() -> None:
    # Order of the coatings in steel: common practice, no source.
    work = Work("invented steel", "P")
    minutes = [
        invented_process(Drill("d", 8.0, coating=coating), work).reference_min
        for coating in ("bright", "black_oxide", "TiN", "TiCN", "TiAlN")
    ]
    assert minutes == sorted(minutes)


def test_a_process_without_life_is_refused() -> None:
    with pytest.raises(InputError, match=r"reference cutting time.*more than 0"):
        replace(TRUTH, reference_min=0.0)

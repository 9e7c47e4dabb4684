"""Rules of the trade as worked costs and limits: common practice, no source, unless said."""

from __future__ import annotations

import pytest

from trials.economics import compare, cost_per_hole, regrind_advice
from trials.life import holes_to_wear
from trials.model import CuttingData, Economics, Run, WearLimits, WearReading

DATA = CuttingData(25.0, 0.15)


def worn(number: int, holes: int) -> Run:
    return Run(number, "x", DATA, state="ended", end="worn", holes=holes, cycle_min=0.2)


@pytest.mark.parametrize(("price_ratio", "cheaper"), [(1.2, "black oxide"), (1.9, "bright")])
def test_black_oxide_is_worth_up_to_half_as_much_again(price_ratio: float, cheaper: str) -> None:
    # Black oxide: up to half as much life again over bright. At 1.5 times the life it pays while
    # drill and change cost less than 1.5 times as much: here a drill of 20 with a change of 2.
    lives = (190, 200, 210, 195, 205)
    found = compare(
        {
            "bright": [worn(n, holes) for n, holes in enumerate(lives, start=1)],
            "black oxide": [worn(n, round(1.5 * holes)) for n, holes in enumerate(lives, start=6)],
        },
        {
            "bright": Economics(0.05, tool_change_min=40, drill_price=20),
            "black oxide": Economics(0.05, tool_change_min=40, drill_price=20 * price_ratio),
        },
    )
    assert found.drills[0].drill == cheaper
    by_hand = {"bright": 22 / 200, "black oxide": (20 * price_ratio + 2) / 300}
    assert min(by_hand, key=lambda name: by_hand[name]) == cheaper


def test_five_thousand_holes_in_cast_iron_leave_the_machine_to_be_paid() -> None:
    # 5,000 and more holes from one drill are seen in cast iron when dialled in: a dear drill of 150
    # with a change of 2 min at 1.20 then costs 0.03048 a hole, beside 0.12 for a hole of 0.1 min.
    economics = Economics(1.2, tool_change_min=2, drill_price=150)
    found = cost_per_hole(economics, 0.1, 5000)
    assert found.drill + found.change == pytest.approx(0.03048)
    assert found.total == pytest.approx(0.15048)
    # And such a life can be read off wear that was stopped early: 0.05 mm in 1,000 holes.
    readings = [WearReading(hole, vb_average_mm=hole / 20_000) for hole in range(500, 4001, 500)]
    life = holes_to_wear(readings, 0.25, "stopped", 4000)
    assert life.kind == "projected"
    assert life.high is not None
    assert life.low < 5000 < life.high


def test_flank_wear_criteria_of_turning_as_limits() -> None:
    # 0.3 mm on average or 0.6 mm at most, whichever comes first: ISO 3685, single-point turning,
    # from memory; for a drill a convention only.
    limits = WearLimits(vb_average_mm=0.3, vb_maximum_mm=0.6).filled(0.3)

    def end(average: float, maximum: float) -> str:
        seen = [WearReading(100, vb_average_mm=average, vb_maximum_mm=maximum)]
        return holes_to_wear(seen, limits, None, 100).kind

    assert end(0.29, 0.59) == "censored"
    assert end(0.30, 0.31) == end(0.10, 0.60) == "observed"
    assert end(0.35, 0.40) == end(0.20, 0.70) == "interpolated"


def test_regrind_at_half_a_millimetre_while_holes_are_in_tolerance() -> None:
    # Regrind when wear or chipping reaches 0.5 mm (about 0.020 in) and holes are still in
    # tolerance; even wear can be reground, a chipped margin cannot.
    money = Economics(1.0, tool_change_min=2, drill_price=60, regrinds=3, regrind_cost=15)
    even = WearReading(90, vb_average_mm=0.4, vb_maximum_mm=0.5, corner_chipping_mm=0.5)
    assert regrind_advice(money, even, end="worn", wear_limit_mm=0.5).action == "regrind"
    assert 0.5 / 25.4 == pytest.approx(0.020, abs=5e-4)
    chipped = WearReading(90, vb_maximum_mm=0.1, margin_chipping_mm=0.02)
    assert regrind_advice(money, chipped, end="chipped", wear_limit_mm=0.5).action == "retire"

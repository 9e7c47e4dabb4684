"""Money and runs as they should not be, or at the edge of what can be."""

from __future__ import annotations

import math
from typing import Any

import pytest

from trials.economics import Offer, compare, evidence_of, run_size
from trials.errors import InputError
from trials.model import CuttingData, Economics, End, Run


def run(number: int, holes: int, end: End = "worn", cycle_min: float = 0.1) -> Run:
    return Run(number, "a", CuttingData(80, 0.1), state="ended", end=end, holes=holes,
               cycle_min=cycle_min)  # fmt: skip


@pytest.mark.parametrize(
    "changes",
    [{"machine_rate_per_min": math.nan}, {"machine_rate_per_min": -1.0}, {"drill_price": 1e12},
     {"regrinds": 2.5}, {"regrinds": -1}, {"inspect_every_holes": 0.5}, {"scrap_share": 1.1},
     {"life_lost_per_regrind": 1.0}, {"coolant_per_min": math.inf}, {"currency": "euro"}],
)  # fmt: skip
def test_impossible_money_is_refused(changes: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        Economics(**({"machine_rate_per_min": 1.0} | changes))


@pytest.mark.parametrize("cycle", [math.nan, -1.0, 0.0, math.inf])
def test_impossible_cycle_times_are_refused(cycle: float) -> None:
    with pytest.raises(InputError, match="cycle time"):
        compare({"a": [run(1, 100, cycle_min=cycle)]}, {"a": Economics(1, drill_price=10)})


def test_drills_that_cost_nothing_are_the_same() -> None:
    found = compare(
        {"a": [run(1, 100)], "b": [run(2, 400)]}, {"a": Economics(0), "b": Economics(0)}
    )
    assert {one.verdict for one in found.drills} == {"tie"}
    (pair,) = found.differences
    assert (pair.low, pair.middle, pair.high) == (0, 0, 0)
    assert 0 <= pair.p_cheaper <= 1


def test_lives_of_one_hole_and_of_a_hundred_million_are_compared() -> None:
    money = Economics(1, drill_price=10)
    first, second = compare(
        {"a": [run(1, 10**8)], "b": [run(2, 1)]}, {"a": money, "b": money}
    ).drills
    assert (first.drill, second.drill) == ("a", "b")
    assert first.cost is not None
    assert math.isfinite(first.cost.total)


@pytest.mark.parametrize("holes", [1, 199, 300_001, 20_000_000, 10**9])
def test_a_run_of_any_size_is_costed_at_its_own_size(holes: int) -> None:
    # Whole drills by hand: 400 holes an edge at 10 and 2 a change, 0.1 min a hole at 1 a minute.
    money = Economics(1, tool_change_min=2, drill_price=10)
    found = run_size([Offer(evidence_of("a", [run(1, 400), run(2, 400)], money)[0], 50.0)], holes)
    (line,) = found.lines
    at = found.sizes.index(holes)
    by_hand = (50 + math.ceil(holes / 400) * 12 + 0.1 * holes) / holes
    assert line.per_hole[at] == pytest.approx(by_hand, rel=1e-9)

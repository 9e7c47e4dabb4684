"""The trade's own ratios as worked cost examples: which drill is cheaper, and from how many holes.

Common practice, no source: a carbide drill costs about ten times a cobalt one, outlives it ten to
twenty times in a rigid machine and runs three to five times faster; 100 holes from a cobalt drill
are 1,000 to 2,000 from carbide. Prices, times and the price of the tests are invented; every
expected value is worked out by hand beside it.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from trials.economics import (
    DrillEvidence,
    Offer,
    compare,
    evidence_of,
    job_cost,
    run_size,
)
from trials.model import CuttingData, Economics, Run

SLOW, FAST = CuttingData(20.0, 0.12), CuttingData(80.0, 0.12)
COBALT_HOLES, COBALT_CYCLE = 100, 0.40
RATE, CHANGE_MIN, PRICE = 1.2, 2.0, 12.0


def money(price: float) -> Economics:
    return Economics(RATE, tool_change_min=CHANGE_MIN, drill_price=price)


def drill(name: str, holes: int, cycle_min: float, price: float) -> DrillEvidence:
    data = SLOW if name == "cobalt" else FAST
    run = Run(1, name, data, state="ended", end="worn", holes=holes, cycle_min=cycle_min)
    return evidence_of(name, [run], money(price))[0]


COBALT = drill("cobalt", COBALT_HOLES, COBALT_CYCLE, PRICE)


@pytest.mark.parametrize("life_ratio", [10, 15, 20])
@pytest.mark.parametrize("speed_ratio", [3, 4, 5])
def test_the_cheaper_drill_per_hole_is_found(life_ratio: int, speed_ratio: int) -> None:
    def runs(name: str, holes: int, cycle_min: float) -> list[Run]:
        data = SLOW if name == "cobalt" else FAST
        return [
            Run(n, name, data, state="ended", end="worn", holes=holes, cycle_min=cycle_min)
            for n in (1, 2)
        ]

    found = compare(
        {
            "cobalt": runs("cobalt", COBALT_HOLES, COBALT_CYCLE),
            "carbide": runs("carbide", COBALT_HOLES * life_ratio, COBALT_CYCLE / speed_ratio),
        },
        {"cobalt": money(PRICE), "carbide": money(10 * PRICE)},
    )
    first, second = found.drills
    assert (first.drill, first.verdict, second.verdict) == ("carbide", "cheapest", "dearer")
    assert first.cost is not None
    assert second.cost is not None
    # "At or below": ten times the price over ten times the life is the same drill money a hole.
    assert first.cost.drill <= second.cost.drill * (1 + 1e-12)
    # By hand: 0.48/speed + 14.4-ish shares against 0.48 + (12 + 2.4)/100.
    by_hand = 0.48 / speed_ratio + (120 + 2.4) / (100 * life_ratio)
    assert first.cost.total == pytest.approx(by_hand)
    assert second.cost.total == pytest.approx(0.48 + 0.144)


def test_a_job_by_hand() -> None:
    # 250 holes with cobalt: 3 drills at 12, 3 changes at 2.4, 250 · 0.48 = 163.20.
    # With carbide: 1 at 120, one change, 250 · 0.12, and 80 for the tests = 232.40.
    carbide = drill("carbide", 1000, 0.10, 120.0)
    size = np.array([250.0])
    assert job_cost(Offer(COBALT), size)[0] == pytest.approx(163.20)
    assert job_cost(Offer(carbide, 80.0), size)[0] == pytest.approx(232.40)
    # Exactly one drill's life buys one drill, one hole more buys two.
    assert job_cost(Offer(COBALT), np.array([100.0]))[0] == pytest.approx(12 + 2.4 + 48)
    assert job_cost(Offer(COBALT), np.array([101.0]))[0] == pytest.approx(24 + 4.8 + 48.48)


@pytest.mark.parametrize(
    ("life_ratio", "speed_ratio", "tests"),
    [(10, 3, 0.0), (15, 4, 150.0), (20, 5, 150.0), (10, 5, 400.0)],
)
def test_the_run_size_where_it_flips(life_ratio: int, speed_ratio: int, tests: float) -> None:
    carbide = drill("carbide", COBALT_HOLES * life_ratio, COBALT_CYCLE / speed_ratio, 120.0)

    def by_hand(holes: int) -> tuple[float, float]:
        slow = math.ceil(holes / 100) * (12 + 2.4) + 0.48 * holes
        fast = (
            tests + math.ceil(holes / (100 * life_ratio)) * (120 + 2.4) + 0.48 / speed_ratio * holes
        )
        return slow, fast

    farthest = 20_000
    flips = next(n for n in range(farthest, 0, -1) if by_hand(n)[0] <= by_hand(n)[1]) + 1
    found = run_size([Offer(COBALT), Offer(carbide, tests)], flips - 1)
    (even,) = found.break_evens
    assert (even.first, even.then, even.holes) == ("cobalt", "carbide", flips)
    assert even.low is not None
    assert even.low <= flips
    # Just below it this run takes cobalt and carbide waits for the job to come back.
    assert (found.now, found.later) == ("cobalt", "carbide")
    assert "move to carbide when the job comes back" in found.advice
    assert run_size([Offer(COBALT), Offer(carbide, tests)], flips).now == "carbide"


def test_minimum_cost_speed_is_where_a_large_job_costs_least() -> None:
    # Ghosh and Mallik, Manufacturing Science, examples 4.26 and 4.28: n 0.25, C 75 m/min,
    # Co 0.15 /min, tool 2.50, change 2 min: cheapest at 27.4166 m/min, fastest at 47.9207 m/min.
    # A large job costed hole by hole must agree: 30 m of cut a hole.
    economics = Economics(0.15, tool_change_min=2.0, drill_price=2.50)

    def cost(speed: float) -> tuple[float, float]:
        cycle_min, life_min = 30.0 / speed, (75.0 / speed) ** 4
        data = CuttingData(speed, 0.2)
        holes = max(1, round(life_min / cycle_min))
        run = Run(1, "x", data, state="ended", end="worn", holes=holes, cycle_min=cycle_min)
        (one,) = evidence_of("x", [run], economics)
        minutes = cycle_min + 2.0 * cycle_min / life_min
        return float(job_cost(Offer(one), np.array([1e5]))[0]), minutes

    speeds = np.arange(20.0, 60.0, 0.25)
    costs = [cost(speed)[0] for speed in speeds]
    minutes = [cost(speed)[1] for speed in speeds]
    assert speeds[int(np.argmin(costs))] == pytest.approx(27.4166, abs=1.5)  # whole holes an edge
    assert speeds[int(np.argmin(minutes))] == pytest.approx(47.9207, abs=0.25)

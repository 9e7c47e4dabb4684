"""What must hold for jobs, regrinds and shown parts whatever the numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trials.economics import (
    Offer,
    best_regrinds,
    cost_per_hole,
    evidence_of,
    job_cost,
    regrind_advice,
    run_size,
)
from trials.model import ENDS, CuttingData, Economics, Run, WearReading

economics = st.builds(
    Economics,
    machine_rate_per_min=st.floats(0.01, 20),
    tool_change_min=st.floats(0, 20),
    drill_price=st.floats(0.1, 500),
    regrinds=st.integers(0, 6),
    regrind_cost=st.floats(0, 100),
    breakage_cost=st.floats(0, 1000),
    inspect_every_holes=st.integers(0, 200),
    inspect_min=st.floats(0, 5),
    coolant_per_min=st.floats(0, 2),
    scrap_cost=st.floats(0, 500),
    scrap_share=st.floats(0, 0.2),
    life_lost_per_regrind=st.floats(0, 0.9),
)
lives = st.integers(1, 3000)


def offer(money: Economics, holes: int, tests: float = 0.0, name: str = "a") -> Offer:
    run = Run(1, name, CuttingData(80, 0.1), state="ended", end="worn", holes=holes, cycle_min=0.2)
    return Offer(evidence_of(name, [run], money)[0], tests)


@given(economics, st.floats(0.01, 5), st.floats(1, 1e5), st.floats(0, 1), st.floats(0, 1),
       st.integers(0, 4))  # fmt: skip
def test_parts_and_shown_parts_add_up(
    money: Economics, cycle: float, life: float, broken: float, beyond: float, digits: int
) -> None:
    cost = cost_per_hole(money, cycle, life, broken, beyond_regrind_share=beyond)
    assert sum(cost.parts.values()) == pytest.approx(cost.total, rel=1e-12)
    shown = cost.shown_parts(digits)
    assert sum(shown.values()) == pytest.approx(round(cost.total, digits), abs=1e-6 * cost.total)


@given(economics, lives, st.floats(0, 1))
def test_a_cheaper_drill_never_raises_the_cost_of_a_job(
    money: Economics, life: int, discount: float
) -> None:
    sizes = np.array([1.0, 10.0, 333.0, 5000.0])
    before = job_cost(offer(money, life), sizes)
    cheaper = replace(money, drill_price=money.drill_price * discount)
    assert np.all(job_cost(offer(cheaper, life), sizes) <= before * (1 + 1e-12))


@given(economics, lives, st.floats(0, 1000))
def test_a_larger_job_never_costs_less_and_nears_the_long_run(
    money: Economics, life: int, tests: float
) -> None:
    one = offer(money, life, tests)
    sizes = np.unique(np.geomspace(1, 1e4, 60).round())
    costs = job_cost(one, sizes)
    assert np.all(np.diff(costs) >= -1e-9 * costs[1:])
    far = 1e9
    assert job_cost(one, np.array([far]))[0] / far == pytest.approx(
        one.evidence.cost().total, rel=1e-3
    )


@settings(deadline=None, max_examples=15)
@given(economics, economics, lives, lives, st.floats(0, 300), st.integers(1, 3000))
def test_after_a_break_even_the_second_drill_stays_below(
    one: Economics, other: Economics, life: int, life_2: int, tests: float, holes: int
) -> None:
    offers = [offer(one, life), offer(other, life_2, tests, "b")]
    found = run_size(offers, holes)
    by_name = dict(zip("ab", offers, strict=True))
    for even in found.break_evens:
        beyond = np.arange(even.holes, found.sizes[-1] + 1, dtype=float)
        assert np.all(job_cost(by_name[even.then], beyond) < job_cost(by_name[even.first], beyond))
    cheapest = min("ab", key=lambda name: job_cost(by_name[name], np.array([float(holes)]))[0])
    now = job_cost(by_name[found.now], np.array([float(holes)]))[0]
    assert now <= job_cost(by_name[cheapest], np.array([float(holes)]))[0]


@given(economics, st.floats(0, 2), st.floats(0, 1), st.sampled_from(ENDS), st.integers(0, 8))
def test_margin_damage_and_used_up_drills_are_never_reground(
    money: Economics, wear: float, margin: float, end: str, done: int
) -> None:
    reading = WearReading(10, vb_maximum_mm=wear, margin_chipping_mm=margin)
    found = regrind_advice(money, reading, end=end, regrinds_done=done)  # type: ignore[arg-type]  # an end
    if margin > 0 or wear > 0.5 or end == "broken" or done >= money.regrinds:
        assert found.action == "retire"
    assert 0 <= best_regrinds(money) <= money.regrinds

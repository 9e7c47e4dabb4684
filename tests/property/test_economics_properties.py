"""What must hold for cost per hole and for lives whatever the numbers."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trials.economics import compare_drills, cost_per_hole
from trials.life import fit_life, holes_to_wear
from trials.model import CuttingData, Economics, Run, WearReading

economics = st.builds(
    Economics,
    machine_rate_per_min=st.floats(0.01, 50),
    tool_change_min=st.floats(0, 60),
    drill_price=st.floats(0, 5000),
    regrinds=st.integers(0, 20),
    regrind_cost=st.floats(0, 500),
    breakage_cost=st.floats(0, 10_000),
    inspect_every_holes=st.integers(0, 1000),
    inspect_min=st.floats(0, 30),
)
cycles = st.floats(0.01, 60)
lives = st.floats(1, 1e6)
shares = st.floats(0, 1)


@given(economics, cycles, lives, shares)
def test_parts_add_up(money: Economics, cycle: float, life: float, share: float) -> None:
    cost = cost_per_hole(money, cycle, life, share)
    assert sum(cost.parts.values()) == pytest.approx(cost.total, rel=1e-12)
    assert min(cost.parts.values()) >= 0


@given(economics, cycles, lives, shares, st.floats(0, 1))
def test_a_cheaper_drill_never_raises_the_cost(
    money: Economics, cycle: float, life: float, share: float, discount: float
) -> None:
    cheaper = replace(money, drill_price=money.drill_price * discount)
    before = cost_per_hole(money, cycle, life, share).total
    assert cost_per_hole(cheaper, cycle, life, share).total <= before * (1 + 1e-12)


@given(economics, cycles, lives, shares, st.floats(1, 100))
def test_a_longer_life_never_raises_the_cost(
    money: Economics, cycle: float, life: float, share: float, longer: float
) -> None:
    before = cost_per_hole(money, cycle, life, share).total
    assert cost_per_hole(money, cycle, life * longer, share).total <= before * (1 + 1e-12)


# A fit takes milliseconds, on a busy computer many more.
without_deadline = settings(deadline=None, max_examples=50)
some_lives = st.lists(st.tuples(st.integers(1, 5000), st.booleans()), min_size=1, max_size=12)


@without_deadline
@given(some_lives, st.randoms(use_true_random=False), st.sampled_from(["weibull", "lognormal"]))
def test_order_of_lives_does_not_matter(
    data: list[tuple[int, bool]], shuffler: random.Random, model: str
) -> None:
    shuffled = list(data)
    shuffler.shuffle(shuffled)
    fits = [
        fit_life([holes for holes, _ in one], [end for _, end in one], model)  # type: ignore[arg-type]  # texts
        for one in (data, shuffled)
    ]
    assert fits[0] == fits[1]


@without_deadline
@given(some_lives)
def test_a_fit_has_its_value_inside_its_interval_or_a_verdict(data: list[tuple[int, bool]]) -> None:
    fit = fit_life([holes for holes, _ in data], [end for _, end in data])
    if fit.ok:
        assert fit.shape is not None
        assert fit.scale is not None
        for name, value in (("shape", fit.shape), ("scale", fit.scale)):
            low, high = fit.intervals[name]
            assert low <= value <= high
    else:
        assert (fit.shape, fit.scale, fit.log_likelihood, fit.intervals) == (None, None, None, {})


@given(
    st.lists(st.tuples(st.integers(0, 400), st.floats(0, 1)), max_size=8),
    st.floats(0.05, 0.9),
    st.sampled_from(["worn", "stopped", "broken", None]),
)
def test_holes_to_wear_lie_in_their_interval(
    pairs: list[tuple[int, float]], limit: float, end: str | None
) -> None:
    readings = [WearReading(hole, vb_maximum_mm=wear) for hole, wear in sorted(pairs)]
    found = holes_to_wear(readings, limit, end, 400)  # type: ignore[arg-type]  # texts
    if found.kind == "censored":
        assert (found.holes, found.high, found.low) == (None, None, 400)
    else:
        assert found.holes is not None
        assert found.high is not None
        assert found.low <= found.holes <= found.high * (1 + 1e-12)


@given(st.lists(st.integers(20, 2000), min_size=1, max_size=5), st.integers(20, 4000))
def test_a_stopped_edge_never_lowers_the_compared_life(ended: list[int], stopped: int) -> None:
    runs = [
        Run(n, "a", CuttingData(80, 0.1), state="ended", end="worn", holes=h, cycle_min=0.1)
        for n, h in enumerate(ended, start=1)
    ]
    more = replace(runs[0], number=99, end="stopped", holes=stopped)
    money = {"a": Economics(1.0, drill_price=50)}
    (before,) = compare_drills({"a": runs}, money)
    (after,) = compare_drills({"a": [*runs, more]}, money)
    assert before.holes_per_edge is not None
    assert after.holes_per_edge is not None
    assert after.holes_per_edge >= before.holes_per_edge * (1 - 1e-6)

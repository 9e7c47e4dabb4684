"""What must hold for the search whatever the runs."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from tests.helpers.drilling_process import Process
from trials.errors import InputError
from trials.model import ENDS, CuttingData
from trials.optimizer import Problem, RunResult, Suggestion, recommend, suggest
from trials.optimizer.belief import Belief

PROBLEM = Process().problem()

cutting_data = st.builds(
    CuttingData,
    speed_m_per_min=st.floats(15, 80),
    feed_mm_per_rev=st.floats(0.05, 0.30),
    peck_mode=st.just("none"),
    peck_depth_xd=st.just(1.0),
)


@st.composite
def run(draw: st.DrawFn) -> RunResult:
    fresh = draw(st.floats(8, 45))
    return RunResult(
        draw(cutting_data),
        holes=draw(st.integers(1, 900)),
        end=draw(st.sampled_from(ENDS)),
        load_fresh_pct=fresh,
        load_worn_pct=fresh * draw(st.floats(1.0, 1.8)),
        cycle_min=draw(st.floats(0.05, 0.6)),
    )


runs_of_any_kind = st.lists(run(), min_size=1, max_size=6)
# A search takes a good tenth of a second: a few examples a run of the tests. No deadline, because
# how long one takes depends on what else the computer does.
few = settings(max_examples=15, deadline=None)


def _suggest_or_none(problem: Problem, runs: list[RunResult], seed: int) -> Suggestion | None:
    """None when runs that were too hot have ruled out everything."""
    try:
        return suggest(problem, runs, seed)
    except InputError:
        return None


@few
@given(runs=runs_of_any_kind, seed=st.integers(0, 1000), data=st.data())
def test_order_of_runs_does_not_matter(
    runs: list[RunResult], seed: int, data: st.DataObject
) -> None:
    shuffled = data.draw(st.permutations(runs))
    assert _suggest_or_none(PROBLEM, runs, seed) == _suggest_or_none(PROBLEM, shuffled, seed)


@few
@given(runs=runs_of_any_kind, factor=st.sampled_from([0.01, 0.37, 7.3, 1100.0]))
def test_money_in_another_unit_changes_no_cutting_data(
    runs: list[RunResult], factor: float
) -> None:
    money = PROBLEM.economics
    scaled = replace(
        money,
        machine_rate_per_min=money.machine_rate_per_min * factor,
        drill_price=money.drill_price * factor,
        regrind_cost=money.regrind_cost * factor,
        breakage_cost=money.breakage_cost * factor,
    )
    other = replace(PROBLEM, economics=scaled)
    assume(_suggest_or_none(PROBLEM, runs, 0) is not None)
    for ask in (suggest, recommend):
        before, after = ask(PROBLEM, runs), ask(other, runs)
        assert after.cutting_data == before.cutting_data
        assert after.cost_per_hole.median == pytest.approx(before.cost_per_hole.median * factor)
        assert after.value == pytest.approx(before.value * factor, rel=1e-6)
        assert after.stop == before.stop


@settings(max_examples=40, deadline=None)
@given(runs=st.lists(run(), max_size=6), holes=st.integers(1, 3000), at=cutting_data)
def test_a_stopped_run_never_lowers_the_expected_life_there(
    runs: list[RunResult], holes: int, at: CuttingData
) -> None:
    stopped = RunResult(at, holes, "stopped", 20.0, 25.0, 0.2)
    before = float(Belief(PROBLEM, runs).at([at]).life.mean[0])
    after = float(Belief(PROBLEM, [*runs, stopped]).at([at]).life.mean[0])
    # Several bounds together are an approximation (one is exact). Looked for on purpose, in 500
    # cases, life fell by one percent at most; two are allowed.
    assert after >= before - 0.02


@few
@given(
    runs=runs_of_any_kind,
    limits=st.tuples(st.floats(20, 95), st.floats(20, 95)).map(sorted),
    seed=st.integers(0, 1000),
    sure=st.sampled_from([0.8, 0.95, 0.99]),
)
@example(  # failed once: each limit looked at other places
    runs=[
        RunResult(CuttingData(20.0, 0.21875), 1, "stopped", 41.0, 41.0, 0.25),
        RunResult(CuttingData(53.0, 0.1875), 1, "stopped", 37.0, 37.0, 0.5),
    ],
    limits=[38.0, 42.0],
    seed=657,
    sure=0.95,
)
def test_a_tighter_limit_never_raises_the_suggested_load(
    runs: list[RunResult], limits: list[float], seed: int, sure: float
) -> None:
    tight_limit, loose_limit = (
        replace(PROBLEM, load_limit_pct=limit, p_safe=sure) for limit in limits
    )
    loose = _suggest_or_none(loose_limit, runs, seed)
    tight = _suggest_or_none(tight_limit, runs, seed)
    if tight is None:
        return  # nothing left to try is the tightest answer there is
    assert loose is not None
    outlook = Belief(PROBLEM, runs).at([tight.cutting_data, loose.cutting_data])
    surely_below = np.exp(outlook.worn.mean + norm.ppf(sure) * outlook.worn.outcome_sd)
    low, high = np.maximum(surely_below, outlook.shown_pct).tolist()
    assert low <= high * (1 + 1e-9)
    if sure == 0.95:
        assert tight.load_worn_pct.high <= loose.load_worn_pct.high * (1 + 1e-9)


@few
@given(runs=runs_of_any_kind, seed=st.integers(0, 1000))
def test_whatever_is_answered_is_inside_and_not_too_hot(runs: list[RunResult], seed: int) -> None:
    assume(_suggest_or_none(PROBLEM, runs, seed) is not None)
    for ask in (suggest, recommend):
        answer = ask(PROBLEM, runs, seed)
        data = answer.cutting_data
        assert PROBLEM.outside(data) is None
        assert answer.stop or answer.p_safe >= 0.95
        assert all(math.isfinite(value) for value in (*answer.holes, *answer.cost_per_hole))
        assert all(
            run.cutting_data != data
            for run in runs
            if max(run.load_fresh_pct or 0, run.load_worn_pct or 0) >= PROBLEM.load_limit_pct
        )

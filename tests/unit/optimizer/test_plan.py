"""Earlier trials, several drills, several tests at once, length of a test, wear readings."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.helpers.drilling_process import Process
from trials.errors import InputError
from trials.model import CuttingData, WearLimits, WearReading
from trials.optimizer import Earlier, RunResult, next_drill, response, suggest, suggest_batch
from trials.optimizer.belief import Belief
from trials.optimizer.length import length_of_test

PROCESS = Process()
PROBLEM = PROCESS.problem()
AT = [PROBLEM.start]


def life(runs: list[RunResult], *earlier: Earlier, problem=PROBLEM) -> tuple[float, float]:  # type: ignore[no-untyped-def]  # a Problem
    log = Belief(problem, runs, earlier).at(AT).life
    return float(np.exp(log.mean[0])), float(log.known_sd[0])


def test_plan_of_one_is_the_suggestion() -> None:
    runs = PROCESS.history(4, seed=3)
    assert suggest_batch(PROBLEM, runs, 1) == (suggest(PROBLEM, runs),)


@pytest.mark.parametrize("seed", range(2))
def test_plan_is_safe_and_does_not_ask_the_same_far_test_twice(seed: int) -> None:
    runs = PROCESS.history(4, seed=3)
    plan = suggest_batch(PROBLEM, runs, 4, seed)
    assert len(plan) == 4
    assert plan[0] == suggest(PROBLEM, runs, seed)
    assert all(one.p_safe >= 0.95 for one in plan)
    # What the first test is to open is no merit of the next.
    far = plan[0].cutting_data
    tried = max(run.cutting_data.speed_m_per_min for run in runs)
    assert far.speed_m_per_min > 1.3 * tried
    assert far not in {one.cutting_data for one in plan[1:]}
    assert plan == suggest_batch(PROBLEM, runs, 4, seed)


@pytest.mark.parametrize("count", [0, 9])
def test_plan_of_no_or_too_many_tests_is_refused(count: int) -> None:
    with pytest.raises(InputError, match="tests of a plan"):
        suggest_batch(PROBLEM, [], count)


def test_earlier_trial_moves_what_is_expected_and_counts_less_with_each_run() -> None:
    long_lived = tuple(RunResult(CuttingData(28, 0.1), 1500, "worn", 22.0, 33.0) for _ in range(5))
    short = Earlier(PROBLEM, tuple(replace(run, holes=100) for run in long_lived))
    long = Earlier(PROBLEM, long_lived)
    gaps = []
    for count in (0, 1, 3, 8):
        own = [RunResult(PROBLEM.start, 400, "worn", 22.0, 33.0, 0.2)] * count
        gaps.append(math.log(life(own, long)[0] / life(own, short)[0]))
    assert gaps[0] > 1.0
    assert gaps[0] > gaps[1] > gaps[2] > gaps[3] > -1e-6
    assert gaps[3] < 0.15 * gaps[0]
    # Knowing something is surer than knowing nothing.
    assert life([], long)[1] < life([])[1]


def test_less_likeness_moves_less() -> None:
    runs = (RunResult(CuttingData(28, 0.1), 1500, "worn", 22.0, 33.0),) * 3
    near, far = (life([], Earlier(PROBLEM, runs, likeness))[0] for likeness in (1.0, 0.2))
    assert life([])[0] < far < near < 1600


def test_holes_of_an_earlier_deeper_trial_count_for_more() -> None:
    runs = (RunResult(CuttingData(28, 0.1), 500, "worn", 22.0, 33.0),) * 3
    deep = Earlier(replace(PROBLEM, depth_mm=2 * PROBLEM.depth_mm), runs)
    assert life([], deep)[0] > 1.5 * life([], Earlier(PROBLEM, runs))[0]


def test_likeness_is_a_share() -> None:
    with pytest.raises(InputError, match="likeness"):
        Earlier(PROBLEM, (), 1.5)


def test_makers_range_shifts_what_is_expected() -> None:
    faster = replace(PROBLEM, maker_speed_m_per_min=(50, 70))
    slower = replace(PROBLEM, maker_speed_m_per_min=(12, 18))
    # A start well below the maker's range promises a longer life than one above it.
    assert life([], problem=faster)[0] > life([])[0] > life([], problem=slower)[0]


def test_wear_readings_of_a_stopped_run_tell_more_than_the_stop() -> None:
    readings = tuple(WearReading(n, 0.02 + 0.001 * n) for n in (20, 40, 60, 80, 100, 120))
    bare = RunResult(PROBLEM.start, 120, "stopped", 22.0, 26.0, 0.2)
    read = replace(bare, wear=readings)
    knows_limit = replace(PROBLEM, wear_limit_mm=0.3)
    by_stop = life([bare], problem=knows_limit)
    by_wear = life([read], problem=knows_limit)
    # 0.02 + 0.001 a hole reaches 0.3 mm at 280 holes.
    assert by_wear[0] == pytest.approx(280, rel=0.3)
    assert by_wear[1] < by_stop[1]


def test_next_drill_is_the_one_that_may_save_most() -> None:
    # A dear edge costs as much a hole as the machine, a cheap one hardly anything.
    dear, cheap = (
        replace(PROBLEM, economics=replace(PROBLEM.economics, drill_price=price, regrinds=0))
        for price in (120.0, 4.0)
    )
    runs = PROCESS.history(3, seed=4)
    found = next_drill({"dear": dear, "cheap": cheap}, {"dear": runs})
    assert found.drill == "cheap"
    assert found.suggestion.cutting_data == PROBLEM.start
    assert found.values["cheap"] > found.values["dear"] >= 0
    # What was learned of the one counts for the other.
    blind = suggest(cheap, [])
    width = [one.holes.high / one.holes.low for one in (found.suggestion, blind)]
    assert width[0] < width[1]


def test_one_drill_alone_is_that_drill() -> None:
    found = next_drill({"only": PROBLEM}, {"only": PROCESS.history(3, seed=4)})
    assert found.drill == "only"


def test_test_that_is_worth_nothing_is_short_and_one_worth_much_is_long() -> None:
    runs = PROCESS.history(3, seed=11)
    answer = suggest(PROBLEM, runs)
    outlook = Belief(PROBLEM, runs).likely([answer.cutting_data])
    shortest = round(0.15 * PROBLEM.max_test_holes)
    assert length_of_test(PROBLEM, answer, 0.0, outlook) == shortest
    assert length_of_test(PROBLEM, answer, 1e6, outlook) >= 0.8 * PROBLEM.max_test_holes
    assert 5 <= answer.test_holes <= PROBLEM.max_test_holes


def test_every_drill_is_told_and_one_with_nothing_left_says_why() -> None:
    hopeless = replace(PROBLEM, load_limit_pct=0.5, group="P")
    found = next_drill({"good": PROBLEM, "hopeless": hopeless}, {"good": PROCESS.history(3, 4)})
    assert found.drill == "good"
    assert set(found.suggestions) == {"good"}
    assert found.suggestions["good"] == found.suggestion
    assert "no cutting data are left" in found.left_out["hopeless"]
    with pytest.raises(InputError, match="no cutting data are left"):
        next_drill({"hopeless": hopeless}, {})


def test_earlier_trials_count_for_the_next_drill_and_for_the_map() -> None:
    runs = (RunResult(CuttingData(28, 0.1), 1500, "worn", 22.0, 33.0),) * 4
    like = Earlier(PROBLEM, runs)
    alone = next_drill({"only": PROBLEM}, {}).suggestion
    told = next_drill({"only": PROBLEM}, {}, earlier={"only": (like,)}).suggestion
    assert told.holes == suggest(PROBLEM, [], earlier=[like]).holes != alone.holes
    own = PROCESS.history(2, seed=4)
    assert response(PROBLEM, own, earlier=[like]).cost != response(PROBLEM, own).cost
    assert response(PROBLEM, own, earlier=[]) == response(PROBLEM, own)


def test_map_of_load_says_the_same_as_safe() -> None:
    found = response(PROBLEM, PROCESS.history(4, seed=3))
    for low, middle, high, safe in zip(
        found.load_low_pct, found.load_pct, found.load_high_pct, found.safe, strict=True
    ):
        assert all(a <= b <= c for a, b, c in zip(low, middle, high, strict=True))
        # 95 % safe: the load that one edge in twenty passes is below the limit.
        assert list(safe) == [value <= found.load_limit_pct for value in high]


def test_more_certainty_asks_for_less_load() -> None:
    runs = PROCESS.history(4, seed=3)
    calm, bold = (
        suggest(replace(PROBLEM, p_safe=p_safe), runs).load_worn_pct.median
        for p_safe in (0.999, 0.6)
    )
    assert calm <= bold
    assert suggest(replace(PROBLEM, p_safe=0.999), runs).p_safe >= 0.999
    for wrong in (0.4, 1.0):
        with pytest.raises(InputError, match="certainty"):
            replace(PROBLEM, p_safe=wrong)


def test_stopped_run_with_little_wear_promises_a_longer_life_than_one_nearly_worn() -> None:
    looks = (20, 40, 60, 80, 100, 120)
    little = tuple(WearReading(n, 0.01 + 0.0005 * n) for n in looks)
    much = tuple(WearReading(n, 0.04 + 0.002 * n) for n in looks)
    for limits in (
        replace(PROBLEM, wear_limit_mm=0.3),
        replace(PROBLEM, wear_limits=WearLimits().filled(0.3)),
    ):
        lives = [
            life([RunResult(PROBLEM.start, 120, "stopped", 22.0, 26.0, 0.2, wear)], problem=limits)
            for wear in (little, much)
        ]
        # 0.3 mm would be reached at 580 and at 130 holes.
        assert lives[0][0] > 2.5 * lives[1][0]
    bare = RunResult(PROBLEM.start, 120, "stopped", 22.0, 26.0, 0.2)
    assert lives[1][0] < life([bare])[0]

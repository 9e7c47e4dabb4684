"""Bad luck or a cliff: what broken and surviving edges teach."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.helpers.drilling_process import Process
from trials.model import CuttingData, End, PeckMode
from trials.optimizer import Problem, RunResult
from trials.optimizer.belief import Belief
from trials.optimizer.physics import features
from trials.optimizer.risk import AfterATest, Risk

PROBLEM = Process().problem()
LIFE = 400.0


def driven(speed: float, feed: float, end: End = "worn", holes: int = 400) -> RunResult:
    return RunResult(CuttingData(speed, feed), holes, end, 20.0, 30.0, 0.2)


def run(feed: float, end: End = "worn", holes: int = 400) -> RunResult:
    return driven(28, feed, end, holes)


def risk_of(runs: list[RunResult]) -> Risk:
    x = features(PROBLEM, [one.cutting_data for one in runs])
    return Risk(x, runs, np.full(len(runs), LIFE))


def at(*feeds: float) -> np.ndarray:
    return features(PROBLEM, [CuttingData(28, feed) for feed in feeds])


def failing(runs: list[RunResult], *feeds: float) -> list[float]:
    return risk_of(runs).at(at(*feeds)).p_fail.tolist()


def test_harsher_is_riskier_before_any_run() -> None:
    start, harsher, far = failing([], 0.10, 0.14, 0.28)
    assert 0.01 < start < 0.12
    assert start < harsher < far


def test_an_edge_that_came_through_clears_all_that_is_gentler() -> None:
    before = failing([], 0.10, 0.14)
    after = failing([run(0.14)], 0.10, 0.14)
    assert after[0] < before[0]
    assert after[1] < before[1]


def test_broken_beyond_all_that_came_through_is_the_edge_of_a_cliff() -> None:
    runs = [run(0.10), run(0.14), run(0.20, "broken", 20)]
    gentle, there, beyond = failing(runs, 0.12, 0.20, 0.25)
    assert gentle < 0.15
    assert there > max(0.3, 2 * gentle)
    assert beyond > there + 0.1


def test_broken_where_harsher_came_through_is_bad_luck() -> None:
    runs = [run(0.10, "broken", 200), *[run(0.20)] * 4]
    assert max(failing(runs, 0.10, 0.20)) < 0.15


def test_one_edge_that_came_through_does_not_clear_a_cliff_that_fails_some() -> None:
    # Beyond many a cliff one edge in three or four comes through. Neither a survivor nor a second
    # one says that all will.
    risky, after_one, after_two, after_six = (
        failing([run(0.10), *[run(0.26)] * count], 0.26)[0] - failing([run(0.10)] * 7, 0.10)[0]
        for count in (0, 1, 2, 6)
    )
    assert risky > 0.12
    assert risky > after_one > after_two > risky / 4
    assert after_six < 0.02


def test_a_cliff_is_expected_where_a_start_leaves_room() -> None:
    # Hardly any right beyond the start, most of it at two to three and a half times the feed.
    start, near, double, further, six = failing([run(0.10)], 0.10, 0.12, 0.20, 0.35, 0.60)
    assert near - start < 0.01
    assert double - start > 5 * (near - start)
    assert further - double > six - further


def test_a_cliff_is_expected_beyond_what_the_maker_gives() -> None:
    # The highest feed that is given leaves room as well, and is known better than a start.
    x = at(0.12, 0.20)
    near, unknown, far = (
        Risk(x[:0], [], np.zeros(0), maker_feed=given).at(x).p_fail
        for given in (math.log(1.2), None, math.log(3.0))
    )
    assert near[1] > unknown[1] + 0.05
    assert far[1] < unknown[1]
    assert near[0] < near[1] / 2


def test_a_range_of_the_maker_comes_to_the_risk() -> None:
    twice = [CuttingData(28, 0.20)]
    low, high = (
        Belief(replace(PROBLEM, maker_feed_mm_per_rev=(0.06, upper)), [run(0.10)]).at(twice)
        for upper in (0.12, 0.30)
    )
    assert low.failing.p_fail[0] > high.failing.p_fail[0] + 0.05


def test_early_failure_speaks_for_a_cliff() -> None:
    early, late = (failing([run(0.10), run(0.16, "broken", holes)], 0.16)[0] for holes in (10, 380))
    assert early > late + 0.1


def test_stopped_run_teaches_less_than_a_worn_one() -> None:
    worn, stopped = (failing([run(0.16, end, 40)], 0.16)[0] for end in ("worn", "stopped"))
    assert worn < stopped < failing([], 0.16)[0]


def test_bad_luck_by_hand() -> None:
    # Far below the start, slow and at a low feed, no harsh cliff matters. What is left is Bayes'
    # rule over the four shares, belief .3 .4 .25 .05 in 1, 3, 6 and 12 %, and that it is too slow
    # and thin, or that thin chips pack: 9 and 8 in a hundred of all cliffs, which are three in
    # four; seven in ten fail beyond.
    too_gentle = 0.7 * (0.09 + 0.08) * 0.75
    gentle = features(PROBLEM, [CuttingData(0.05, 0.0005)])
    share = np.asarray([0.01, 0.03, 0.06, 0.12])
    belief = np.asarray([0.3, 0.4, 0.25, 0.05])
    expected = 1.0 - (1.0 - too_gentle) * (1.0 - float(belief @ share))
    assert risk_of([]).at(gentle).p_fail[0] == pytest.approx(expected, abs=1e-3)
    after = belief * (1 - share) ** 10
    luck = float(after @ share / after.sum())
    seen = risk_of([run(0.10)] * 10).at(gentle)
    assert seen.luck == pytest.approx(luck, abs=2e-3)
    # A cliff close to the start would have shown, so a little less is believed to be too gentle.
    expected = 1.0 - (1.0 - too_gentle) * (1.0 - luck)
    assert 0.85 * expected < seen.p_fail[0] < expected


def test_broken_fast_with_thin_chips_speaks_little_against_a_thick_chip() -> None:
    # A whipping point or a rubbing edge: it broke twice fast at a low feed, where a harsher one in
    # both came through. Nothing that only grows with speed and feed explains that but bad luck.
    came_through = [driven(28, 0.10), driven(45, 0.13)]
    broken = [driven(40, 0.06, "broken", 20), driven(44, 0.06, "broken", 20)]
    thin, thick, tried = (
        float(risk_of(came_through + broken).at(features(PROBLEM, [data])).p_fail[0])
        for data in (CuttingData(42, 0.06), CuttingData(28, 0.14), CuttingData(28, 0.10))
    )
    assert thin > 0.4
    assert thick < 0.15
    assert tried < 0.12


def test_broken_slow_with_thin_chips_speaks_against_slower_and_thinner() -> None:
    # A feed that sticks and slips: it broke twice below where it came through.
    runs = [driven(28, 0.10), driven(28, 0.13), driven(20, 0.06, "broken", 20),
            driven(18, 0.07, "broken", 20)]  # fmt: skip
    there, slower, tried, faster = (
        float(risk_of(runs).at(features(PROBLEM, [data])).p_fail[0])
        for data in (CuttingData(19, 0.06), CuttingData(15, 0.05), CuttingData(28, 0.10),
                     CuttingData(32, 0.12))
    )  # fmt: skip
    assert there > 0.4
    assert slower > there
    assert tried < 0.15
    assert faster < 0.15


def test_broken_deep_with_thin_chips_speaks_little_against_a_thick_chip() -> None:
    # Strings wind and pack: it broke twice in a long peck at a low feed, where a higher feed came
    # through as deep.
    def pecked(feed: float, depth_xd: float, end: End = "worn", holes: int = 400) -> RunResult:
        data = CuttingData(28, feed, "full_retract", depth_xd)
        return replace(run(feed, end, holes), cutting_data=data)

    runs = [pecked(0.10, 0.5), pecked(0.15, 2.5), pecked(0.07, 2.5, "broken", 20),
            pecked(0.06, 2.5, "broken", 20)]  # fmt: skip
    thin, thick, short = (
        float(risk_of(runs).at(features(PROBLEM, [one.cutting_data])).p_fail[0])
        for one in (pecked(0.06, 2.5), pecked(0.15, 2.5), pecked(0.10, 0.5))
    )
    assert thin > 2.5 * thick
    assert thick < 0.2
    assert short < 0.15


def test_breaking_costs_edges() -> None:
    x = features(PROBLEM, [CuttingData(28, 0.05), CuttingData(28, 0.25)])
    found = Risk(x[:0], [], np.zeros(0)).at(x)
    assert found.edges[1] > found.edges[0] > 1.0
    assert found.breaks[1] > found.breaks[0] > 0.0


def after(
    runs: list[RunResult], tested: float, *feeds: float, share: float = 1.0, times: int = 1
) -> AfterATest:
    (found,) = risk_of(runs).after(at(*feeds), at(tested), np.asarray([share]), (times,))
    return found


def used(runs: list[RunResult], *feeds: float) -> tuple[np.ndarray, np.ndarray]:
    found = risk_of(runs).at(at(*feeds))
    return found.edges, found.breaks


def test_a_test_that_comes_through_is_one_more_such_run() -> None:
    runs = [run(0.10), run(0.14, "broken", 100), run(0.12)]
    told = after(runs, 0.16, 0.10, 0.16, 0.20)
    edges, breaks = used([*runs, run(0.16)], 0.10, 0.16, 0.20)
    assert told.edges_survived[:, 0] == pytest.approx(edges)
    assert told.breaks_survived[:, 0] == pytest.approx(breaks)
    assert told.own_edges_survived[0] == pytest.approx(edges[1])
    assert told.own_breaks_survived[0] == pytest.approx(breaks[1])
    assert told.survives[0] == pytest.approx(1.0 - failing(runs, 0.16)[0])


def test_several_tests_that_come_through_are_as_many_such_runs() -> None:
    runs = [run(0.10), run(0.14, "broken", 100), run(0.12)]
    told = after(runs, 0.13, 0.12, 0.16, times=3)
    edges, breaks = used([*runs, *[run(0.13)] * 3], 0.12, 0.16)
    # Cliffs that are hardly possible are left out before the tests, not after them.
    assert told.edges_survived[:, 0] == pytest.approx(edges, rel=1e-4)
    assert told.breaks_survived[:, 0] == pytest.approx(breaks, rel=1e-4)
    one_after_another = 1.0
    for count in range(3):
        one_after_another *= 1.0 - failing([*runs, *[run(0.13)] * count], 0.13)[0]
    assert told.survives[0] == pytest.approx(one_after_another)
    # The second and third risk less than the first alone: a cliff mostly shows at once.
    once = after(runs, 0.13, 0.12)
    assert once.breaks[0] < told.breaks[0] < 2.5 * once.breaks[0]


def test_what_a_test_may_break_is_little_where_no_cliff_is_near() -> None:
    runs = [run(0.10), run(0.20)]
    near, far = (after(runs, feed, 0.10).breaks[0] for feed in (0.24, 0.10))
    assert 0.0 <= far < 0.01 < near
    # A test that is stopped early risks less.
    assert after(runs, 0.24, 0.10, share=0.2).breaks[0] < near


def test_what_a_test_tells_averages_to_what_is_known() -> None:
    # The law of total expectation, over a test that comes through and one that fails.
    runs = [run(0.10), run(0.13)]
    told, now = after(runs, 0.18, 0.12, 0.2, share=0.6), used(runs, 0.12, 0.2)
    through = told.survives
    for known, survived, failed in (
        (now[0], told.edges_survived, told.edges_failed),
        (now[1], told.breaks_survived, told.breaks_failed),
    ):
        assert through * survived[:, 0] + (1 - through) * failed[:, 0] == pytest.approx(known)
    assert (told.edges_failed[:, 0] > told.edges_survived[:, 0]).all()


def _deep(mode: PeckMode) -> Problem:
    """A hole of 12 diameters, started in this way."""
    return replace(
        PROBLEM, depth_mm=12 * PROBLEM.diameter_mm, peck_depth_xd=(0.5, 6.0),
        peck_modes=("none", "chip_break", "full_retract"), start=CuttingData(28, 0.10, mode, 1.5),
    )  # fmt: skip


def test_whoever_starts_with_full_retracts_is_believed_to_need_them() -> None:
    # Deeper pecks are hardly riskier for that, no pecks at all are.
    deep = _deep("full_retract")
    places = [deep.start, replace(deep.start, peck_depth_xd=2.2), CuttingData(28, 0.10, "none")]
    x = features(deep, places)
    ways = {
        retracts: Risk(x[:0], [], np.zeros(0), retracts=retracts).at(x).p_fail
        for retracts in (False, True)
    }
    start, deeper, none = ways[True] - ways[False]
    assert abs(start) < 0.02
    assert abs(deeper) < 0.02
    assert none > 0.15
    # Edges that came through without pecks say otherwise.
    ran = features(deep, [places[2]] * 3)
    runs = [RunResult(places[2], 400, "worn", 20.0, 30.0, 0.2)] * 3
    after = Risk(ran, runs, np.full(3, LIFE), retracts=True).at(x).p_fail
    assert after[2] < 0.08


@pytest.mark.parametrize("mode", ["chip_break", "full_retract"])
def test_the_belief_takes_it_from_the_start(mode: PeckMode) -> None:
    risk = Belief(_deep(mode), ()).at([CuttingData(28, 0.10, "none")]).failing.p_fail[0]
    assert (risk > 0.2) == (mode == "full_retract")

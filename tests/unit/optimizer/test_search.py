"""What is suggested and recommended, and how it is said."""

from __future__ import annotations

import json
from dataclasses import asdict, replace

import numpy as np
import pytest

from tests.benchmarks.optimizer.known import BuiltUpEdge
from tests.helpers.drilling_process import MACHINE, Process
from trials.errors import InputError
from trials.mechanics import rpm
from trials.model import CuttingData, End
from trials.optimizer import RunResult, Suggestion, expect, recommend, suggest, worth
from trials.optimizer.belief import Belief
from trials.optimizer.length import price_of_test
from trials.optimizer.view import View
from trials.optimizer.worth import Worth, best_test, places_to_test

PROCESS = Process()
PROBLEM = PROCESS.problem()


@pytest.mark.parametrize("ask", [suggest, recommend])
def test_no_runs_give_the_start_and_say_so(ask) -> None:  # type: ignore[no-untyped-def]  # two functions
    answer = ask(PROBLEM, [])
    assert answer.cutting_data == PROBLEM.start
    assert answer.why.startswith("No run yet")
    assert not answer.stop
    # Wide: the true life of any usable drill is somewhere in a range of more than 1 to 10.
    assert answer.holes.high > 10 * answer.holes.low


def test_start_beyond_the_machine_is_lowered_and_said() -> None:
    slow = replace(PROBLEM, machine=replace(MACHINE, base_rpm=500, max_rpm=1000))
    answer = suggest(slow, [])
    assert rpm(answer.cutting_data.speed_m_per_min, 8.0) <= 1000
    assert answer.cutting_data.feed_mm_per_rev == PROBLEM.start.feed_mm_per_rev
    assert "too much" in answer.why


def test_start_too_heavy_for_the_limit_is_lowered() -> None:
    weak = replace(PROBLEM, machine=replace(MACHINE, rated_power_kw=0.6), load_limit_pct=70)
    answer = suggest(weak, [])
    assert answer.cutting_data.feed_mm_per_rev < PROBLEM.start.feed_mm_per_rev
    assert answer.load_worn_pct.median < 70


def test_unknown_work_is_not_ruled_out_as_if_it_were_steel() -> None:
    # A weak machine that bores soft board: steel would stall it at any feed within the bounds.
    board = replace(PROBLEM, machine=replace(MACHINE, rated_power_kw=0.1), group=None)
    answer = suggest(board, [])
    assert answer.cutting_data.speed_m_per_min == board.speed_m_per_min[0]
    assert answer.cutting_data.feed_mm_per_rev == board.feed_mm_per_rev[0]
    assert "nothing is said of the work" in answer.why
    assert answer.p_safe < 0.5
    assert recommend(board, []) == answer
    # One run tells the load, and the search goes on from there.
    run = RunResult(answer.cutting_data, 900, "stopped", 20.0, 24.0, 0.5)
    assert suggest(board, [run]).p_safe >= 0.95
    with pytest.raises(InputError, match="the load expected there"):
        suggest(replace(board, group="P"), [])
    nothing_said = replace(board, machine=None, load_limit_pct=2.0)
    assert "usual on a machine of which nothing is said" in suggest(nothing_said, []).why


def test_start_that_was_lowered_for_a_guess_is_near_once_loads_were_seen() -> None:
    # As above, where steel would ask for sixty times the load that is seen.
    board = replace(PROBLEM, machine=replace(MACHINE, rated_power_kw=0.1), group=None)
    gentlest = suggest(board, []).cutting_data
    light = RunResult(gentlest, 900, "stopped", 9.0, 10.0, 0.5)
    view = View(board, [light], 0)
    (start,) = view.indices_of([board.start])
    assert view.within[start]
    assert view.allowed[start]
    assert not view.open_now[start]  # production waits until an edge came through there
    broken = replace(light, end="broken", holes=3)
    for runs in ([broken], [light, broken]):
        view = View(board, runs, 0)
        assert not view.within[view.indices_of([board.start])].any()


def test_machine_that_can_do_nothing_is_an_error_that_says_what_to_do() -> None:
    hopeless = replace(PROBLEM, machine=replace(MACHINE, base_rpm=100, max_rpm=200))
    for runs in ([], PROCESS.history(2, seed=0)):
        with pytest.raises(InputError, match="Lower the lower bounds"):
            suggest(hopeless, runs)


def test_answers_are_plain_python() -> None:
    numpy_runs = [
        replace(run, holes=np.int64(run.holes), load_worn_pct=np.float64(run.load_worn_pct))
        for run in PROCESS.history(4, seed=5)
    ]
    answer = suggest(PROBLEM, numpy_runs)
    for value in _leaves(asdict(answer)):
        assert type(value) in (int, float, str, bool)
    json.dumps(asdict(answer))


def _leaves(value: object) -> list[object]:
    if isinstance(value, dict):
        return [leaf for inner in value.values() for leaf in _leaves(inner)]
    if isinstance(value, tuple | list):
        return [leaf for inner in value for leaf in _leaves(inner)]
    return [value]


def test_same_question_same_answer() -> None:
    runs = PROCESS.history(6, seed=7)
    assert suggest(PROBLEM, runs, seed=3) == suggest(PROBLEM, list(runs), seed=3)
    assert recommend(PROBLEM, runs, seed=3) == recommend(PROBLEM, tuple(runs), seed=3)


def test_suggestions_are_safe_and_inside() -> None:
    for seed in range(4):
        answer = suggest(PROBLEM, PROCESS.history(5, seed), seed)
        assert PROBLEM.outside(answer.cutting_data) is None
        assert answer.p_safe >= 0.95
        assert answer.load_worn_pct.high <= PROBLEM.load_limit_pct * (1 + 1e-6)


def test_run_too_hot_is_not_proposed_again() -> None:
    hot = RunResult(CuttingData(30, 0.16), 200, "load_limit", 45.0, 60.5, 0.16)
    cool = RunResult(CuttingData(28, 0.10), 330, "worn", 25.0, 37.0, 0.22)
    for ask in (suggest, recommend):
        data = ask(PROBLEM, [hot, cool]).cutting_data
        assert data.speed_m_per_min < 30 or data.feed_mm_per_rev < 0.16


def test_nothing_safe_is_said_with_the_gentlest() -> None:
    hot = RunResult(PROBLEM.start, 200, "worn", 59.0, 59.9, 0.22)
    tight = replace(PROBLEM, feed_mm_per_rev=(0.095, 0.30), speed_m_per_min=(27, 80))
    answer = suggest(tight, [hot] * 3)
    assert answer.stop
    assert answer.p_safe < 0.95
    assert answer.why.startswith("Stop: nothing")


def test_everything_too_hot_is_an_error() -> None:
    fixed = replace(
        PROBLEM, feed_mm_per_rev=(0.10, 0.10), speed_m_per_min=(28, 28), load_limit_pct=30
    )
    with pytest.raises(InputError, match="too hot"):
        suggest(fixed, [RunResult(fixed.start, 200, "worn", 30.0, 45.0, 0.22)])


def test_one_off_job_stops_and_recurring_job_goes_on() -> None:
    runs = PROCESS.history(3, seed=11)
    few = suggest(replace(PROBLEM, holes_to_make=100), runs)
    many = suggest(replace(PROBLEM, holes_to_make=1_000_000), runs)
    assert few.stop
    assert "stop testing" in few.why
    assert not many.stop
    # Who tests all the same is shown what would be tested for a job that comes back.
    assert few.cutting_data == suggest(replace(PROBLEM, holes_to_make=10_000), runs).cutting_data
    assert many.value > 1000 * few.value


def test_given_test_cost_decides() -> None:
    runs = PROCESS.history(3, seed=11)
    assert not suggest(replace(PROBLEM, test_cost=0.0), runs).stop
    dear = suggest(replace(PROBLEM, test_cost=1e9), runs)
    assert dear.stop
    assert dear.test_cost == 1e9


@pytest.mark.parametrize("seed", range(2))
def test_a_price_that_no_test_earns_says_stop_and_picks_as_if_tests_were_free(seed: int) -> None:
    runs = PROCESS.history(4, seed)
    free = suggest(replace(PROBLEM, test_cost=0), runs)
    dear = suggest(replace(PROBLEM, test_cost=1e9), runs)
    assert dear.stop
    assert dear.cutting_data == free.cutting_data


def test_a_job_with_no_holes_left_stops() -> None:
    answer = suggest(replace(PROBLEM, holes_to_make=0), PROCESS.history(3, seed=1))
    assert answer.stop
    assert answer.value == 0.0


def test_price_of_a_test_is_its_holes_and_one_edge() -> None:
    # Worn before the longest test ends: every hole at its cost. Cut off at 50 holes: the machine
    # time of 50 holes, and the edge all the same.
    runs = PROCESS.history(3, seed=11)
    whole = suggest(PROBLEM, runs)
    holes, cost = whole.holes.median, whole.cost_per_hole.median
    assert 50 < holes < PROBLEM.max_test_holes
    assert whole.test_cost == pytest.approx(holes * cost)
    # Machine: 1.2 a minute, and looking for 0.8 min every 100 holes.
    machine = 1.2 * (whole.cycle_min.median + 0.008)
    short = price_of_test(replace(PROBLEM, max_test_holes=50), whole)
    assert short == pytest.approx(50 * machine + holes * (cost - machine))


def test_reason_names_what_changes_and_what_is_expected() -> None:
    answer = suggest(PROBLEM, [RunResult(PROBLEM.start, 350, "worn", 22.0, 33.0, 0.24)])
    assert "than the best so far" in answer.why
    assert "holes to wear" in answer.why
    assert "EUR a hole" in answer.why
    assert f"of the {PROBLEM.load_limit_pct:.0f} % allowed" in answer.why
    assert answer.why.endswith(".")
    assert answer.why.count(". ") == 0  # one sentence


def test_reason_compares_with_what_is_said_of_the_best_itself() -> None:
    # Stopped edges: there what is said of a cost is not what is chosen by.
    compared = 0
    short = replace(PROBLEM, max_test_holes=250)
    for seed in range(6):
        runs = [
            replace(run, holes=min(run.holes, 250), end="stopped" if run.holes > 250 else run.end)
            for run in PROCESS.history(4, seed)
        ]
        why = suggest(short, runs).why
        if " against " in why:
            said = why.split(" against ")[1].split()[0]
            costs = [expect(short, runs, run.cutting_data).cost_per_hole.median for run in runs]
            assert said in [f"{cost:.3f}" for cost in costs]
            compared += 1
    assert compared >= 2


def test_broken_edge_does_not_shorten_the_wear_life() -> None:
    worn = RunResult(CuttingData(28, 0.10), 350, "worn", 22.0, 33.0, 0.24)
    broken = RunResult(CuttingData(28, 0.10), 20, "broken", 22.0, 26.0, 0.24)
    before, after = (
        Belief(PROBLEM, runs).at([worn.cutting_data]).life.mean[0]
        for runs in ([worn], [worn, broken])
    )
    assert after == pytest.approx(before, abs=1e-3)


def test_load_of_a_run_stopped_early_is_carried_on() -> None:
    # 22 → 26 % after a third of the life: a worn drill will be well above 26 %.
    worn = RunResult(CuttingData(28, 0.10), 360, "worn", None, None, 0.24)
    stopped = RunResult(CuttingData(28, 0.10), 120, "stopped", 22.0, 26.0, 0.24)
    expected = recommend(PROBLEM, [worn, stopped] * 2)
    at_start = Belief(PROBLEM, [worn, stopped] * 2).at([worn.cutting_data]).worn.mean[0]
    assert np.exp(at_start) > 29
    assert isinstance(expected, Suggestion)


def test_runs_without_load_or_time_are_used_for_what_they_hold() -> None:
    bare = [RunResult(PROBLEM.start, 350, "worn")] * 2
    answer = suggest(PROBLEM, bare)
    life = Belief(PROBLEM, bare).at([PROBLEM.start]).life
    assert np.exp(life.mean[0]) == pytest.approx(350, rel=0.1)
    assert answer.load_worn_pct.high > 1.5 * answer.load_worn_pct.low


def test_seed_out_of_range_is_refused() -> None:
    with pytest.raises(InputError, match="seed"):
        suggest(PROBLEM, PROCESS.history(1, 0), seed=-1)


def test_faster_is_looked_at_before_a_large_job_is_called_done() -> None:
    # Work welds to the edge, so slower than the start is better, and nothing tells of the far side,
    # where the cheapest holes are.
    process = BuiltUpEdge()
    runs: list[RunResult] = []
    for _ in range(5):
        data = suggest(process.problem, runs).cutting_data
        fresh, worn = process.fresh_pct(data), process.worn_pct(data)
        cycle = process.cycle_min(data)
        runs.append(RunResult(data, round(process.life(data)), "worn", fresh, worn, cycle))
    slowest, fastest = (
        pick(run.cutting_data.speed_m_per_min for run in runs) for pick in (min, max)
    )
    assert slowest < process.problem.start.speed_m_per_min < fastest
    assert recommend(process.problem, runs).cutting_data.speed_m_per_min > 70


def test_after_a_first_drill_that_broke_the_search_comes_back() -> None:
    # Bad luck at the start: gentler at once, but not so gentle that nothing is learned, and back
    # where the start was as edges come through.
    runs = [RunResult(PROBLEM.start, 60, "broken", 20.0, 22.0, 0.24)]
    for _ in range(6):
        data = suggest(PROBLEM, runs).cutting_data
        if len(runs) == 1:
            assert data.feed_mm_per_rev <= PROBLEM.start.feed_mm_per_rev
            assert data.speed_m_per_min <= PROBLEM.start.speed_m_per_min
            assert data.feed_mm_per_rev * data.speed_m_per_min > 0.4 * 28 * 0.10
        life = round(PROCESS.life(data))
        load = PROCESS.fresh_pct(data)
        runs.append(RunResult(data, life, "worn", load, 1.5 * load, PROCESS.cycle_min(data)))
    reached = max(run.cutting_data.feed_mm_per_rev for run in runs[1:])
    assert reached >= PROBLEM.start.feed_mm_per_rev


def test_a_step_beyond_all_that_was_tried_risks_little() -> None:
    # A steep cliff may stand anywhere beyond what came through.
    runs = [RunResult(PROBLEM.start, 350, "worn", 22.0, 33.0, 0.24)]
    for holes in (50, 1_000_000):
        step = suggest(replace(PROBLEM, holes_to_make=holes), runs)
        luck = View(PROBLEM, runs, 0).outlook.failing.luck
        assert step.p_chip_or_break - luck <= 0.1 + 1e-9


def test_a_tighter_limit_takes_tests_away_and_leaves_enough() -> None:
    # What is too hot is the more hopeful; it must not crowd out what is not.
    runs = [RunResult(PROBLEM.start, 350, "worn", 22.0, 33.0, 0.24)]
    weighed = []
    for limit_pct in (36.0, 40.0, 90.0):
        view = View(replace(PROBLEM, load_limit_pct=limit_pct), runs, 0)
        life = view.outlook.life
        hopeful = view.money.at(life.mean + life.known_sd)
        tests = places_to_test(view, view.outlook, hopeful / view.cost.min())
        # What hope itself puts far above the cheapest tried is not asked.
        assert hopeful[tests].max() <= 2.0 * view.cheapest_tried()
        weighed.append({view.candidates[i] for i in tests.tolist()})
        allowed = [view.candidates[i] for i in np.flatnonzero(view.testable)]
        assert len(weighed[-1]) > 0.1 * len(allowed)
    assert weighed[0] < weighed[1] < weighed[2]
    assert len(weighed[0]) > 10


def _asked(
    patch: pytest.MonkeyPatch, view: View, gains: dict[int, float], breaks: dict[int, float]
) -> int:
    """The test that is asked for where each would take such a share off the cost, and break so."""
    gain = np.full(len(view.candidates), -np.inf)
    broken = np.zeros(len(gain))
    for index, value in gains.items():
        gain[index] = value * view.cost.min()
    for index, value in breaks.items():
        broken[index] = value
    once = Worth(gain, broken)
    patch.setattr(worth, "worths", lambda *_: (once, once))
    return best_test(view)


def test_what_is_asked_where_no_test_pays(monkeypatch: pytest.MonkeyPatch) -> None:
    # By hand: a hole costs some 0.4, a test an edge of 12 or more, a broken drill 1.5 times 110.
    runs = [RunResult(PROBLEM.start, 350, "worn", 22.0, 33.0, 0.24)]
    view = View(replace(PROBLEM, holes_to_make=1000), runs, 0)
    failing = view.outlook.failing
    calm = view.testable & (failing.p_fail <= failing.luck + 0.02)
    one, other = np.flatnonzero(calm).tolist()[:2]
    # A twentieth of the cost pays for ten thousand holes, though not for one thousand.
    assert _asked(monkeypatch, view, {one: 0.001, other: 0.05}, {}) == other
    # What saves little but breaks nothing goes before what may break more than it saves ...
    assert _asked(monkeypatch, view, {one: 0.001, other: 0.002}, {other: 0.1}) == one
    # ... but not where it tells of nothing: then what may break weighs a tenth.
    assert _asked(monkeypatch, view, {one: 0.0001, other: 0.002}, {other: 0.1}) == other
    # And where nothing tells of anything, the one that tells most.
    assert _asked(monkeypatch, view, {one: 0.0001, other: 0.00015}, {other: 0.001}) == other


@pytest.mark.parametrize(("end", "holes"), [("worn", 350), ("chipped", 200)])
def test_once_an_edge_has_failed_what_may_break_weighs_in_full(
    monkeypatch: pytest.MonkeyPatch, end: End, holes: int
) -> None:
    runs = [RunResult(PROBLEM.start, 350, "worn", 22.0, 33.0, 0.24)]
    view = View(PROBLEM, [*runs, RunResult(PROBLEM.start, holes, end, 22.0, 30.0, 0.24)], 0)
    risk = view.outlook.failing.p_fail
    one = int(np.argmin(np.where(view.testable, risk, 1.0)))
    bold = int(np.argmax(np.where(view.testable, risk, 0.0)))
    asked = _asked(monkeypatch, view, {one: 0.0001, bold: 0.002}, {bold: 0.1})
    assert asked == (bold if end == "worn" else one)


def test_production_stays_four_percent_below_where_no_worn_drill_was_seen() -> None:
    bound = replace(PROBLEM, load_limit_pct=18, max_test_holes=60)
    runs = [replace(run, holes=60, end="stopped") for run in PROCESS.history(5, seed=2)]
    unseen_pct = recommend(bound, runs).load_worn_pct.high
    assert 0.9 * 18 < unseen_pct <= np.exp(-0.04) * 18
    # The same runs, one of which was drilled until its edge was worn.
    seen = [replace(runs[0], end="worn"), *runs[1:]]
    assert recommend(bound, seen).load_worn_pct.high <= np.exp(-0.02) * 18


@pytest.mark.parametrize("limit_pct", [16, 18, 20])
def test_production_stays_two_percent_further_below_a_limit_that_binds(limit_pct: float) -> None:
    bound = replace(PROBLEM, load_limit_pct=limit_pct)
    for count, least in ((5, 0.94), (8, 0.95)):
        high_pct = recommend(bound, PROCESS.history(count, seed=2)).load_worn_pct.high
        assert least * limit_pct < high_pct <= np.exp(-0.02) * limit_pct

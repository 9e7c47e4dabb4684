"""What to test next and what to produce with, from what the runs of a drill have shown."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from trials.errors import InputError
from trials.model import Run, Trial
from trials.workbench._costs import as_evidence, run_mark
from trials.workbench._kept import searched
from trials.workbench._like_trials import most_alike, without_prices
from trials.workbench._search_values import DrillTest, LikeTrial, LikeTrials, NextTest

if TYPE_CHECKING:  # the search's libraries take a second to load
    from trials.figures import Convergence, ResponseMap, SearchSlices
    from trials.optimizer import Earlier, Problem, Response, RunResult, Suggestion

Question = Literal["suggest", "recommend"]


def problem(trial: Trial, drill_name: str | None) -> Problem:
    """The trial, for one of its drills, as the search asks for it.

    What the drill's maker forbids bounds the search; what the maker recommends shifts what is
    expected.
    """
    from trials.optimizer import Problem

    drill = trial.drill(drill_name)
    start, bounds = trial.start_of(drill.name)
    return Problem(
        speed_m_per_min=_at_most(bounds.speed_m_per_min, drill.maker_most_speed_m_per_min),
        feed_mm_per_rev=_at_most(bounds.feed_mm_per_rev, drill.maker_most_feed_mm_per_rev),
        peck_depth_xd=bounds.peck_depth_xd,
        peck_modes=bounds.peck_modes,
        start=start,
        load_limit_pct=trial.load_limit_pct,
        diameter_mm=drill.diameter_mm,
        depth_mm=trial.hole.depth_mm,
        economics=trial.economics_of(drill.name),
        max_test_holes=trial.max_test_holes,
        machine=trial.machine,
        holes_to_make=trial.holes_to_make,
        group=trial.work.group,
        substrate=drill.substrate,
        kc1_1_n_per_mm2=trial.work.kc1_1_n_per_mm2,
        mc=trial.work.mc,
        kd=trial.work.kd,
        point_angle_deg=drill.point_angle_deg,
        through=trial.hole.through,
        maker_speed_m_per_min=drill.maker_speed_m_per_min,
        maker_feed_mm_per_rev=drill.maker_feed_mm_per_rev,
        wear_limits=trial.limits,
        p_safe=trial.p_safe,
    )


def _at_most(span: tuple[float, float], most: float | None) -> tuple[float, float]:
    return span if most is None else (min(span[0], most), min(span[1], most))


def makers_words(trial: Trial, drill_name: str | None) -> list[str]:
    """What the drill's maker forbids and recommends, and what the search makes of each."""
    drill = trial.drill(drill_name)
    _, bounds = trial.start_of(drill.name)
    forbids, recommends, inside = [], [], True
    for most, span, within, unit in (
        (drill.maker_most_speed_m_per_min, drill.maker_speed_m_per_min, bounds.speed_m_per_min,
         "m/min"),
        (drill.maker_most_feed_mm_per_rev, drill.maker_feed_mm_per_rev, bounds.feed_mm_per_rev,
         "mm/rev"),
    ):  # fmt: skip
        if most is not None:
            forbids.append(f"{most:g} {unit}")
        if span is not None:
            recommends.append(f"{span[0]:g} {unit} to {span[1]:g} {unit}")
            inside = inside and span[0] <= within[0] * (1 + 1e-9) and (
                within[1] <= span[1] * (1 + 1e-9))  # fmt: skip
    said = []
    if forbids:
        said.append(f"The maker forbids more than {' and '.join(forbids)}: nothing above is tried.")
    if recommends:
        how = "the search stays within it" if inside else "bounds reach beyond it"
        said.append(
            f"The maker's range, {' and '.join(recommends)}, shifts what is expected; {how}."
        )
    return said


def results(trial: Trial, runs: list[Run], drill_name: str) -> tuple[list[RunResult], list[str]]:
    """What the ended runs of a drill showed, and a sentence for each kind of thing they lack.

    A run without holes shows nothing and is left out. One without a recorded load or cycle time
    counts with what is known of it: leaving out a drill that broke unrecorded would let the search
    walk into the same place again.
    """
    from trials.optimizer import RunResult

    found: list[RunResult] = []
    lacking: dict[str, list[int]] = defaultdict(list)
    for run in runs:
        if run.drill != drill_name or run.end is None:
            continue
        if run.holes == 0 and run.end == "stopped":
            lacking["left out: no hole was drilled"].append(run.number)
            continue
        known = as_evidence(trial, run)
        parts = {"load": run.load_fresh_pct, "worn load": run.load_worn_pct,
                 "cycle time": run.cycle_min}  # fmt: skip
        missing = [what for what, value in parts.items() if value is None]
        if missing:
            lacking[f"without {', '.join(missing)}: not recorded"].append(run.number)
        assert known.end is not None  # noqa: S101 - ended runs alone come here
        last = known.wear[-1].hole if known.wear else 0
        found.append(
            RunResult(
                run.cutting_data, max(known.holes, last), known.end, run.load_fresh_pct,
                run.load_worn_pct, run.cycle_min, known.wear,
            )
        )  # fmt: skip
    remarks = [
        f"Run{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))} {what}."
        for what, numbers in lacking.items()
    ]
    return found, remarks


def like_trials(
    trial: Trial, drill_name: str | None, others: Sequence[tuple[Trial, list[Run]]]
) -> list[LikeTrial]:
    """Jobs of the shop whose runs tell something of this drill here, the most alike first.

    Args:
        trial, drill_name: who asks.
        others: trials with their runs; the asking one's own give its other drills.
    """
    from trials.optimizer import Earlier

    found = []
    for how, why, theirs, drill, ended in most_alike(trial, trial.drill(drill_name), others):
        shown, _ = results(theirs, ended, drill.name)
        if shown:
            asked = problem(without_prices(theirs), drill.name)
            earlier = Earlier(asked, tuple(shown), how)
            found.append(LikeTrial(theirs.name, drill.name, len(shown), how, why, earlier))
    return found


def in_use(trial: Trial, likes: Sequence[LikeTrial], alone: bool | None) -> list[LikeTrial]:
    """Those that count: none of another trial when this one is asked alone."""
    leave = trial.alone if alone is None else alone
    return [one for one in likes if one.trial == trial.name or not leave]


def ask(
    trial: Trial, runs: list[Run], drill_name: str | None, question: Question,
    likes: Sequence[LikeTrial] = (),
) -> Suggestion:  # fmt: skip
    """Put the question to the search; what counts less or not at all is said in ``why``."""
    drill = trial.drill(drill_name).name
    found, remarks = results(trial, runs, drill)
    answer = _answer(problem(trial, drill), tuple(found), question, _earlier(likes))
    remarks = [*makers_words(trial, drill), *remarks]
    return replace(answer, why=" ".join([answer.why, *remarks])) if remarks else answer


def _earlier(likes: Sequence[LikeTrial]) -> tuple[Earlier, ...]:
    return tuple(one.earlier for one in likes)


def _answer(
    asked: Problem, found: tuple[RunResult, ...], question: Question, earlier: tuple[Earlier, ...]
) -> Suggestion:
    """The same question has the same answer; a page asks it several times."""
    from trials import optimizer

    to_ask = optimizer.suggest if question == "suggest" else optimizer.recommend
    return searched(
        question, (asked, found, earlier), lambda: to_ask(asked, found, earlier=earlier)
    )


def what_they_change(
    trial: Trial, runs: list[Run], drill_name: str | None, likes: Sequence[LikeTrial],
    left_out: Sequence[LikeTrial],
) -> LikeTrials:  # fmt: skip
    """The like jobs, with what is expected of the suggested cutting data with and without them."""
    from trials import optimizer

    plain = LikeTrials(tuple(likes), tuple(left_out))
    if not likes:
        return plain
    drill = trial.drill(drill_name).name
    asked, found = problem(trial, drill), results(trial, runs, drill)[0]
    try:
        data = _answer(asked, tuple(found), "suggest", _earlier(likes)).cutting_data
    except InputError:
        return plain
    with_them = optimizer.expect(asked, found, data, earlier=_earlier(likes))
    without = optimizer.expect(asked, found, data)
    return replace(plain, holes_with=with_them.holes, holes_without=without.holes)


def convergence(
    trial: Trial,
    runs: list[Run],
    drill_name: str | None,
    likes: Sequence[LikeTrial] = (),
    *,
    ahead: bool = True,
) -> Convergence:
    """Runs of a drill, or of all, with what the next run of it is expected to cost.

    Without ``ahead`` nothing is expected, and nothing is searched for. When nothing safe is left
    to test, nothing is expected; what was drilled is shown all the same.
    """
    from trials.figures import convergence as in_order

    drill = trial.drill(drill_name).name
    marks = [run_mark(trial, run) for run in runs if drill_name is None or run.drill == drill]
    expected: tuple[float, float, float] | None
    bound: float | None
    if not ahead:
        return in_order(marks, currency=trial.economics.currency)
    try:
        cost = ask(trial, runs, drill_name, "suggest", likes).cost_per_hole
        expected = (cost.low, cost.median, cost.high)
        found, _ = results(trial, runs, drill)
        told = _response(problem(trial, drill), tuple(found), _earlier(likes)) if found else None
        bound = None if told is None else told.lowest_possible
    except InputError:
        expected = bound = None
    return in_order(marks, currency=trial.economics.currency, expected=expected, bound=bound)


def _response(
    asked: Problem, found: tuple[RunResult, ...], earlier: tuple[Earlier, ...]
) -> Response:
    from trials import optimizer

    return searched(
        "response", (asked, found, earlier),
        lambda: optimizer.response(asked, found, earlier=earlier),
    )  # fmt: skip


def response_map(
    trial: Trial, runs: list[Run], drill_name: str | None, likes: Sequence[LikeTrial] = ()
) -> ResponseMap:
    """Expected cost over speed and feed, in the peck mode that is recommended."""
    from trials.figures import ResponseMap, TriedMark

    drill = trial.drill(drill_name).name
    found, _ = results(trial, runs, drill)
    told = _response(problem(trial, drill), tuple(found), _earlier(likes))
    best = told.recommended
    tried = [
        TriedMark(
            run.number, run.cutting_data.speed_m_per_min, run.cutting_data.feed_mm_per_rev,
            run.end, run_mark(trial, run).label,
        )
        for run in runs
        if run.drill == drill and run.cutting_data.peck_mode == best.peck_mode and run.end
    ]  # fmt: skip
    return ResponseMap(
        told.speeds_m_per_min, told.feeds_mm_per_rev, told.cost, told.low, told.high,
        _allowed(told), tuple(tried), best, trial.economics.currency,
        told.lowest_possible, told.beliefs,
    )  # fmt: skip


def _allowed(told: Response) -> tuple[tuple[bool, ...], ...]:
    return tuple(
        tuple(a and b for a, b in zip(*rows, strict=True))
        for rows in zip(told.safe, told.possible, strict=True)
    )


def slices(
    trial: Trial, runs: list[Run], drill_name: str | None, likes: Sequence[LikeTrial] = ()
) -> SearchSlices:
    """Expected cost and worn load along speed and along feed, through what is recommended."""
    from trials.figures import RunOnSlices, search_slices

    drill = trial.drill(drill_name).name
    found, _ = results(trial, runs, drill)
    told = _response(problem(trial, drill), tuple(found), _earlier(likes))
    marks = [
        RunOnSlices(
            run.number, run.cutting_data, run_mark(trial, run).cost, run.load_worn_pct, run.end
        )
        for run in runs
        if run.drill == drill and run.end is not None
    ]
    return search_slices(
        speeds_m_per_min=told.speeds_m_per_min, feeds_mm_per_rev=told.feeds_mm_per_rev,
        cost=(told.low, told.cost, told.high),
        load=(told.load_low_pct, told.load_pct, told.load_high_pct), allowed=_allowed(told),
        through=told.recommended, load_limit_pct=told.load_limit_pct, runs=marks,
        currency=trial.economics.currency,
    )  # fmt: skip


def plan(
    trial: Trial, runs: list[Run], drill_name: str | None, count: int,
    likes: Sequence[LikeTrial] = (),
) -> list[Suggestion]:  # fmt: skip
    """Several tests to drill before any of them is looked at."""
    drill = trial.drill(drill_name).name
    found, _ = results(trial, runs, drill)
    return list(_plan(problem(trial, drill), tuple(found), count, _earlier(likes)))


def _plan(
    asked: Problem, found: tuple[RunResult, ...], count: int, earlier: tuple[Earlier, ...]
) -> tuple[Suggestion, ...]:
    from trials import optimizer

    return searched(
        "plan", (asked, found, count, earlier),
        lambda: optimizer.suggest_batch(asked, found, count, earlier=earlier),
    )  # fmt: skip


def next_test(trial: Trial, runs: list[Run], likes: dict[str, list[LikeTrial]]) -> NextTest:
    """Which of the trial's drills to test next, with what, and what a test of each is worth.

    Args:
        trial, runs: what is asked.
        likes: like jobs of other trials for each drill; drills of this trial tell each other
            anyway.
    """
    from trials import optimizer

    names = [drill.name for drill in trial.drills]
    shown = {name: results(trial, runs, name)[0] for name in names}
    found = optimizer.next_drill(
        {name: problem(trial, name) for name in names},
        shown,
        earlier={
            name: [one.earlier for one in likes.get(name, ()) if one.trial != trial.name]
            for name in names
        },
    )
    tests = [
        DrillTest(
            name, len(shown[name]), found.suggestions.get(name), found.values.get(name, 0.0),
            found.left_out.get(name, ""),
        )
        for name in names
    ]  # fmt: skip

    def worth(test: DrillTest) -> float:
        price = 0.0 if test.suggestion is None else test.suggestion.test_cost
        return test.value - price if test.suggestion is not None else -float("inf")

    tests.sort(key=lambda test: (test.drill != found.drill, -worth(test)))
    return NextTest(found.drill, tuple(tests), found.suggestion.stop)

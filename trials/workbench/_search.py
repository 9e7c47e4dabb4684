"""What to test next and what to produce with, from what the runs of a drill have shown."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from trials.errors import InputError
from trials.model import Run, Trial
from trials.workbench._costs import as_evidence, run_mark

if TYPE_CHECKING:  # the search's libraries take a second to load
    from trials.figures import Convergence, ResponseMap
    from trials.optimizer import Problem, Response, RunResult, Suggestion

Question = Literal["suggest", "recommend"]


def problem(trial: Trial, drill_name: str | None) -> Problem:
    """The trial, for one of its drills, as the search asks for it."""
    from trials.optimizer import Problem

    drill = trial.drill(drill_name)
    start, bounds = trial.start_of(drill.name)
    return Problem(
        speed_m_per_min=bounds.speed_m_per_min,
        feed_mm_per_rev=bounds.feed_mm_per_rev,
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
        point_angle_deg=drill.point_angle_deg,
        through=trial.hole.through,
    )


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
        found.append(
            RunResult(
                run.cutting_data, known.holes, known.end, run.load_fresh_pct, run.load_worn_pct,
                run.cycle_min,
            )
        )  # fmt: skip
    remarks = [
        f"Run{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))} {what}."
        for what, numbers in lacking.items()
    ]
    return found, remarks


def ask(trial: Trial, runs: list[Run], drill_name: str | None, question: Question) -> Suggestion:
    """Put the question to the search; what counts less or not at all is said in ``why``."""
    drill = trial.drill(drill_name).name
    found, remarks = results(trial, runs, drill)
    answer = _answer(problem(trial, drill), tuple(found), question)
    return replace(answer, why=" ".join([answer.why, *remarks])) if remarks else answer


@lru_cache(maxsize=64)
def _answer(asked: Problem, found: tuple[RunResult, ...], question: Question) -> Suggestion:
    """The same question has the same answer; a page asks it several times."""
    from trials import optimizer

    return (optimizer.suggest if question == "suggest" else optimizer.recommend)(asked, found)


def convergence(trial: Trial, runs: list[Run], drill_name: str | None) -> Convergence:
    """Runs of a drill, or of all, with what the next run of it is expected to cost.

    When nothing safe is left to test, nothing is expected; what was drilled is shown all the same.
    """
    from trials.figures import convergence as in_order

    drill = trial.drill(drill_name).name
    marks = [run_mark(trial, run) for run in runs if drill_name is None or run.drill == drill]
    expected: tuple[float, float, float] | None
    bound: float | None
    try:
        cost = ask(trial, runs, drill_name, "suggest").cost_per_hole
        expected = (cost.low, cost.median, cost.high)
        found, _ = results(trial, runs, drill)
        bound = _response(problem(trial, drill), tuple(found)).lowest_possible if found else None
    except InputError:
        expected = bound = None
    return in_order(marks, currency=trial.economics.currency, expected=expected, bound=bound)


@lru_cache(maxsize=16)
def _response(asked: Problem, found: tuple[RunResult, ...]) -> Response:
    from trials import optimizer

    return optimizer.response(asked, found)


def response_map(trial: Trial, runs: list[Run], drill_name: str | None) -> ResponseMap:
    """Expected cost over speed and feed, in the peck mode that is recommended."""
    from trials.figures import ResponseMap, TriedMark

    drill = trial.drill(drill_name).name
    found, _ = results(trial, runs, drill)
    told = _response(problem(trial, drill), tuple(found))
    best = told.recommended
    tried = [
        TriedMark(
            run.number, run.cutting_data.speed_m_per_min, run.cutting_data.feed_mm_per_rev,
            run.end, run_mark(trial, run).label,
        )
        for run in runs
        if run.drill == drill and run.cutting_data.peck_mode == best.peck_mode and run.end
    ]  # fmt: skip
    safe = tuple(
        tuple(a and b for a, b in zip(*rows, strict=True))
        for rows in zip(told.safe, told.possible, strict=True)
    )
    return ResponseMap(
        told.speeds_m_per_min, told.feeds_mm_per_rev, told.cost, told.low, told.high, safe,
        tuple(tried), best, trial.economics.currency,
        told.lowest_possible, told.beliefs,
    )  # fmt: skip


def plan(trial: Trial, runs: list[Run], drill_name: str | None, count: int) -> list[Suggestion]:
    """Several tests to drill before any of them is looked at."""
    from trials import optimizer

    drill = trial.drill(drill_name).name
    found, _ = results(trial, runs, drill)
    return list(optimizer.suggest_batch(problem(trial, drill), found, count))


def next_drill(trial: Trial, runs: list[Run]) -> tuple[str, Suggestion]:
    """Which of the trial's drills to test next, and with what."""
    from trials import optimizer

    names = [drill.name for drill in trial.drills]
    found = optimizer.next_drill(
        {name: problem(trial, name) for name in names},
        {name: results(trial, runs, name)[0] for name in names},
    )
    return found.drill, found.suggestion

"""What the search is asked, and what becomes of its answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.helpers.example_trial import START, example_trial
from trials.errors import ConflictError, NotFoundError
from trials.model import CuttingData, Run, WearReading
from trials.workbench import Workbench, _search


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        yield bench


def ended(number: int, **changes: object) -> Run:
    run = Run(number, "plain", CuttingData(60.0, 0.12), "ended", "worn", 200, 30.0, 42.0, 0.1)
    return replace(run, **changes)  # type: ignore[arg-type]  # as the test says


def test_the_trial_is_handed_over_whole() -> None:
    trial = example_trial(holes_to_make=5000)
    asked = _search.problem(trial, "coated")
    assert asked.economics.drill_price == 120.0
    assert asked.economics.currency == "CHF"
    assert (asked.diameter_mm, asked.depth_mm, asked.through) == (8.5, 25.0, False)
    assert (asked.load_limit_pct, asked.max_test_holes, asked.holes_to_make) == (80.0, 500, 5000)
    assert (asked.machine, asked.group, asked.start) == (trial.machine, "P", START)
    assert asked.speed_m_per_min == (40.0, 120.0)


def test_only_ended_runs_of_the_drill_count() -> None:
    runs = [
        ended(1),
        ended(2, drill="coated"),
        ended(3, state="drilled", end=None),
        ended(4, state="planned", end=None, holes=0),
        ended(5, holes=0, end="stopped"),
        ended(6, holes=0, end="broken"),
    ]
    found, remarks = _search.results(example_trial(), runs, "plain")
    assert [(one.holes, one.end) for one in found] == [(200, "worn"), (0, "broken")]
    assert remarks == ["Run 5 left out: no hole was drilled."]


def test_what_was_not_recorded_is_said() -> None:
    bare = {"load_fresh_pct": None, "load_worn_pct": None, "cycle_min": None}
    runs = [ended(1), ended(2, **bare), ended(3, **bare), ended(4, cycle_min=None)]
    found, remarks = _search.results(example_trial(), runs, "plain")
    assert len(found) == 4
    assert found[1].load_fresh_pct is None
    assert remarks == [
        "Runs 2, 3 without load, worn load, cycle time: not recorded.",
        "Run 4 without cycle time: not recorded.",
    ]
    answer = _search.ask(example_trial(), runs, None, "suggest")
    assert answer.why.endswith(" ".join(remarks))


def test_a_run_carried_on_past_the_limit_was_worn_at_the_limit() -> None:
    wear = (WearReading(100, 0.2), WearReading(200, 0.4))
    found, _ = _search.results(
        example_trial(),
        [ended(1, wear=wear, end="stopped"), ended(2, wear=wear, end="chipped")],
        "plain",
    )
    assert [(one.holes, one.end) for one in found] == [(150, "worn"), (200, "chipped")]


def test_a_suggestion_becomes_a_run_once(bench: Workbench) -> None:
    suggestion = bench.suggest("bracket")
    run = bench.use_suggestion("bracket")
    assert (run.number, run.origin, run.state) == (1, "suggestion", "planned")
    assert run.cutting_data == suggestion.cutting_data
    with pytest.raises(ConflictError, match="run 1 of bracket is planned"):
        bench.use_suggestion("bracket")
    bench.end_run("bracket", 1, "worn", holes=150)
    assert bench.use_suggestion("bracket", "coated").drill == "coated"
    assert len(bench.runs("bracket")) == 2


def test_the_same_question_is_worked_out_once(
    bench: Workbench, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = bench.suggest("bracket")
    monkeypatch.setattr("trials.optimizer.suggest", lambda *_: pytest.fail("asked again"))
    assert bench.suggest("bracket") == first


def test_convergence_marks_every_run_by_its_end(bench: Workbench) -> None:
    for end, holes in (("worn", 100), ("broken", 900), ("stopped", 60), ("worn", 200)):
        bench.plan_run("bracket", START)
        bench.end_run("bracket", None, end, holes=holes)  # type: ignore[arg-type]  # its words
    bench.plan_run("bracket", START)
    found = bench.convergence("bracket")
    assert [mark.number for mark in found.runs] == [1, 2, 3, 4, 5]
    assert [mark.end for mark in found.runs] == ["worn", "broken", "stopped", "worn", None]
    assert [mark.cost is None for mark in found.runs] == [False, False, False, False, True]
    first, last = bench.cost("bracket", 1).total, bench.cost("bracket", 4).total
    assert found.best == (first, first, first, last, last)
    assert found.expected_low is not None
    assert found.expected_low <= bench.suggest("bracket").cost_per_hole.median
    assert found.currency == "CHF"


def test_convergence_of_one_drill_shows_its_runs(bench: Workbench) -> None:
    for drill in ("plain", "coated", "plain"):
        bench.plan_run("bracket", START, drill=drill)
        bench.end_run("bracket", None, "worn", holes=100)
    assert [mark.number for mark in bench.convergence("bracket", "plain").runs] == [1, 3]
    assert [mark.number for mark in bench.convergence("bracket").runs] == [1, 2, 3]
    with pytest.raises(NotFoundError, match="plain, coated"):
        bench.convergence("bracket", "long")


def test_drills_are_compared_each_with_its_own_money(bench: Workbench) -> None:
    for drill in ("plain", "coated"):
        bench.plan_run("bracket", START, drill=drill)
        bench.end_run("bracket", None, "worn", holes=100)
    found = bench.compare("bracket")
    assert [one.drill for one in found] == ["plain", "coated"]
    assert found[0].cost is not None
    assert found[0].cost.total == pytest.approx(bench.cost("bracket", 1).total)
    assert found[1].cost is not None
    assert found[1].cost.total == pytest.approx(bench.cost("bracket", 2).total)

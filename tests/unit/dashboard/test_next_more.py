"""Below the next step: drills, like jobs, a plan of tests; and the page of progress."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import flask
import pytest

from dashboard import access, ids
from dashboard import texts as common_texts
from dashboard.access import Viewer
from dashboard.pages import next_more, next_step, progress_map
from dashboard.seen import as_seen
from dashboard.show import Show
from dashboard.texts import next_more as texts
from tests.helpers.example_trial import START, example_trial
from tests.helpers.fake_workbench import FakeWorkbench, invented_runs, invented_trial
from tests.helpers.page_words import idents, words
from trials.errors import ConflictError
from trials.workbench import LikeTrial, Workbench

NAME = "Bracket holes"
LIKE = LikeTrial("Old job", "carbide A", 6, 0.72, "the same drill, 8.5 mm instead of 8 mm",
                 SimpleNamespace())  # type: ignore[arg-type]  # fmt: skip  # never looked into


@pytest.fixture
def bench() -> Any:
    return FakeWorkbench({NAME: (invented_trial(), invented_runs())}, likes=(LIKE,))


def test_every_drill_has_figures_and_the_best_is_named(bench: Any) -> None:
    said = words(next_more.more_parts(bench, Show(), NAME, None))
    assert "Test carbide A: its next test is expected to save 118.00 EUR" in said
    assert texts.DRILLS_NOTHING in said
    assert texts.DRILLS_SHOW.format(drill="carbide A") in said


def test_a_single_drill_needs_no_choice() -> None:
    trial = invented_trial()
    alone = FakeWorkbench({NAME: (SimpleNamespace(drills=trial.drills[:1], name=NAME, alone=False),
                                  [])})  # type: ignore[dict-item]  # fmt: skip  # what is asked
    assert texts.DRILLS_TITLE not in words(next_more.more_parts(alone, Show(), NAME, None))


def test_like_jobs_are_named_with_what_is_alike(bench: Any) -> None:
    parts = next_more.more_parts(bench, Show(system="inch"), NAME, None)
    said = words(parts)
    assert "Learned from like jobs (1)" in said
    assert "Old job" in said
    assert "72 %" in said
    assert "0.3346 in instead of 0.3150 in" in said
    assert texts.LIKE_LEAVE in said
    assert ids.NEXT_ALONE in idents(parts)


def test_without_a_like_job_it_says_so() -> None:
    bench: Any = FakeWorkbench({NAME: (invented_trial(), invented_runs())})
    parts = next_more.more_parts(bench, Show(), NAME, None)
    assert texts.LIKE_NONE in words(parts)
    assert ids.NEXT_ALONE not in idents(parts)


def test_a_reader_may_look_and_not_change(bench: Any) -> None:
    with flask.Flask("test").test_request_context("/"):
        access.see_as(Viewer("rep", "reader", sees_prices=True))
        parts = next_more.more_parts(bench, Show(), NAME, None)
        plan = next_more.plan_parts(bench, Show(), NAME, None, 2)
    assert ids.NEXT_ALONE not in idents(parts)
    assert ids.PLAN_USE not in idents(plan)
    assert ids.PLAN_PRINT in idents(plan)


def test_a_plan_shows_each_run_and_how_long(bench: Any) -> None:
    parts = next_more.plan_parts(bench, Show(), NAME, None, 3)
    said = words(parts)
    assert "Plans runs 6 to 8 with drill carbide A" in said
    assert said.count("3,262 /min") == 3
    assert "Run 6, 7, 8: A little slower" in said
    bench.use_suggestion(NAME)
    again = next_more.plan_parts(bench, Show(), NAME, None, 2)
    assert ids.PLAN_USE not in idents(again)
    assert texts.PLAN_OPEN.format(runs="6") in words(again)


def test_the_next_test_says_how_long_it_is(bench: Any) -> None:
    said = words(next_step.next_step(bench, Show(), NAME, None))
    assert "Drill up to 400 holes; the test may stop after 120" in said
    bench.use_suggestion(NAME)
    bench.set_state(NAME, test_holes=90)
    assert "may stop after 90" in words(next_step.next_step(bench, Show(), NAME, None))


def test_slices_say_how_exactly_and_from_where_it_is_too_much(bench: Any) -> None:
    said = words(progress_map.map_parts(bench, Show(), bench.trial(NAME), None))
    assert "From 60.0 m/min to 60.0 m/min a hole" in said
    assert "From 80.0 m/min on" in said
    assert "Runs with nearly the same other values: 1." in said
    assert common_texts.SLICE_NO_RUNS in said
    assert "★ 60.0 m/min" in said
    assert "Go on: the next test costs 61.00 EUR and is expected to save 118.00 EUR" in said
    inch = words(progress_map.map_parts(bench, Show(system="inch"), bench.trial(NAME), None))
    assert "From 262 ft/min on" in inch
    bench.stop = True
    stopped = words(progress_map.map_parts(bench, Show(), bench.trial(NAME), None))
    assert "Stop testing: the next test costs" in stopped


def test_only_the_plan_that_was_seen_is_planned(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        seen = [asdict(one.cutting_data) for one in bench.plan("bracket", 2)]
        bench.plan_run("bracket", START)
        bench.end_run("bracket", 1, "worn", holes=900)
        assert not next_more.accept_plan(bench, "bracket", None, seen)
        assert len(bench.runs("bracket")) == 1
        now = [asdict(one.cutting_data) for one in bench.plan("bracket", 2)]
        assert next_more.accept_plan(bench, "bracket", None, now)
        assert [run.number for run in bench.runs("bracket")] == [1, 2, 3]
        with pytest.raises(ConflictError):
            next_more.accept_plan(bench, "bracket", None, now)


def test_names_of_other_trials_are_not_for_those_without_prices(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        for name in ("bracket", "secret customer"):
            bench.new_trial(example_trial(name))
            bench.plan_run(name, START)
            bench.end_run(name, 1, "worn", holes=300)
        seen = as_seen(bench)
        with flask.Flask("test").test_request_context("/"):
            access.see_as(Viewer("rep", "reader", sees_prices=False))
            hidden = words(next_more.more_parts(seen, Show(), "bracket", None))
            access.see_as(Viewer("shop", "editor", sees_prices=True))
            shown = words(next_more.more_parts(seen, Show(), "bracket", None))
    assert "secret customer" in shown
    assert "secret customer" not in hidden
    assert "CHF" not in hidden

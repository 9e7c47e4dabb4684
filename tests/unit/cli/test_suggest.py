"""What ``suggest``, ``next`` and ``trial set`` say, and what they plan."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.example_trial import example_trial
from trials.model import CuttingData
from trials.workbench import Workbench


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two like trials with runs; read only."""
    folder = tmp_path_factory.mktemp("search") / "shop"
    return _fill(folder)


def _fill(folder: Path) -> Path:
    with Workbench.open(folder) as bench:
        for name, lives in (("old", (900, 500, 850)), ("bracket", (200, 150))):
            # So many that another test pays.
            bench.new_trial(example_trial(name, holes_to_make=50000))
            for (speed, feed), holes in zip(((80, 0.15), (95, 0.15), (80, 0.2)), lives):  # noqa: B905 - as many as there are
                run = bench.plan_run(name, CuttingData(float(speed), feed))
                bench.end_run(name, run.number, "worn", holes=holes)
    return folder


def test_a_suggestion_says_what_to_set_how_long_and_what_was_learned_from(filled: Path) -> None:
    said = holewise("suggest", "bracket", data=filled)
    assert said.status == 0, said.err
    assert "bracket, plain: run 3, the next test. Set at the machine:" in said.out
    for words in ("  speed  ", " /min (", "  feed   ", "  pecks  none", "Drill up to 500 holes",
                  "holes to wear", "(limit 80)", "expected to save", "over 50,000 holes",
                  "Learned from like jobs",
                  "the same drill, the same material", "With them ", "--alone",
                  "Next: holewise suggest bracket --use"):  # fmt: skip
        assert words in said.out, words


def test_alone_leaves_the_other_trial_out(filled: Path) -> None:
    with_them = holewise("suggest", "bracket", data=filled)
    alone = holewise("suggest", "bracket", "--alone", data=filled)
    assert "Left out like jobs" in alone.out
    assert "Learned from" not in alone.out
    assert alone.out.splitlines()[5:9] != with_them.out.splitlines()[5:9]


def test_why_says_how_exactly_speed_and_feed_must_be_kept(filled: Path) -> None:
    said = holewise("--units", "inch", "suggest", "bracket", "--why", data=filled)
    assert "Along speed: from" in said.out
    assert "Along feed: from" in said.out
    assert " ft/min" in said.out
    assert " m/min" not in said.out


def test_next_has_figures_for_each_drill(filled: Path) -> None:
    said = holewise("next", "bracket", data=filled)
    assert said.status == 0, said.err
    for words in ("drill", "saves, CHF", "costs, CHF", "plain", "coated",
                  "Next: holewise next bracket --use"):  # fmt: skip
        assert words in said.out, words
    assert "Test " in said.out or "No test is worth its price" in said.out


def test_a_plan_is_printed_and_planned_and_each_run_says_how_long(tmp_path: Path) -> None:
    data, sheet = _fill(tmp_path / "shop"), tmp_path / "day.html"
    said = holewise("suggest", "bracket", "--count", "3", "--card", sheet, "--use", data=data)
    assert said.status == 0, said.err
    assert "a plan of 3 tests" in said.out
    assert "Runs 3, 4, 5 planned with it" in said.out
    text = sheet.read_text(encoding="utf-8")
    assert text.count('<table class="write">') == 3
    assert "CHF" not in text
    again = holewise("suggest", "bracket", "--card", sheet, data=data)
    assert again.status == 1
    assert "is there already" in again.err
    with Workbench.open(data) as bench:
        assert [run.number for run in bench.runs("bracket") if run.test_holes] == [3, 4, 5]
    fed = tmp_path / "empty.csv"
    fed.write_text("time_s,load_pct\n0,1\n1,1\n", encoding="utf-8")
    logged = holewise("log", "bracket", "--source", f"csv:{fed}", "--format", "delimited",
                      "--map", "load=load_pct,time=time_s", data=data)  # fmt: skip
    assert "Recording run 3 of bracket" in logged.out
    assert "Drill up to 500 holes" in logged.out


def test_production_needs_no_test(filled: Path) -> None:
    said = holewise("suggest", "bracket", "--production", data=filled)
    assert "to produce with now" in said.out
    assert "Drill up to" not in said.out
    refused = holewise("suggest", "bracket", "--production", "--use", data=filled)
    assert refused.status == 1
    assert "--production" in refused.err


def test_what_the_search_goes_by_is_set_and_shown(tmp_path: Path) -> None:
    data = tmp_path / "shop"
    with Workbench.open(data) as bench:
        bench.new_trial(replace(example_trial(), p_safe=0.9))
    said = holewise("trial", "set", "bracket", "--certainty", "99 %", "--longest-test", "120",
                    "--alone", data=data)  # fmt: skip
    assert said.status == 0, said.err
    assert "99 % certainty; at most 120 holes a test; like trials left out" in said.out
    assert "99 % certainty" in holewise("trial", "show", "bracket", data=data).out
    nothing = holewise("trial", "set", "bracket", data=data)
    assert nothing.status == 1
    assert "nothing to set" in nothing.err
    wrong = holewise("trial", "set", "bracket", "--certainty", "100 %", data=data)
    assert wrong.status == 1
    assert "0.5 up to but not 1" in wrong.err

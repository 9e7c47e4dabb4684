"""``holewise history``: a question in options, an answer in tables and sentences."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_shop import fill
from trials.workbench import Workbench


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop") / "data"
    with Workbench.open(folder) as bench:
        fill(bench._shop.store, 40, 400)
    return folder


def test_a_question_is_said_again_and_answered(shop: Path) -> None:
    said = holewise("history", "--group", "p", "--diameter", "8-9mm", "--depth", "1,5-5", data=shop)
    assert said.status == 0, said.err
    assert "ISO P (steel), diameter 8.000 mm to 9.000 mm, depth 1.5 to 5.0 × D" in said.out
    for title in ("Which drill did best", "How life scatters", "Cost per hole by quarter, CHF"):
        assert title in said.out


def test_inch_and_like_a_trial(shop: Path) -> None:
    said = holewise("--units", "inch", "history", "--like", "job 0000", data=shop)
    assert said.status == 0, said.err
    assert "0.1575 in to 0.2461 in" in said.out  # 5 mm less and more a quarter, by hand
    assert "mm" not in said.out
    said = holewise("--units", "inch", "history", "--group", "P", data=shop)
    assert "in/rev" in said.out
    assert "mm" not in said.out


def test_nothing_found_says_what_there_is(tmp_path: Path, shop: Path) -> None:
    said = holewise("history", "--material", "unobtainium", data=shop)
    assert said.status == 0
    assert "No run has ended yet" in said.out
    assert "grey cast iron" in said.out
    empty = holewise("history", data=tmp_path / "empty")
    assert "No run has ended yet for: every job." in empty.out


def test_invented_trials_are_asked_for_by_name(tmp_path: Path) -> None:
    with Workbench.open(tmp_path) as bench:
        bench.new_trial(example_trial("made up", invented=True))
        for holes in (100, 120, 140):
            run = bench.plan_run("made up", START)
            bench.end_run("made up", run.number, "worn", holes=holes)
    said = holewise("history", data=tmp_path)
    assert "--invented" in said.out
    said = holewise("history", "--invented", data=tmp_path)
    assert "Invented demonstration data" in said.out
    assert "plain is the only drill" in said.out


@pytest.mark.parametrize(
    ("option", "value", "told"),
    [("--group", "Q", "steel"), ("--diameter", "9-8mm", "lower one first"),
     ("--depth", "3", "with a dash"), ("--hardness", "a-b", "number")],
)  # fmt: skip
def test_what_cannot_be_asked_is_refused(shop: Path, option: str, value: str, told: str) -> None:
    said = holewise("history", option, value, data=shop)
    assert said.status == 1
    assert told in said.err

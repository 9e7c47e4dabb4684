"""The page of wear and life, with the real workbench."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from dashboard import ids, links, texts
from dashboard.pages import PAGES, wear_life, wear_run
from dashboard.show import Show
from tests.helpers.invented_drills import FAST, NAME, invented_drills, invented_shop, open_run
from tests.helpers.page_words import idents, words
from trials.errors import NotFoundError
from trials.model import WearLimits
from trials.workbench import Workbench

OPEN = 11


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workbench]:
    folder = invented_shop(tmp_path_factory.mktemp("page") / "shop")
    with Workbench.open(folder) as opened:
        assert open_run(opened, FAST) == OPEN
        yield opened


def test_a_run_shows_curve_readings_and_what_to_do(bench: Workbench) -> None:
    content, title = PAGES["wear"].layout(bench, Show(), NAME, 7)
    assert title.startswith(texts.WEAR_TITLE)
    assert ids.WEAR_CURVE in idents(content)
    said = words(content)
    for part in ("Run 7, carbide", "0.200 mm", "0.100 mm", "Worn at 0.3 mm", "Retire it.",
                 "margin is chipped", "90 % range"):  # fmt: skip
        assert part in said
    # Without a number it is the newest that was looked at.
    newest, _ = PAGES["wear"].layout(bench, Show(), NAME, None)
    assert "Run 11, carbide" in words(newest)
    assert texts.DRILL_ON_WORKING in words(newest)
    assert texts.DRILL_ON_WORKING not in said
    with pytest.raises(NotFoundError, match="run 99"):
        PAGES["wear"].layout(bench, Show(), NAME, 99)


def test_drilling_on_is_for_open_runs(bench: Workbench) -> None:
    assert wear_run.drill_on(bench, Show(), NAME, 7) is None
    content = wear_run.drill_on(bench, Show(), NAME, OPEN)
    said = words(content)
    assert said.count("→") == 3
    assert "Drill on." in said or "Stop now and project." in said
    comma = words(wear_run.drill_on(bench, Show(decimal=","), NAME, OPEN))
    assert "1.8" not in comma


def test_life_shows_edges_ends_equation_and_interval(bench: Workbench) -> None:
    content = wear_life.life(bench, Show(), NAME, 7)
    assert ids.LIFE_DISTRIBUTION in idents(content)
    said = words(content)
    for part in ("more than 1,500", "Half of the edges", "one in ten", "chipped 25 %", "worn 50 %",
                 "cannot tell the two models apart", "Holes against speed and feed",
                 "a planned change costs", "--risk"):  # fmt: skip
        assert part in said
    assert "not enough failures" in words(wear_life.life(bench, Show(), NAME, 10))


def test_inch_reaches_every_length(bench: Workbench) -> None:
    content, _ = PAGES["wear"].layout(bench, Show(system="inch"), NAME, 7)
    said = words([content, wear_life.life(bench, Show(system="inch"), NAME, 7)])
    assert "0.0118 in" in said  # the limit of 0.3 mm
    assert "295 ft/min" in said  # 90 m/min is 90/0.3048
    assert " mm" not in said


def test_limits_of_their_own_are_told_and_drawn_as_shares(tmp_path: Path) -> None:
    folder = invented_shop(tmp_path / "shop")
    with Workbench.open(folder) as bench:
        bench._shop.store.change_trial(
            NAME, lambda trial: replace(trial, wear_limits=WearLimits(vb_maximum_mm=0.6))
        )
        said = words(PAGES["wear"].layout(bench, Show(), NAME, 9)[0])
        assert "VB average 0.3 mm, VB maximum 0.6 mm" in said
        # Run 9 ended worn with 0.32 of 0.6 mm read: about 53 % of the limit.
        assert "53 %" in said
        data = bench.wear_curve(NAME, 9)
        assert data.shares
        assert data.readings[-1][1] == pytest.approx(0.32 * 0.3 / 0.6)
        assert data.taken[-1].wear_mm == 0.32


def test_a_trial_without_holes_says_what_to_do(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as empty:
        empty.new_trial(invented_drills())
        content, _ = PAGES["wear"].layout(empty, Show(), NAME, None)
        assert texts.WEAR_EMPTY in words(content)


def test_its_address_leads_back() -> None:
    assert links.read(links.wear("a b/c", 3)) == ("wear", "a b/c")
    assert links.run_of(links.wear("a b/c", 3)) == 3
    assert links.run_of(links.wear("a b/c")) is None

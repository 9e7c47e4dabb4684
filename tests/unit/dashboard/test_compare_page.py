"""The page of drills compared, with the real workbench: what it says, and when it says nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.pages import PAGES, one_drill
from dashboard.show import Show
from tests.helpers.invented_drills import NAME, invented_drills, invented_shop
from trials.workbench import Workbench


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workbench]:
    folder = invented_shop(tmp_path_factory.mktemp("page") / "shop")
    with Workbench.open(folder) as opened:
        yield opened


def parts_of(component: Any) -> Iterator[Any]:
    if isinstance(component, list | tuple):
        for part in component:
            yield from parts_of(part)
    elif component is not None:
        yield component
        if isinstance(component, Component):
            yield from parts_of(getattr(component, "children", None))


def words(component: Any) -> str:
    said = [part for part in parts_of(component) if isinstance(part, str)]
    return " ".join(" ".join(said).replace("\u00a0", " ").split())


def test_every_figure_has_a_sentence_and_a_table(bench: Workbench) -> None:
    content, title = PAGES["compare"].layout(bench, Show(), NAME)
    assert title.startswith(texts.COMPARE_TITLE)
    found = [getattr(part, "id", None) for part in parts_of(content)]
    for ident in (ids.COMPARISON, ids.RUN_SIZE, ids.COST_BREAKDOWN, ids.ONE_DRILL):
        assert ident in found
    said = words(content)
    for part in ("cheapest", "dearer", "not enough runs", "start with cobalt", "(this run)",
                 "over 99 %", "drill and regrinds", "Together"):  # fmt: skip
        assert part in said


def test_one_drill_shows_lives_wear_and_what_to_do(bench: Workbench) -> None:
    said = words(one_drill.layout(bench, Show(), NAME, "carbide"))
    for part in ("more than 1,500", "Half of the edges", "Wear of run 9", "Regrind it."):
        assert part in said
    unworn = words(one_drill.layout(bench, Show(), NAME, "unworn"))
    assert "not enough failures" in unworn.lower() or "Not enough failures" in unworn
    assert "Keep drilling" not in words(one_drill.layout(bench, Show(), NAME, "cobalt"))


def test_decimal_comma_and_inch_reach_the_sentences(bench: Workbench) -> None:
    content, _ = PAGES["compare"].layout(bench, Show(decimal=","), NAME)
    said = words(content)
    assert "0,0" in said or "0,1" in said
    assert "0.1" not in said
    inch = words(one_drill.layout(bench, Show(system="inch"), NAME, "carbide"))
    assert "0.0118 in" in inch  # the limit of 0.3 mm
    assert " mm" not in inch


def test_without_a_worn_edge_it_says_what_to_do(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as empty:
        empty.new_trial(invented_drills())
        content, _ = PAGES["compare"].layout(empty, Show(), NAME)
        assert texts.COMPARE_EMPTY in words(content)
        assert texts.LIFE_NONE.format(drill="cobalt") in words(
            one_drill.layout(empty, Show(), NAME, "cobalt")
        )

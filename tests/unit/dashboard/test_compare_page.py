"""The page of drills compared, with the real workbench: what it says, and when it says nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from dashboard import ids, texts
from dashboard.pages import PAGES, compare
from dashboard.show import Show
from tests.helpers.command_line import holewise
from tests.helpers.invented_drills import NAME, SLOW, invented_drills, invented_shop
from tests.helpers.page_words import idents, words
from trials.workbench import Workbench


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workbench]:
    folder = invented_shop(tmp_path_factory.mktemp("page") / "shop")
    with Workbench.open(folder) as opened:
        yield opened


def test_the_page_stands_before_anything_is_drawn(bench: Workbench) -> None:
    content, title = PAGES["compare"].layout(bench, Show(), NAME)
    assert title.startswith(texts.COMPARE_TITLE)
    assert texts.COMPARE_WORKING in words(content)
    assert ids.COMPARE_SHOWN in idents(content)


def test_every_figure_has_a_sentence_and_a_table(bench: Workbench) -> None:
    content = compare.compared(bench, Show(), NAME)
    found = idents(content)
    for ident in (ids.COMPARISON, ids.RUN_SIZE, ids.COST_BREAKDOWN):
        assert ident in found
    said = words(content)
    for part in ("cheapest", "dearer", "not enough runs", "start with cobalt", "(this run)",
                 "over 99 %", "drill and regrinds", "Together",
                 "Wear and life of carbide"):  # fmt: skip
        assert part in said


def test_a_table_and_a_breakdown_show_the_same_range(bench: Workbench) -> None:
    one = bench.cost_range(NAME, "carbide")
    other = next(d for d in bench.comparison(NAME).found.drills if d.drill == "carbide")
    assert (one.low, one.high) == (other.low, other.high)


def test_decimal_comma_reaches_the_sentences(bench: Workbench) -> None:
    said = words(compare.compared(bench, Show(decimal=","), NAME))
    assert "0,0" in said or "0,1" in said
    assert "0.1" not in said


def test_without_a_worn_edge_it_says_what_to_do(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as empty:
        empty.new_trial(invented_drills())
        assert texts.COMPARE_EMPTY in words(compare.compared(empty, Show(), NAME))


def test_one_drill_alone_is_not_called_cheapest(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as alone:
        alone.new_trial(invented_drills(drills=invented_drills().drills[:1]))
        for number, holes in enumerate((120, 140, 130), start=1):
            alone.plan_run(NAME, SLOW)
            alone.end_run(NAME, number, "worn", holes=holes)
        said = words(compare.compared(alone, Show(), NAME)).lower()
        assert "cheapest" not in said
        assert "no other to compare with" in said
        answer = holewise("compare", NAME, data=alone.folder)
    assert "cheapest" not in answer.out
    assert "no other drill has a cost yet" in answer.out

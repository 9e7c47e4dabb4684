"""The hand-over page: what is on the card, with and without prices, in both unit systems."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from dashboard.pages import PAGES, hand_over, hand_over_card
from dashboard.show import Show
from dashboard.texts import hand_over as texts
from tests.helpers.example_trial import START, example_trial
from tests.helpers.page_words import words
from trials.model import CAUTIONS
from trials.workbench import Workbench

NAME = "bracket"
INCH = Show(system="inch", decimal=",")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workbench]:
    with Workbench.open(tmp_path_factory.mktemp("hand") / "shop") as opened:
        opened.new_trial(example_trial(NAME))
        for number, end in enumerate(("worn", "stopped"), 1):
            opened.plan_run(NAME, START)
            opened.end_run(NAME, number, end, holes=150)  # type: ignore[arg-type]  # a loop
        yield opened


def card(bench: Workbench, show: Show, *, prices: bool = True, by: str = "") -> str:
    record = bench.hand_over_record(NAME, prices=prices, by=by)
    return words(hand_over_card.card(record, 2, show, hand_over._other(show)))


def test_the_card_says_what_production_needs(bench: Workbench) -> None:
    record = bench.hand_over_record(NAME)
    said = card(bench, Show(), by="anna")
    for part in (
        f"{record.change_interval_holes} holes", "80 %", "ft/min", "m/min", "CHF", "Made 20",
        "UTC by anna", "2 ended runs", texts.INVENTED, texts.UNKNOWN,
        "Only 1 edge of plain came to the end",
    ):  # fmt: skip
        assert part in said
    assert " ".join(CAUTIONS.split()) in said


def test_without_prices_no_money_is_on_it(bench: Workbench) -> None:
    for show in (Show(), INCH):
        said = card(bench, show, prices=False)
        assert "CHF" not in said
        assert texts.KNOWN_COST not in said


def test_inch_with_decimal_comma(bench: Workbench) -> None:
    said = card(bench, INCH)
    assert "⌀ 0,3346 in" in said
    assert "8.5" not in said


def test_the_load_to_look_at_is_never_above_the_limit(bench: Workbench) -> None:
    record = bench.hand_over_record(NAME)
    low = replace(record, trial=replace(record.trial, load_limit_pct=5.0))
    assert low.look_load_pct == 5.0
    assert record.look_load_pct <= record.trial.load_limit_pct


def test_the_page_offers_every_drill(bench: Workbench) -> None:
    content, title = PAGES["hand-over"].layout(bench, Show(), NAME)
    said = words(content)
    assert title.startswith(texts.NAV)
    for part in (texts.PRINT, texts.FILE, texts.BY):
        assert part in said
    assert "## What is not known" in bench.hand_over(NAME)

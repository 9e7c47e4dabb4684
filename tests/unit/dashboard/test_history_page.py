"""The page of questions over all trials: form, answers, empty states, prices."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import flask
import pytest

from dashboard import ids
from dashboard.access import Viewer, see_as
from dashboard.pages import PAGES, history, history_answers
from dashboard.seen import as_seen
from dashboard.show import Show
from dashboard.texts import history as texts
from tests.helpers.invented_shop import fill
from tests.helpers.page_words import idents, words
from trials.errors import InputError
from trials.model import LikeJobs
from trials.workbench import Workbench


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workbench]:
    with Workbench.open(tmp_path_factory.mktemp("shop")) as opened:
        fill(opened._shop.store, 60, 600)
        yield opened


def test_the_page_stands_before_anything_is_asked(bench: Workbench) -> None:
    content, title = PAGES["history"].layout(bench, Show(), "")
    assert title == texts.TITLE
    assert texts.WORKING in words(content)
    for ident in (ids.HISTORY_ASK, ids.HISTORY_SHOWN, ids.HISTORY_CURRENCY):
        assert ident in idents(content)


def test_every_answer_has_a_figure_a_sentence_and_a_table(bench: Workbench) -> None:
    shown = history_answers.answers(bench, Show(), LikeJobs(group="P"))
    for ident in (ids.HISTORY_DRILLS, ids.HISTORY_SCATTER, ids.HISTORY_TREND):
        assert ident in idents(shown)
    said = words(shown)
    for part in (texts.DRILLS, "did best", texts.SCATTER, "within a factor", texts.TREND, "CHF",
                 "m/min", "Q1"):  # fmt: skip
        assert part in said


def test_inch_and_decimal_comma(bench: Workbench) -> None:
    said = words(history_answers.answers(bench, Show("inch", ","), LikeJobs(group="P")))
    assert "ft/min" in said
    assert " mm" not in said


def test_without_prices_no_money_is_told_but_lives_are(bench: Workbench) -> None:
    with flask.Flask("test").test_request_context():
        see_as(Viewer("rep", "reader", sees_prices=False))
        shown = history_answers.answers(as_seen(bench), Show(), LikeJobs(group="P"))
        said = words(shown)
    assert "CHF" not in said
    assert texts.TREND not in said
    assert ids.HISTORY_TREND not in idents(shown)
    assert "Holes of the middle edge" in said
    assert ids.HISTORY_DRILLS in idents(shown)


def test_nothing_found_says_what_there_is(bench: Workbench, tmp_path: Path) -> None:
    said = words(history_answers.answers(bench, Show(), LikeJobs(material="unobtainium")))
    assert texts.EMPTY_TITLE in said
    assert "grey cast iron" in said
    with Workbench.open(tmp_path) as empty:
        content, _ = PAGES["history"].layout(empty, Show(), "")
        assert ids.HISTORY_ASK in idents(content)
        assert texts.EMPTY_TITLE in words(history_answers.answers(empty, Show(), LikeJobs()))


def test_what_is_typed_is_read_with_and_without_units() -> None:
    nothing = ("", "", "", "", "", "")
    assert history.asked(Show(), "", "", nothing, "real", "") == LikeJobs()
    typed = ("180", "", '1/4"', "8,5", "2", "4,5")
    found = history.asked(Show(), "P", " steel ", typed, "invented", "eur")
    assert (found.group, found.material, found.currency) == ("P", "steel", "EUR")
    assert found.invented
    assert found.hardness_hb == (180, 1e5)
    assert found.diameter_mm == pytest.approx((6.35, 8.5))
    assert found.depth_xd == (2, 4.5)
    inch = history.asked(Show("inch"), "", "", ("", "", "0.25", "0.5", "", ""), "real", None)
    assert inch.diameter_mm == pytest.approx((6.35, 12.7))
    with pytest.raises(InputError, match="Depth"):
        history.asked(Show(), "", "", ("", "", "", "", "deep", ""), "real", "")
    with pytest.raises(InputError, match="lower one first"):
        history.asked(Show(), "", "", ("", "", "9", "8", "", ""), "real", "")

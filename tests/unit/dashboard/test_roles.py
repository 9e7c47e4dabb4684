"""Readers change nothing, and who sees no prices is sent none: over every page and callback."""

from __future__ import annotations

import base64
import json
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from typing import Any

import flask
import numpy as np
import pytest

from dashboard import Rules, create_app, links, seen
from dashboard.access import Viewer, see_as
from dashboard.money import without_amounts
from dashboard.texts import access as texts
from tests.helpers.crawler import Crawler
from tests.helpers.whole_shop import ENDED, OPEN, PRICES, crawl, fill_shop
from trials.errors import AccessError
from trials.workbench import Workbench

WORDS = "five short words here"
READER = Viewer("rep", "reader", sees_prices=True)


class Spy:
    """A workbench that tells which of its methods were called."""

    def __init__(self, bench: Workbench) -> None:
        self._bench = bench
        self.called: list[str] = []

    def __getattr__(self, name: str) -> Any:
        found = getattr(self._bench, name)
        if callable(found):
            self.called.append(name)
        return found


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workbench]:
    folder = tmp_path_factory.mktemp("roles")
    with Workbench.open(folder / "shop") as opened:
        fill_shop(opened, folder)
        opened.add_person("editor", WORDS, "editor")
        opened.add_person("rep", WORDS, "reader", sees_prices=True)
        opened.add_person("cell", WORDS, "editor", sees_prices=False)
        yield opened


def signed_in(server: flask.Flask, name: str) -> Any:
    client = server.test_client()
    found = re.search(r'name="token" value="([^"]+)"', client.get("/sign-in").text)
    assert found
    form = {"name": name, "password": WORDS, "token": found[1]}
    assert client.post("/sign-in", data=form).status_code == 303
    return client


def content(bench: Workbench) -> list[str]:
    """All that the database holds."""
    with closing(sqlite3.connect(bench.folder / "holewise.db")) as database:
        return list(database.iterdump())


def test_every_method_of_the_workbench_is_looked_at_for_readers_and_prices() -> None:
    sets = (
        seen.LOOKS, seen.PRICED, seen.CHANGES, seen.FOR_EDITORS, frozenset(seen.WITHOUT_MONEY)
    )  # fmt: skip
    named = [name for one in sets for name in one]
    methods = {
        name
        for name in dir(Workbench)
        if not name.startswith("_") and callable(getattr(Workbench, name))
    }
    assert sorted(named) == sorted(methods)  # each in one of them, and nothing else


@pytest.mark.parametrize("name", sorted(seen.CHANGES | seen.FOR_EDITORS))
def test_a_reader_is_refused_before_the_workbench_is_asked(name: str) -> None:
    class Nothing:
        def __getattr__(self, asked: str) -> Any:
            return lambda *_: pytest.fail(f"{asked} was called")

    nothing: Any = Nothing()
    with flask.Flask("test").test_request_context("/"):
        see_as(READER)
        with pytest.raises(AccessError, match="nothing was changed"):
            getattr(seen.as_seen(nothing), name)()


def test_no_callback_lets_a_reader_change_anything(bench: Workbench) -> None:
    spy: Any = Spy(bench)
    server = create_app(spy, Rules(must_sign_in=True)).server
    reader = signed_in(server, "rep")
    before = content(bench)
    asked: list[str] = []

    def as_reader(body: dict[str, Any]) -> None:
        spy.called.clear()
        answer = reader.post("/_dash-update-component", json=body)
        asked.append(body["output"])
        assert answer.status_code in (200, 204), answer.text
        assert not seen.CHANGES.intersection(spy.called), body["output"]

    # What an editor's page would send is sent by a reader first, who has no such page.
    browser = Crawler(signed_in(server, "editor"))
    callbacks = {one["output"] for one in browser.callbacks()}
    changed: set[str] = set()
    for path in (*_pages_for_the_editor(browser, as_reader, spy, changed),):
        assert path
    for callback in browser.callbacks():  # and what no page here has the parts for
        if callback["output"] not in asked:
            as_reader(browser.body(callback, callback["inputs"][0], {}))
    assert set(asked) == callbacks
    # The walk can tell: for the editor the same requests do reach what changes things.
    assert {"use_suggestion", "back_up", "change_settings", "remove_wear"} <= changed
    assert content(bench) != before


def _pages_for_the_editor(
    browser: Crawler, as_reader: Any, spy: Any, changed: set[str]
) -> Iterator[str]:
    def both(body: dict[str, Any]) -> None:
        changed.update(seen.CHANGES.intersection(spy.called))
        as_reader(body)
        spy.called.clear()

    browser.before = both
    yield from crawl(browser)
    changed.update(seen.CHANGES.intersection(spy.called))


def amounts(bench: Workbench) -> list[float]:
    """Prices, rates, costs and what follows from them, of every trial."""
    found = list(PRICES)
    for name in (ENDED, OPEN):
        for mark in bench.convergence(name).runs:
            found += [value for value in (mark.cost, mark.low, mark.high) if value is not None]
        for drill in ("plain", "coated"):
            for one in (bench.suggest(name, drill), bench.recommend(name, drill)):
                cost = one.cost_per_hole
                found += [cost.low, cost.median, cost.high, one.value, one.test_cost]
    return [value for value in found if abs(value) > 1e-6]


def told(crawler: Crawler, wanted: list[float]) -> list[str]:
    """Amounts that stand in any answer: as a number, or in a text as pages write money."""
    numbers = np.concatenate([_numbers(answer) for answer in crawler.answers])
    texts_ = "\n".join(_texts(answer) for answer in crawler.answers)
    found = [f"number {one}" for one in wanted if np.any(np.isclose(numbers, one, rtol=1e-9))]
    for one in wanted:
        written = f"{one:,.3f}" if abs(one) < 1 else f"{one:,.2f}"
        found += [
            f"text {hit}" for hit in re.findall(rf"(?<![\d.]){re.escape(written)}.CHF", texts_)
        ]
    found += re.findall(r"\d[\s\u00a0\u202f]*CHF|CHF[\s\u00a0\u202f]*\d", texts_)
    return found


def _walk(value: Any) -> Iterator[Any]:
    yield value
    if isinstance(value, dict):
        for part in value.values():
            yield from _walk(part)
    elif isinstance(value, list):
        for part in value:
            yield from _walk(part)


def _numbers(answer: Any) -> Any:
    if answer.mimetype != "application/json":
        return np.empty(0)
    found: list[float] = []
    for one in _walk(answer.json):
        if isinstance(one, float | int) and not isinstance(one, bool):
            found.append(float(one))
        elif isinstance(one, dict) and "bdata" in one:
            found += np.frombuffer(base64.b64decode(one["bdata"]), one["dtype"]).tolist()
    return np.array(found)


def _texts(answer: Any) -> str:
    if answer.mimetype != "application/json":
        return str(answer.text)
    return json.dumps(answer.json, ensure_ascii=False)


def test_no_answer_holds_money_for_those_who_see_no_prices(bench: Workbench) -> None:
    # An editor without prices sees every page that a reader without prices sees, and more.
    server = create_app(bench, Rules(must_sign_in=True)).server
    wanted, seen_answers = amounts(bench), 0
    crawler = Crawler(signed_in(server, "cell"))
    for path in crawl(crawler):
        assert not told(crawler, wanted), path
        crawler.answers = crawler.answers[-1:]
        seen_answers += 1
    assert seen_answers > 10


def test_the_same_walk_finds_money_for_those_who_see_prices(bench: Workbench) -> None:
    server = create_app(bench, Rules(must_sign_in=True)).server
    crawler = Crawler(signed_in(server, "rep"))
    wanted = amounts(bench)
    for path in (links.compare(ENDED), links.progress(ENDED), links.trial(ENDED)):
        crawler.open(path)
        crawler.everything()
    found = told(crawler, wanted)
    assert sum(one.startswith("number") for one in found) >= 5
    assert sum(one.startswith("text") for one in found) >= 5


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("Cheaper by 12.50 CHF.", texts.HIDDEN),
        ("It costs CHF 3. Look at the drill.", "Look at the drill."),
        ("Saves 1,200\u00a0CHF a year; drill on.", "drill on."),
        ("Drill CHFX 7 is fine.", "Drill CHFX 7 is fine."),
        ("−3 CHF", texts.HIDDEN),
    ],
)
def test_sentences_that_name_an_amount_are_left_out(text: str, left: str) -> None:
    assert without_amounts({"a": [text, 7, None]}, ["CHF", "EUR"]) == {"a": [left, 7, None]}

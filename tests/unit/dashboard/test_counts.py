"""What a page costs, counted and not timed: questions to the store, points and bytes sent."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event
from sqlalchemy.engine import Engine

from dashboard import create_app, ids, links
from dashboard.shared_look import SharedLook
from tests.helpers.crawler import Crawler
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream, written
from trials.model import WearReading
from trials.workbench import Workbench

NAME = "bracket"


@contextmanager
def questions() -> Iterator[list[str]]:
    """Every statement that is sent to a database meanwhile."""
    asked: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_more: Any) -> None:
        asked.append(statement)

    event.listen(Engine, "before_cursor_execute", note)
    try:
        yield asked
    finally:
        event.remove(Engine, "before_cursor_execute", note)


def more_runs(bench: Workbench, trace: Path, count: int) -> None:
    for _ in range(count):
        run = bench.plan_run(NAME, START)
        bench.import_trace(NAME, run.number, trace)
        bench.add_wear(NAME, run.number, WearReading(3, vb_maximum_mm=0.05))
        bench.end_run(NAME, run.number, "stopped")


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[int, int]]:
    """For each page, the statements it takes with two runs, and with eight and more trials."""
    folder = tmp_path_factory.mktemp("counts")
    trace = written(folder, stream(6))
    with Workbench.open(folder / "shop") as bench:
        bench.new_trial(example_trial(NAME))
        app = create_app(bench)
        crawler = Crawler(app.server.test_client())
        pages = {
            "trials": links.HOME, "trial": links.trial(NAME), "holes": links.holes(NAME),
            "live": links.live(NAME), "look": links.look(NAME), "progress": links.progress(NAME),
        }  # fmt: skip

        def count() -> dict[str, int]:
            found = {}
            for name, path in pages.items():
                crawler.open(path)  # once before, as what is kept is not asked for again
                with questions() as said:
                    assert crawler.open(path).status_code == 200
                found[name] = len(said)
            return found

        more_runs(bench, trace, 2)
        few = count()
        more_runs(bench, trace, 6)
        for number in range(5):
            bench.new_trial(example_trial(f"other {number}"))
        many = count()
    return {name: (few[name], many[name]) for name in pages}


@pytest.mark.parametrize("page", ["trials", "trial", "holes", "live", "look", "progress"])
def test_a_larger_shop_does_not_make_a_page_ask_more_often(
    asked: dict[str, tuple[int, int]], page: str
) -> None:
    few, many = asked[page]
    assert many <= few, f"{few} statements with two runs, {many} with eight"


@pytest.fixture
def drilled(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial(NAME))
        bench.plan_run(NAME, START)
        bench.import_trace(NAME, 1, written(tmp_path, stream(60)))
        yield bench


def live_answers(bench: Workbench, number: int) -> list[Any]:
    crawler = Crawler(create_app(bench).server.test_client())
    crawler.open(links.live(NAME))
    (callback,) = (one for one in crawler.callbacks() if ids.LIVE_GAUGE in one["output"])
    answers = []
    for beat in range(1, number + 1):
        crawler.props[ids.LIVE_ASK] = {"data": beat}
        answers.append(crawler.call(callback, callback["inputs"][0]))
    return answers


def test_a_live_answer_carries_points_and_no_drawing_and_holes_only_once(
    drilled: Workbench,
) -> None:
    answers = [one.json["response"] for one in live_answers(drilled, 3)]
    for answer in answers:
        assert not any("figure" in changed for changed in answer.values())
        points = answer[ids.LIVE_TRACE_POINTS]["data"]
        assert 0 < len(points["x"]) == len(points["y"]) <= 900
        assert len(json.dumps(answer)) < 40_000
    # The page was drawn with these holes a moment ago: none of them travels again.
    assert not any(ids.LIVE_TREND_POINTS in answer or ids.LIVE_HOLES in answer
                   for answer in answers)  # fmt: skip


def test_however_many_watch_the_store_is_asked_once_a_moment(
    drilled: Workbench, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = SharedLook.__init__

    def patient(self: SharedLook, workbench: Workbench) -> None:
        plain(self, workbench, moment_s=60.0)

    monkeypatch.setattr(SharedLook, "__init__", patient)

    def statements(watch: Callable[[], object]) -> int:
        with questions() as said:
            watch()
        return len(said)

    one = statements(lambda: live_answers(drilled, 1))
    # Nineteen more look within the moment: not one more question.
    assert statements(lambda: live_answers(drilled, 20)) == one

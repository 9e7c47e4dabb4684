"""Many who watch the same trial are one look at the workbench."""

from __future__ import annotations

import threading
from typing import Any

import pytest

from dashboard.shared_look import SharedLook
from tests.helpers.fake_workbench import FakeWorkbench, invented_live, invented_runs, invented_trial
from trials.errors import NotFoundError

NAME = "Bracket holes"


class Counting(FakeWorkbench):
    """Counts how often it is asked, and for which run."""

    def __init__(self) -> None:
        super().__init__({NAME: (invented_trial(), invented_runs())})
        self.asked: list[int | None] = []

    def live(self, name: str, run: int | None = None) -> Any:
        self.asked.append(run)
        return super().live(name, run)


def shared(bench: Any, moment_s: float) -> SharedLook:
    return SharedLook(bench, moment_s)


def test_twenty_at_once_are_one_look() -> None:
    bench = Counting()
    bench.view = invented_live()
    looking = shared(bench, 1000.0)
    seen: list[Any] = []
    viewers = [
        threading.Thread(target=lambda: seen.append(looking.look(NAME))) for _ in range(20)
    ]  # fmt: skip
    for viewer in viewers:
        viewer.start()
    for viewer in viewers:
        viewer.join()
    assert seen == [bench.view] * 20
    assert bench.asked == [None]


def test_the_next_moment_is_a_new_look() -> None:
    bench = Counting()
    bench.view = invented_live()
    looking = shared(bench, 0.0)
    looking.look(NAME)
    looking.look(NAME)
    assert bench.asked == [None, None]


def test_with_no_run_open_the_newest_one_is_shown() -> None:
    bench = Counting()
    assert shared(bench, 0.0).look(NAME) is None  # this one has nothing recorded either
    assert bench.asked == [None, 5]


def test_a_planned_run_is_not_hidden_by_the_one_before() -> None:
    bench = Counting()
    bench.use_suggestion(NAME)
    assert shared(bench, 0.0).look(NAME) is None
    assert bench.asked == [None]


def test_a_trial_that_is_gone_is_said_each_time() -> None:
    looking = shared(Counting(), 1000.0)
    for _ in range(2):
        with pytest.raises(NotFoundError, match="gone"):
            looking.look("gone")

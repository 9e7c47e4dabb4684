"""Alarms in the logger's process, also while the store cannot be written."""

from __future__ import annotations

import threading
import time
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.helpers.example_trial import START, example_trial
from trials.errors import StoreError
from trials.logger import AlarmEvent, AlarmNews
from trials.store import Recording, Store, open_store, shop_folder
from trials.workbench._alarm_board import AlarmBoard

OVER = AlarmEvent("over_limit", True, 5.0, 81.0, "Load 81 %.")
STALE = AlarmEvent("stale", True, 6.0, None, "Silent.")


class Heard:
    """An outlet that keeps what it is told."""

    def __init__(self) -> None:
        self.news: list[AlarmNews] = []

    def send(self, news: AlarmNews) -> None:
        self.news.append(news)

    def close(self) -> list[str]:
        return []


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(shop_folder(tmp_path / "shop")) as store:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        store.start_recording("bracket", 1, Recording(uuid.uuid4(), "live", "tcp://mill:1"))
        yield store


@pytest.fixture
def heard() -> Heard:
    return Heard()


@pytest.fixture
def board(store: Store, heard: Heard) -> Iterator[AlarmBoard]:
    board = AlarmBoard(store, "bracket", 1, store.recordings("bracket", 1)[0], [heard])
    yield board
    board.close()


def wait_for(holds: object) -> None:
    until = time.monotonic() + 30.0
    while not holds():  # type: ignore[operator]  # a function without arguments
        assert time.monotonic() < until
        time.sleep(0.02)


def test_one_alarm_of_a_kind_stands_and_all_of_it_is_told(
    board: AlarmBoard, store: Store, heard: Heard
) -> None:
    for event in (OVER, OVER, STALE, AlarmEvent("over_limit", False, 6.0, 70.0, "Below.")):
        board.tell(event)
    board.tell(AlarmEvent("stale", False, 7.0, None, "Values again."))
    board.tell(OVER)
    assert [alarm.kind for alarm in board.standing] == ["over_limit"]
    assert board.acknowledge("terminal") == 1
    assert board.standing == ()
    board.tell(OVER)
    assert [(news.state, news.kind, len(news.standing)) for news in heard.news] == [
        ("raised", "over_limit", 1), ("raised", "stale", 2), ("over", "over_limit", 2),
        ("over", "stale", 1), ("acknowledged", "over_limit", 0), ("raised", "over_limit", 1),
    ]  # fmt: skip
    assert [note["state"] for note in board.notes()] == [news.state for news in heard.news]
    assert board.notes() == []
    wait_for(lambda: len(store.alarms("bracket", 1)) == 3)


def test_a_store_that_fails_holds_nothing_up_and_gets_it_later(
    board: AlarmBoard, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = threading.Event()
    broken.set()
    keep = Store.raise_alarm

    def sometimes(self: Store, *args: object) -> None:
        if broken.is_set():
            raise StoreError("the disk is full")
        keep(self, *args)  # type: ignore[arg-type]  # as they were given

    monkeypatch.setattr(Store, "raise_alarm", sometimes)
    board.tell(OVER)
    assert len(board.standing) == 1
    wait_for(lambda: board.trouble is not None)
    assert "the disk is full" in str(board.trouble)
    assert board.acknowledge("terminal") == 1, "also when the store cannot take it now"
    assert store.alarms("bracket", 1) == []
    broken.clear()
    wait_for(lambda: [a.acknowledged_by for a in store.alarms("bracket", 1)] == ["terminal"])
    wait_for(lambda: board.trouble is None)


def test_another_process_acknowledges_and_a_resumed_recording_knows_what_stood(
    board: AlarmBoard, store: Store
) -> None:
    board.tell(OVER)
    wait_for(lambda: len(store.alarms("bracket", 1)) == 1)
    again = AlarmBoard(store, "bracket", 1, store.recordings("bracket", 1)[0], [])
    try:
        assert [alarm.text for alarm in again.standing] == ["Load 81 %."]
        assert store.acknowledge_alarms("bracket", 1, "dashboard") == 1
        wait_for(lambda: board.standing == () and again.standing == ())
    finally:
        again.close()
    assert ("acknowledged", "dashboard") in [(n["state"], n["by"]) for n in board.notes()]


def test_what_was_seen_a_moment_before_the_end_no_longer_stands(
    store: Store, board: AlarmBoard
) -> None:
    board.tell(OVER)
    wait_for(lambda: store.alarms("bracket", 1))
    store.acknowledge_alarms("bracket", 1, "screen")
    assert board.standing_at_the_end() == ()

"""A link that is cut, hangs or comes late, a server that restarts, a sender that is killed.

Whatever happens in between, in the end the shop has what the station has, once.
"""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from sqlalchemy import delete

from tests.contract.store_contract import holes_frame
from tests.helpers.bad_network import BadNetwork
from tests.helpers.example_trial import START, example_trial
from tests.helpers.postgres import PostgresServer
from trials.errors import StoreError
from trials.model import WearReading
from trials.store import (
    Forwarder,
    ForwardRound,
    Recording,
    Store,
    forward_status,
    shop_folder,
    use_server,
)
from trials.store import _tables as tables
from trials.store._forward_here import Unit
from trials.workbench import Workbench
from trials.workbench._forward import forward


@dataclass
class Line:
    """A shop on a server, and a bad network before it."""

    network: BadNetwork
    direct: str
    folder: Path

    @property
    def to(self) -> str:
        name = self.direct.partition("?")[0].rpartition("/")[2]
        return f"postgresql://postgres@127.0.0.1:{self.network.port}/{name}?sslmode=disable"

    def sender(self, station: Path) -> Forwarder:
        """Sends past the bad network."""
        return Forwarder(shop_folder(station), self.direct, station="mill 2")


@pytest.fixture
def line(postgres: PostgresServer, tmp_path: Path) -> Iterator[Line]:
    direct = postgres.new_database()
    use_server(shop_folder(tmp_path / "shop"), direct)
    with BadNetwork(postgres.reach) as network:
        yield Line(network, direct, tmp_path / "shop")


@pytest.fixture
def station(tmp_path: Path) -> Path:
    with Workbench.open(tmp_path / "station") as bench:
        bench.new_trial(example_trial())
    return tmp_path / "station"


@contextmanager
def sending(station: Path, to: str, **options: object) -> Iterator[list[str]]:
    """The loop of sending in a thread, and what it says."""
    said: list[str] = []
    stop = threading.Event()
    thread = threading.Thread(
        target=forward, args=(station, to),
        kwargs={
            "files": None, "every_s": 0.05, "once": False, "station": "mill 2", "stop": stop,
            "on_event": lambda kind, _text: said.append(kind), "hurry_s": 3.0, **options,
        },
    )  # fmt: skip
    thread.start()
    try:
        yield said
    finally:
        stop.set()
        thread.join(30)
    assert not thread.is_alive()


def until(true: Callable[[], bool], within_s: float = 60.0) -> None:
    end = time.monotonic() + within_s
    while not true():
        assert time.monotonic() < end, "it never came true"
        time.sleep(0.05)


def one_more_run(station: Path, holes: int) -> None:
    """A run recorded hole by hole, with a wear reading."""
    with Workbench.open(station) as bench:
        store: Store = bench._shop.store
        number = store.add_run("bracket", START).run.number
        recording = Recording(uuid.uuid4(), "live", "tcp://mill:1")
        store.start_recording("bracket", number, recording)
        frame = holes_frame(holes)
        for upto in range(0, holes, 3):
            store.add_holes("bracket", number, recording.uuid, frame.iloc[upto : upto + 3], upto)
        store.finish_recording(
            "bracket", number, recording, frame, [(1.0, 2.0, "link")], lambda run: run
        )
        store.add_wear("bracket", number, WearReading(holes, 0.1))


def all_there(station: Path, shop: Path) -> bool:
    """Whether the shop has what the station has; every row once by its key."""
    status = forward_status(shop_folder(station))
    if status is None or status.waiting:
        return False
    with Workbench.open(station) as here, Workbench.open(shop) as there:
        ours, theirs = here._shop.store, there._shop.store
        try:
            if here.runs("bracket") != there.runs("bracket"):
                return False
        except LookupError:
            return False
        return all(
            ours.holes("bracket", run.number).equals(theirs.holes("bracket", run.number))
            and ours.gaps("bracket", run.number) == theirs.gaps("bracket", run.number)
            for run in here.runs("bracket")
        )


def test_a_network_that_is_cut_again_and_again(line: Line, station: Path) -> None:
    dice = random.Random(4)
    with sending(station, line.to) as said:
        for _ in range(6):
            one_more_run(station, 9)
            line.network.mend()
            line.network.delay_s = dice.choice([0.0, 0.005])
            line.network.break_after = dice.choice([None, 400, 3000, 9000])
            time.sleep(dice.random() * 0.3)
            line.network.cut()
        line.network.mend()
        until(lambda: all_there(station, line.folder))
    assert "reached" in said
    assert "lost" in said
    status = forward_status(shop_folder(station))
    assert status is not None
    assert status.conflicts == ()


def test_a_link_that_hangs_is_given_up_and_tried_again(line: Line, station: Path) -> None:
    with sending(station, line.to) as said:
        until(lambda: "sent" in said)
        line.network.hangs = True  # nothing is refused, nothing answers
        one_more_run(station, 6)
        until(lambda: "lost" in said)
        status = forward_status(shop_folder(station))
        assert status is not None
        assert status.linked is False
        assert status.by is not None
        until(lambda: bool(forward_status(shop_folder(station)).waiting))  # type: ignore[union-attr]  # it was sent from
        line.network.cut()
        line.network.mend()
        until(lambda: all_there(station, line.folder))


def test_a_trial_that_the_link_broke_under_goes_again_at_once(
    line: Line, station: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one_more_run(station, 3)
    with closing(line.sender(station)) as sender:
        fail(sender, monkeypatch, "trial", times=1)
        assert sender.round() == ForwardRound(2, 0, 0)
    assert all_there(station, line.folder)


def test_runs_wait_for_a_trial_that_is_refused_and_nobody_is_told_it_was_taken_out(
    line: Line, station: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one_more_run(station, 3)
    with closing(line.sender(station)) as sender:
        fail(sender, monkeypatch, "trial", times=2)
        assert sender.round() == ForwardRound(0, 2, 0)
        assert trouble_of(station) == {
            "trial bracket": "the link broke.",
            "run 1 of bracket": "its trial waits, and goes first",
        }
        sender.round()  # too early for another try: the words stay
        assert trouble_of(station)["trial bracket"] == "the link broke."
        sender._refused.clear()
        assert sender.round() == ForwardRound(2, 0, 0)
    assert all_there(station, line.folder)


def test_a_unit_that_went_with_another_one_waits_no_longer(
    line: Line, station: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A trial taken out at the shop comes again with its run, though its own turn is later."""
    with closing(line.sender(station)) as sender:
        sender.round()
        with Workbench.open(station) as here, Workbench.open(line.folder) as there:
            with there._shop.store._database.writing() as connection:
                connection.execute(delete(tables.trial))
            here._shop.store.change_trial("bracket", lambda one: replace(one, note="again"))
        one_more_run(station, 3)
        fail(sender, monkeypatch, "trial", times=2)
        sender.round()
        sender.round()
        sender.round()
    status = forward_status(shop_folder(station))
    assert status is not None
    assert status.waiting == ()
    assert all_there(station, line.folder)


def fail(sender: Forwarder, monkeypatch: pytest.MonkeyPatch, kind: str, times: int) -> None:
    """The next tries of a kind of unit end with a broken link."""
    send, left = sender._send_once, iter(range(times))

    def broken(unit: Unit, *, ours_first: bool) -> None:
        if unit.kind == kind and next(left, None) is not None:
            raise StoreError("the link broke")
        send(unit, ours_first=ours_first)

    monkeypatch.setattr(sender, "_send_once", broken)


def trouble_of(station: Path) -> dict[str, str | None]:
    status = forward_status(shop_folder(station))
    assert status is not None
    return {one.what: one.trouble for one in status.waiting}


def test_told_to_stop_it_ends_although_the_link_hangs(line: Line, station: Path) -> None:
    with sending(station, line.to, hurry_s=60.0) as said:
        until(lambda: "sent" in said)
        line.network.hangs = True
        one_more_run(station, 3)
        time.sleep(0.5)
    # Leaving the block has joined it.
    line.network.mend()
    with closing(Forwarder(shop_folder(station), line.to, station="mill 2")) as sender:
        sender.round()
    assert all_there(station, line.folder)


def test_an_answer_to_a_commit_that_never_came(
    line: Line, station: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shop has it and the station does not know: it asks, and takes the shop's word."""
    with closing(line.sender(station)) as sender:
        sender.round()
        with Workbench.open(station) as here, Workbench.open(line.folder) as there:
            here.plan_run("bracket", START, note="first")
            settle = sender.memory.settle

            def break_off(_number: int | None, _portion: object) -> None:
                raise StoreError("the link broke after the commit")

            monkeypatch.setattr(sender.memory, "settle", break_off)
            sender.round()
            monkeypatch.setattr(sender.memory, "settle", settle)
            # The shop changes it back to what the station does not know that it was.
            there._shop.store.change_run("bracket", 1, lambda run: run)
            status = forward_status(shop_folder(station))
            assert status is not None
            sender._refused.clear()
            sender.round()
            assert [run.note for run in there.runs("bracket")] == ["first"]
    status = forward_status(shop_folder(station))
    assert status is not None
    assert (status.waiting, status.conflicts) == ((), ())


def test_the_server_restarts_in_the_middle(line: Line, station: Path, postgres: PostgresServer
                                           ) -> None:  # fmt: skip
    with sending(station, line.direct) as said:
        until(lambda: "sent" in said)
        one_more_run(station, 6)
        postgres.restart(lambda: one_more_run(station, 6))
        until(lambda: all_there(station, line.folder))


def test_killed_at_any_instant(line: Line, station: Path) -> None:
    """A process of its own, killed -9 a few times while there is always something to send."""
    command = [
        sys.executable, "-m", "trials.cli.app", "--data", str(station), "forward", "--to",
        line.direct, "--every", "0.1",
    ]  # fmt: skip
    dice = random.Random(9)
    for _ in range(4):
        one_more_run(station, 30)
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        process.stdout.readline()  # the shop is reached: it is at work now
        one_more_run(station, 12)
        time.sleep(dice.random() * 0.1)
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        process.stdout.readline()  # before this it may not be listening to signals yet
        until(lambda: all_there(station, line.folder))
        process.send_signal(signal.SIGTERM)
        assert process.wait(30) == 0, "told to end, it ends in good order"
    status = forward_status(shop_folder(station))
    assert status is not None
    assert status.by is None
    assert status.conflicts == ()

"""The recording loop: links that break, resumed recordings, ports that are busy, alarms."""

from __future__ import annotations

import os
import pty
import threading
import time
import tty
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from tests.helpers.replay_server import ReplayServer
from trials.errors import InputError, SourceError
from trials.logger import (
    Alarm,
    AlarmEvent,
    Batch,
    Decoder,
    Journal,
    JournalReader,
    LineFormat,
    Mapping,
    Recorder,
    decoder_from,
    open_source,
    rebuild,
    recording_settings,
    replay,
)

PAIRS = LineFormat("key=value")
MAP = Mapping.parse("load=load,time=t")


def lines(first: int, last: int) -> bytes:
    return b"".join(b"t=%.2f;load=%d\n" % (n / 100, n % 90) for n in range(first, last))


def loads(first: int, last: int) -> list[float]:
    return [float(n % 90) for n in range(first, last)]


class Recording:
    """A recorder in a thread, with what it said."""

    def __init__(
        self,
        url: str,
        folder: Path,
        line_format: LineFormat = PAIRS,
        mapping: Mapping = MAP,
        **options: object,
    ) -> None:
        self.source = open_source(url, line_format=line_format, mapping=mapping)
        self.batches: list[Batch] = []
        self.stop = threading.Event()
        self.error: Exception | None = None
        settings = recording_settings(self.source, line_format, mapping)
        self.journal = Journal.create(folder, settings)
        self.decoder = decoder_from(settings)
        self.recorder = Recorder(
            self.source, self.journal, self.decoder, [self.batches.append], **options  # type: ignore[arg-type]
        )  # fmt: skip
        self.thread = threading.Thread(target=self._run, name="recorder-under-test")
        self.thread.start()

    def _run(self) -> None:
        try:
            self.result = self.recorder.run(self.stop)
        except Exception as error:  # noqa: BLE001 - handed to the test
            self.error = error

    @property
    def batch(self) -> Batch:
        return Batch.join(tuple(self.batches))

    def until(self, holds: Callable[[], bool]) -> None:
        give_up = time.monotonic() + 10
        while not holds() and time.monotonic() < give_up and self.error is None:
            time.sleep(0.005)
        assert self.error is None, self.error
        assert holds(), self.batch

    def end(self) -> Batch:
        self.stop.set()
        self.thread.join()
        self.journal.close()
        return self.batch


@pytest.fixture
def terminal() -> Iterator[tuple[int, str]]:
    """A real pseudo-terminal: our end of it, and the name of the other."""
    master, slave = pty.openpty()
    tty.setraw(slave)
    yield master, os.ttyname(slave)
    os.close(master)
    os.close(slave)


def test_a_pseudo_terminal_is_recorded(terminal: tuple[int, str], tmp_path: Path) -> None:
    master, name = terminal
    recording = Recording(f"serial:{name}?baud=115200", tmp_path / "j")
    for first in range(0, 500, 7):
        os.write(master, lines(first, min(first + 7, 500)))
        time.sleep(0.0005)
    recording.until(lambda: len(recording.batch) == 500)
    batch = recording.end()
    assert batch.load_pct.tolist() == loads(0, 500)
    assert recording.result.ended == "stopped"
    again = rebuild(tmp_path / "j")
    np.testing.assert_array_equal(again.batch.time_s, batch.time_s)
    np.testing.assert_array_equal(again.batch.load_pct, batch.load_pct)
    assert list(again.samples.columns) == ["time_s", "load_pct"]


def test_a_port_in_use_is_refused(terminal: tuple[int, str]) -> None:
    _, name = terminal
    first, second = open_source(f"serial:{name}"), open_source(name)
    first.open()
    try:
        with pytest.raises(SourceError, match=r"another program is using it.*one program"):
            second.open()
    finally:
        first.close()
    second.open()
    second.close()


def test_a_port_without_permission_says_who_may(
    terminal: tuple[int, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rights mean nothing to a superuser who runs the tests, so the system's answer is played."""
    import serial

    def refuse(*_: object, **__: object) -> None:
        raise serial.SerialException(13, "could not open port: Permission denied")

    monkeypatch.setattr(serial.Serial, "open", refuse)
    with pytest.raises(SourceError, match=r"no permission.*owner .* group .*dialout") as caught:
        open_source(f"serial:{terminal[1]}").open()
    assert "\n" not in str(caught.value)


def test_a_socket_url_is_a_tcp_link(tmp_path: Path) -> None:
    with ReplayServer(lines(0, 300), hold_open=True) as server:
        recording = Recording(f"socket://127.0.0.1:{server.port}", tmp_path / "j")
        recording.until(lambda: len(recording.batch) == 300)
        assert recording.end().load_pct.tolist() == loads(0, 300)


def test_pyserial_urls_without_a_descriptor_are_read_in_pieces() -> None:
    source = open_source("loop://")
    source.open()
    try:
        assert source.read(0.01) == b""
        source._serial.write(lines(0, 100))  # type: ignore[attr-defined] # the loop's other end
        found = b""
        while len(found) < len(lines(0, 100)):
            found += source.read(0.05) or b""
        assert found == lines(0, 100)
        assert not source.first_line_whole
    finally:
        source.close()


def test_a_link_that_breaks_comes_back_as_one_gap(tmp_path: Path) -> None:
    parts = [lines(0, 200) + b"t=2.00;loa", lines(500, 600)]
    with ReplayServer(parts, hold_open=False) as server:
        recording = Recording(server.url, tmp_path / "j", reconnect=True)
        recording.until(lambda: server.connections >= 2 and len(recording.batch) >= 300)
        batch = recording.end()
    assert batch.load_pct[:300].tolist() == [*loads(0, 200), *loads(500, 600)]
    gap = batch.gaps[0]
    assert gap.reason == "the other side closed the link"
    assert (gap.start_s, gap.end_s) == (1.99, 5.0)
    assert batch.rejects[0].kind == "line cut by a break in the link"
    again = rebuild(tmp_path / "j").batch
    np.testing.assert_array_equal(again.time_s, batch.time_s)
    assert again.gaps == batch.gaps


def test_an_absent_source_is_an_error_at_once(tmp_path: Path) -> None:
    recording = Recording("serial:/dev/ttyNOT_THERE", tmp_path / "j", reconnect=True)
    recording.thread.join()
    recording.end()
    assert isinstance(recording.error, SourceError)


def test_a_resumed_recording_goes_on_where_it_stopped(
    terminal: tuple[int, str], tmp_path: Path
) -> None:
    master, name = terminal
    first = Recording(f"serial:{name}", tmp_path / "j")
    os.write(master, lines(0, 100) + b"t=1.00;load=4")
    first.until(lambda: len(first.batch) == 100)
    first.end()

    with Journal.reopen(tmp_path / "j") as journal:
        decoder = decoder_from(journal.settings)
        batches = list(replay(JournalReader(tmp_path / "j"), decoder))
        assert len(Batch.join(batches)) == 100
        stop = threading.Event()
        os.write(master, lines(300, 400))

        def enough(_: Batch) -> None:
            if decoder.counters.samples >= 200:
                stop.set()

        source = open_source(f"serial:{name}")
        listeners = [batches.append, enough]
        result = Recorder(source, journal, decoder, listeners, resumed=True).run(stop)
    assert result.breaks == ["logger stopped"]
    batch = Batch.join(batches)
    assert batch.load_pct.tolist() == [*loads(0, 100), *loads(300, 400)]
    assert [gap.reason for gap in batch.gaps] == ["logger stopped"]
    again = rebuild(tmp_path / "j").batch
    np.testing.assert_array_equal(again.time_s, batch.time_s)
    assert again.gaps == batch.gaps
    assert again.rejects == batch.rejects


def test_a_stopped_import_goes_on_at_the_byte_where_it_stopped(tmp_path: Path) -> None:
    path = tmp_path / "trace.txt"
    path.write_bytes(lines(0, 100) + b"t=1.00;lo")
    whole = lines(0, 200)
    recording = Recording(f"csv:{path}?follow=1", tmp_path / "j")
    recording.until(lambda: len(recording.batch) == 100)
    recording.end()
    path.write_bytes(whole)
    with Journal.reopen(tmp_path / "j") as journal:
        decoder = decoder_from(journal.settings)
        batches = list(replay(JournalReader(tmp_path / "j"), decoder))
        source = open_source(f"csv:{path}")
        Recorder(source, journal, decoder, [batches.append], resumed=True).run()
    batch = Batch.join(batches)
    assert batch.load_pct.tolist() == loads(0, 200)
    assert not batch.gaps
    assert not batch.rejects


def test_a_growing_file_is_followed(tmp_path: Path) -> None:
    path = tmp_path / "growing.csv"
    path.write_bytes(b"t,load\n0.0,1\n0.1,")
    mapping, form = Mapping.parse("load=load,time=t"), LineFormat()
    recording = Recording(f"csv:{path}?follow=1", tmp_path / "j", form, mapping)
    recording.until(lambda: len(recording.batch) == 1)
    with path.open("ab") as file:
        file.write(b"2\n0.2,3")
    recording.until(lambda: len(recording.batch) == 2)
    with path.open("ab") as file:
        file.write(b"1\n")
    recording.until(lambda: len(recording.batch) == 3)
    assert recording.end().load_pct.tolist() == [1.0, 2.0, 31.0]


@pytest.mark.parametrize("how", ["cut short", "another file"])
def test_a_followed_file_that_is_begun_anew_is_a_gap(tmp_path: Path, how: str) -> None:
    path = tmp_path / "growing.csv"
    path.write_bytes(b"t,load\n0.0,1\n0.1,2\n")
    form = LineFormat()
    recording = Recording(f"csv:{path}?follow=1", tmp_path / "j", form, MAP)
    recording.until(lambda: len(recording.batch) == 2)
    if how == "another file":
        path.rename(tmp_path / "growing.old")
    path.write_bytes(b"load,t\n3,0.2\n")
    recording.until(lambda: len(recording.batch) == 3)
    batch = recording.end()
    assert batch.load_pct.tolist() == [1.0, 2.0, 3.0]
    assert not batch.rejects
    assert [gap.reason.split(" growing")[0] for gap in batch.gaps] == [
        "the file" if how == "cut short" else "another file took the place of"
    ]
    again = rebuild(tmp_path / "j").batch
    np.testing.assert_array_equal(again.time_s, batch.time_s)
    assert again.gaps == batch.gaps
    with path.open("ab") as file:
        file.write(b"4,0.3\n")
    with Journal.reopen(tmp_path / "j") as journal:
        decoder = decoder_from(journal.settings)
        batches = list(replay(JournalReader(tmp_path / "j"), decoder))
        source = open_source(f"csv:{path}")
        Recorder(source, journal, decoder, [batches.append], resumed=True).run()
    assert Batch.join(batches).load_pct.tolist() == [1.0, 2.0, 3.0, 4.0]


def test_a_replay_keeps_the_recorded_pace(tmp_path: Path) -> None:
    path = tmp_path / "trace.txt"
    path.write_bytes(lines(0, 40))  # 0.39 s by its own clock
    begin = time.monotonic()
    recording = Recording(f"replay:{path}?speed=2", tmp_path / "j")
    recording.thread.join()
    assert time.monotonic() - begin >= 0.39 / 2
    assert recording.end().load_pct.tolist() == loads(0, 40)
    with pytest.raises(InputError, match="which field is the time"):
        open_source(f"replay:{path}?speed=1")


def test_lines_without_a_time_get_that_of_their_arrival(
    terminal: tuple[int, str], tmp_path: Path
) -> None:
    master, name = terminal
    recording = Recording(f"serial:{name}", tmp_path / "j", mapping=Mapping.parse("load=load"))
    for number in range(5):
        os.write(master, b"load=%d\n" % number)
        recording.until(lambda number=number: len(recording.batch) == number + 1)
    batch = recording.end()
    assert batch.load_pct.tolist() == [0, 1, 2, 3, 4]
    assert (np.diff(batch.time_s) > 0).all()
    again = rebuild(tmp_path / "j").batch
    np.testing.assert_array_equal(again.time_s, batch.time_s)


def test_a_listener_that_fails_does_not_end_the_recording(tmp_path: Path) -> None:
    with ReplayServer(lines(0, 300), longest=50) as server:
        source = open_source(server.url)
        heard: list[Batch] = []

        def bad(_: Batch) -> None:
            raise RuntimeError("the screen is gone")

        settings = recording_settings(source, PAIRS, MAP)
        with Journal.create(tmp_path / "j", settings) as journal:
            result = Recorder(source, journal, Decoder(PAIRS, MAP), [bad, heard.append]).run()
    assert len(Batch.join(heard)) == 300
    assert len(result.problems) == 1
    assert "the screen is gone" in result.problems[0]


def test_a_header_that_does_not_fit_keeps_the_bytes(tmp_path: Path) -> None:
    with ReplayServer(b"t,torque\n0,1\n", hold_open=True) as server:
        recording = Recording(
            server.url, tmp_path / "j", LineFormat(), Mapping.parse("load=load,time=t")
        )
        recording.thread.join()
        recording.end()
    assert isinstance(recording.error, InputError)
    again = rebuild(tmp_path / "j", mapping=Mapping.parse("load=torque,time=t"))
    assert again.batch.load_pct.tolist() == [1.0]


def test_alarms_reach_their_listeners(tmp_path: Path) -> None:
    events: list[AlarmEvent] = []
    alarm = Alarm(80, stale_after_s=0.2)
    data = b"t=1;load=50\nt=2;load=81\nt=3;load=79\nt=4;load=90\nt=5;load=60\n"
    with ReplayServer(data, hold_open=True) as server:
        recording = Recording(
            server.url, tmp_path / "j", alarm=alarm, alarm_listeners=[events.append]
        )
        recording.until(lambda: len(events) == 3)
        recording.end()
    assert [(e.kind, e.active, e.load_pct) for e in events] == [
        ("over_limit", True, 81.0),
        ("over_limit", False, 60.0),  # 79 % is within the release: one alarm, no trembling
        ("stale", True, None),
    ]
    assert "for the person at the machine to decide" in events[0].text


def test_a_stale_link_is_heard_again() -> None:
    alarm = Alarm(80, stale_after_s=1)
    one = Batch(np.array([0.0]), np.array([5.0]), np.array([np.nan]), np.array([np.nan]))
    assert alarm.feed(one, 10.0) == []
    assert alarm.check(10.9) == []
    assert [event.active for event in alarm.check(11.1)] == [True]
    assert alarm.check(12.0) == []
    assert [event.active for event in alarm.feed(one, 13.0)] == [False]

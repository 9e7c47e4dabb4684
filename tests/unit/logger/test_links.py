"""Links: heartbeat of an SHDR adapter, silence, stale links, what a killed logger leaves behind."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from trials.errors import InputError, SourceError
from trials.logger import (
    AlarmEvent,
    Arrival,
    Decoder,
    Journal,
    JournalReader,
    Kind,
    LineFormat,
    LinkWatch,
    Mapping,
    Recorder,
    Trouble,
    open_source,
)
from trials.logger.handover import Handover, Happening
from trials.logger.journal.system import take_lock
from trials.logger.keeper import Landing, save
from trials.logger.sources import ShdrSource, TcpSource


@pytest.fixture
def listener() -> Iterator[socket.socket]:
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server


def address(listener: socket.socket, kind: str, options: str = "") -> str:
    return f"{kind}://127.0.0.1:{listener.getsockname()[1]}{options}"


def until_read(source: TcpSource, wanted: bytes) -> bytes:
    found, give_up = b"", time.monotonic() + 5
    while wanted not in found and time.monotonic() < give_up:
        found += source.read(0.05) or b""
    assert wanted in found
    return found


def test_the_heartbeat_is_sent_and_its_absence_is_a_dead_link(listener: socket.socket) -> None:
    source = open_source(address(listener, "shdr"))
    assert isinstance(source, ShdrSource)
    source.open()
    adapter, _ = listener.accept()
    with adapter:
        adapter.settimeout(5)
        assert adapter.recv(100) == b"* PING\n", "the client begins"
        adapter.sendall(b"2026-01-31T08:00:00Z|load|4\n* PO")
        until_read(source, b"* PO")
        adapter.sendall(b"NG 600\r\n")
        until_read(source, b"600\r\n")
        assert source.heartbeat_s == 0.6
        give_up = time.monotonic() + 20
        while time.monotonic() < give_up:
            try:
                source.read(0.02)
            except SourceError as error:
                assert "heart stopped" in str(error)  # noqa: PT017 - reading goes on until then
                break
        else:
            pytest.fail("a dead adapter was not noticed")
        assert adapter.recv(1000).startswith(b"* PING\n"), "it was asked again before"
    source.close()


def test_an_adapter_without_a_heartbeat_may_be_silent(listener: socket.socket) -> None:
    source = open_source(address(listener, "shdr"))
    source.open()
    adapter, _ = listener.accept()
    with adapter:
        adapter.sendall(b"2026-01-31T08:00:00Z|load|* PONG 100\n")
        until_read(source, b"100\n")  # type: ignore[arg-type] # a TCP source
        assert source.heartbeat_s is None  # type: ignore[attr-defined] # an SHDR source
        assert source.read(0.3) == b""
    source.close()


def test_a_silent_link_is_given_up_when_asked_for(listener: socket.socket) -> None:
    source = open_source(address(listener, "tcp", "?silence=0.1"))
    source.open()
    adapter, _ = listener.accept()
    with adapter:
        assert source.read(0.02) == b""
        time.sleep(0.1)
        with pytest.raises(SourceError, match=r"is silent: got 'nothing for 0\.\d s'.*0.1 s"):
            source.read(0.02)
    source.close()


def test_a_lost_peer_is_asked_for_by_the_system(listener: socket.socket) -> None:
    """Keepalive is on: Linux's tcp(7)."""
    source = open_source(address(listener, "tcp"))
    source.open()
    link = socket.socket(fileno=os.dup(source.fileno() or -1))
    with link:
        assert link.getsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE)
        if hasattr(socket, "TCP_KEEPIDLE"):
            assert link.getsockopt(socket.IPPROTO_TCP, socket.TCP_KEEPIDLE) == 1
    source.close()


@pytest.mark.parametrize(
    "url", ["tcp://host", "shdr://:7878", "tcp://h:1?what=1", "tcp://h:1?silence=-1",
            "mtconnect://", "mtconnect://h:1/a/b", "mtconnect://h?every=0"],
)  # fmt: skip
def test_addresses_that_cannot_be(url: str) -> None:
    with pytest.raises(InputError):
        open_source(url)


def test_a_watch_learns_the_interval_and_tells_silence_once() -> None:
    watch = LinkWatch(0.5)
    watch.begin(0.0)
    for number in range(20):
        assert not watch.heard(float(number))
    assert watch.nominal_interval_s == 1.0
    assert not watch.check(21.9)
    assert watch.check(22.1), "three intervals of 1 s after 19 s"
    assert not watch.check(23.0), "told once"
    assert watch.heard(30.0)
    assert watch.nominal_interval_s == 1.0, "the silence is no interval"


def test_bursts_do_not_shorten_the_interval() -> None:
    watch = LinkWatch(0.5)
    for burst in range(20):
        for piece in range(3):
            watch.heard(burst * 2.0 + piece * 0.01)
    assert watch.nominal_interval_s == pytest.approx(1.98)


def test_a_quick_stream_is_not_stale_after_three_milliseconds() -> None:
    watch = LinkWatch(0.5)
    for number in range(100):
        watch.heard(number / 1000)
    assert not watch.check(0.4)
    assert watch.check(0.7)


def test_a_stale_link_is_an_alarm_and_trouble(listener: socket.socket, tmp_path: Path) -> None:
    source = open_source(address(listener, "tcp"))
    alarms: list[AlarmEvent] = []
    troubles: list[Trouble] = []
    stop = threading.Event()
    decoder = Decoder(LineFormat("key=value"), Mapping.parse("load=load,time=t"))
    with Journal.create(tmp_path / "j", {}) as journal:
        recorder = Recorder(
            source, journal, decoder, alarm_listeners=[alarms.append],
            trouble_listeners=[troubles.append],
        )  # fmt: skip
        thread = threading.Thread(target=recorder.run, args=(stop,))
        thread.start()
        adapter, _ = listener.accept()
        with adapter:
            for number in range(12):
                adapter.sendall(b"t=%d;load=5\n" % number)
                time.sleep(0.05)
            wait_for(lambda: len(alarms) == 1)
            adapter.sendall(b"t=99;load=5\n")
            wait_for(lambda: len(alarms) == 2)
            stop.set()
            thread.join()
    assert [(one.kind, one.active) for one in alarms] == [("stale", True), ("stale", False)]
    assert "usually they come every" in alarms[0].text
    assert [(one.kind, one.active) for one in troubles] == [("link", True), ("link", False)]


def wait_for(holds: object) -> None:
    give_up = time.monotonic() + 10
    while not holds():  # type: ignore[operator] # a plain question
        assert time.monotonic() < give_up
        time.sleep(0.01)


def test_a_stalled_listener_stops_nothing() -> None:
    handover = Handover(patient=False, most_bytes=10)
    handover.put(b"0123456789", Arrival(1, 1))
    handover._taken_at -= 10  # long ago
    handover.put(b"more", Arrival(2, 2))
    handover.tell(Happening("end", "stopped"))
    assert handover.passed_by_bytes == 4
    assert handover.take(0) == [(b"0123456789", Arrival(1, 1)), Happening("end", "stopped")]


def test_landed_bytes_that_the_journal_lacks() -> None:
    landing = Landing()
    landing.expect(7)
    landing.view[:5] = b"t=1;\n"
    landing.landed(5)
    other = Landing(os.dup(landing.descriptor))
    assert other.saved_from(7) == b"t=1;\n"
    assert other.saved_from(8) == b"", "record 7 is in the journal"
    landing.expect(8)
    assert other.saved_from(8) == b""
    other.close()
    landing.close()


def test_landed_bytes_are_saved_also_when_a_note_came_in_between(tmp_path: Path) -> None:
    """An alarm is noted by another thread than the one that reads."""
    landing = Landing()
    journal = Journal.create(tmp_path / "j", {})
    journal.append(b"t=0;\n")
    landing.expect(journal.data_records)
    landing.view[:5] = b"t=1;\n"
    landing.landed(5)
    journal.note({"event": "alarm"})
    journal.release()  # as at a kill
    link, other_end = socket.socketpair()
    with other_end:
        save(tmp_path / "j", take_lock(tmp_path / "j"), link.detach(), os.dup(landing.descriptor))
    landing.close()
    data = [one.payload for one in JournalReader(tmp_path / "j") if one.kind is Kind.DATA]
    assert data == [b"t=0;\n", b"t=1;\n"]


PROGRAM = """
import os, signal, sys, time
from trials.logger import *
source = open_source(sys.argv[1])
line_format, mapping = LineFormat("key=value"), Mapping.parse("load=load,time=t")
def slow(batch):
    os.kill(os.getpid(), signal.SIGKILL)
with Journal.create(sys.argv[2], recording_settings(source, line_format, mapping)) as journal:
    Recorder(source, journal, Decoder(line_format, mapping), [slow]).run()
"""


def test_what_came_in_when_the_logger_was_killed_is_saved(
    listener: socket.socket, tmp_path: Path
) -> None:
    folder = tmp_path / "j"
    command = [sys.executable, "-c", PROGRAM, address(listener, "tcp"), str(folder)]
    child = subprocess.Popen(command)
    adapter, _ = listener.accept()
    with adapter:
        wait_for(lambda: (folder / "segment-000001.journal").exists())
        time.sleep(0.5)
        sent = b"t=0;load=5\n"
        adapter.sendall(sent)  # with this batch it kills itself
        child.wait()
        more = b"".join(b"t=%d;load=6\n" % number for number in range(1, 100))
        adapter.sendall(more)
        os.close(take_lock(folder))
    data = b"".join(one.payload for one in JournalReader(folder) if one.kind is Kind.DATA)
    assert data == sent + more
    with Journal.reopen(folder) as journal:
        assert journal.cut is None
        assert journal.same_boot == Path("/proc/sys/kernel/random/boot_id").exists()

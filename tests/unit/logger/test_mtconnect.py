"""MTConnect over HTTP: nothing twice or missed, restarts and overruns told, XML not trusted."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.helpers.agent import Agent
from trials.errors import SourceError
from trials.logger import (
    Batch,
    Journal,
    LineFormat,
    Mapping,
    Recorder,
    decoder_from,
    open_source,
    rebuild,
    recording_settings,
)
from trials.logger.sources import GapError, MtconnectSource
from trials.logger.sources.mtconnect_xml import parse

FORM, MAPPING = LineFormat("shdr"), Mapping.parse("load=S1load,rpm=S1speed")


def at(second: float) -> str:
    return f"2026-01-31T08:{int(second) // 60:02d}:{second % 60:06.3f}Z"


def read(source: MtconnectSource, wanted: int = 1) -> list[str]:
    """Lines of observations, without those that only tell the sequence."""
    lines: list[str] = []
    until = time.monotonic() + 5
    while len(lines) < wanted and time.monotonic() < until:
        text = (source.read(0.05) or b"").decode()
        lines += [line for line in text.splitlines() if not line.startswith("* mtconnect")]
    return lines


@pytest.fixture
def agent() -> Agent:
    with Agent() as agent:
        yield agent  # type: ignore[misc] # a fixture that ends it


def opened(agent: Agent) -> MtconnectSource:
    source = open_source(agent.url)
    assert isinstance(source, MtconnectSource)
    source.open()
    return source


@pytest.mark.parametrize("version", ["1.3", "1.4", "1.8", "2.0", "2.3"])
def test_values_come_once_and_in_order(version: str) -> None:
    with Agent(version=version) as agent:
        agent.observe("load1", 12.5, at(1))
        source = opened(agent)
        try:
            now = read(source, 4)
            assert f"{at(1)[:-1]}000000Z|S1load|12.5" in now, "as of the newest of them"
            agent.observe("load1", 40, at(2))
            agent.observe("msg", "a|b\nc", at(2.5))
            agent.observe("sys", "FAULT", at(2.6))
            agent.observe("load1", 41, at(3))
            assert read(source, 4) == [
                f"{at(2)}|S1load|40", f"{at(2.5)}|msg|a¦b c", f"{at(2.6)}|system|FAULT||||",
                f"{at(3)}|S1load|41",
            ]  # fmt: skip
            assert source.read(0.05) == b""
        finally:
            source.close()


def test_a_short_break_is_refilled(agent: Agent) -> None:
    source = opened(agent)
    try:
        read(source, 4)
        agent.dead = True
        for second in range(5):
            agent.observe("load1", second, at(second))
            assert source.read(0.02) == b""
        agent.dead = False
        assert read(source, 5) == [f"{at(second)}|S1load|{second}" for second in range(5)]
    finally:
        source.close()


def test_an_overrun_buffer_says_how_much_is_lost(agent: Agent) -> None:
    source = opened(agent)
    try:
        read(source, 4)
        for number in range(150):  # the buffer holds 100
            agent.observe("load1", number, at(number / 10))
        with pytest.raises(GapError, match="overran: 50 observations lost"):
            read(source)
        assert read(source, 100)[0].endswith("|50")
    finally:
        source.close()


def test_a_restarted_agent_is_told(agent: Agent) -> None:
    source = opened(agent)
    try:
        read(source, 4)
        for number in range(10):
            agent.observe("load1", number, at(number))
        read(source, 10)
        agent.restart(instance=2)
        with pytest.raises(GapError, match="started anew"):
            read(source)
        assert len(read(source, 4)) == 4
        agent.observe("load1", 77, at(20))
        assert read(source) == [f"{at(20)}|S1load|77"]
    finally:
        source.close()


def test_an_agent_that_stays_away_is_a_broken_link(agent: Agent) -> None:
    source = MtconnectSource("127.0.0.1", int(agent.url.split(":")[2].split("/")[0]),
                             every_s=0.02, patience_s=0.1)  # fmt: skip
    source.open()
    try:
        agent.dead = True
        with pytest.raises(SourceError, match="agent started"):
            read(source, 99)
    finally:
        source.close()


def test_a_wrong_device_is_told_with_the_agents_words(agent: Agent) -> None:
    source = open_source(agent.url.replace("/mill", "/lathe"))
    with pytest.raises(SourceError, match="NO_DEVICE Could not find the device lathe"):
        source.open()
    source.close()


def test_nobody_there_is_told() -> None:
    with Agent() as agent:
        url = agent.url
    with pytest.raises(SourceError, match="agent started"):
        open_source(url).open()


def test_a_recording_with_breaks_and_a_restart(agent: Agent, tmp_path: Path) -> None:
    source = open_source(agent.url)
    settings = recording_settings(source, FORM, MAPPING)
    batches: list[Batch] = []
    stop = threading.Event()
    with Journal.create(tmp_path / "j", settings) as journal:
        recorder = Recorder(source, journal, decoder_from(settings), [batches.append])
        thread = threading.Thread(target=recorder.run, args=(stop,))
        thread.start()
        try:
            until(lambda: any("current" in question for question in agent.questions))
            agent.observe("rpm1", 3000, at(1))
            for number in range(20):
                agent.observe("load1", number, at(1 + number / 10))
            until(lambda: total(batches) == 20)
            agent.observe("load1", "UNAVAILABLE", at(4))
            agent.observe("load1", 30, at(6))
            until(lambda: total(batches) == 21)
            agent.restart(instance=9, at=at(7))
            until(lambda: agent.questions[-1].endswith("from=5&count=1000"))
            agent.observe("load1", 50, at(10))
            until(lambda: total(batches) == 22)
        finally:
            stop.set()
            thread.join()
    live = Batch.join(batches)
    assert live.load_pct.tolist() == [*range(20), 30, 50]
    assert live.rpm[:21].tolist() == [3000.0] * 21
    assert [gap.reason.split(";")[0] for gap in live.gaps] == [
        "value not available, said by the source", "the agent was started anew",
    ]  # fmt: skip
    again = rebuild(tmp_path / "j").batch
    assert again.gaps == live.gaps
    assert again.time_s.tolist() == live.time_s.tolist()


def total(batches: list[Batch]) -> int:
    return sum(map(len, batches))


def until(holds: Callable[[], bool]) -> None:
    give_up = time.monotonic() + 10
    while not holds():
        assert time.monotonic() < give_up
        time.sleep(0.005)


BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
    b'<m:MTConnectStreams xmlns:m="urn:mtconnect.org:MTConnectStreams:1.4">&b;</m:MTConnectStreams>'
)
DEEP = (
    b'<m:MTConnectStreams xmlns:m="urn:mtconnect.org:MTConnectStreams:1.4">' + b"<a>" * 5000
)  # fmt: skip


@pytest.mark.parametrize(
    ("document", "told"),
    [
        (BOMB, "document type declaration"),
        (DEEP, "elements within each other"),
        (b"<html><body>It works!</body></html>", "html"),
        (b"<MTConnectStreams/>", "MTConnectStreams"),  # without the standard's namespace
        (b"{}", "not well-formed"),
        (b"", "no element found"),
        (b"x" * (17 << 20), "at most 16,777,216 bytes"),
    ],
)
def test_documents_are_not_trusted(document: bytes, told: str) -> None:
    with pytest.raises(SourceError, match=told):
        parse(document)


def test_names_of_a_real_machine(shared_data: Path) -> None:
    """Data items of a real multitasking lathe (see SOURCES.md of the outside data)."""
    document = parse((shared_data / "shdr_turning_devices.xml").read_bytes())
    assert document.kind == "MTConnectDevices"
    assert document.number("instanceId") == 1
    names = {name for _, name in document.items}
    assert {"S1load", "S6load"} <= names
    assert len({item for item, _ in document.items}) == len(document.items), "ids are unique"

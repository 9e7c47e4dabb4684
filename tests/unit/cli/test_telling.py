"""What long-running commands tell: lines by default, one JSON object a line when asked."""

from __future__ import annotations

import json
import logging
import os
import signal
from pathlib import Path
from typing import Any

import pytest

from dashboard.sign_in import Entry, Rules
from tests.helpers.command_line import holewise
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream, written
from tests.helpers.shared_trial import fill_shop
from trials.cli.telling import set_up_logs, tell
from trials.workbench import Workbench


@pytest.fixture(autouse=True)
def _lines_afterwards() -> Any:
    yield
    set_up_logs("text", "info")
    logging.getLogger("dashboard").setLevel(logging.NOTSET)


def records(text: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in text.splitlines()]


def test_sending_tells_records_that_a_program_can_read(tmp_path: Path) -> None:
    fill_shop(tmp_path / "station", tmp_path)
    done = holewise(
        "--log-format", "json", "forward", "--to", tmp_path / "shop", "--once",
        data=tmp_path / "station",
    )  # fmt: skip
    assert (done.status, done.out) == (0, "")
    told = records(done.err)
    assert [one["event"] for one in told] == ["reached", "sent"]
    assert {"time", "level", "logger", "process", "message"} <= told[0].keys()
    assert told[0]["logger"] == "holewise.forward"


def test_an_error_is_a_record_too(tmp_path: Path) -> None:
    done = holewise("--log-format", "json", "forward", "--once", data=tmp_path / "none")
    assert done.status == 1
    (told,) = records(done.err)
    assert (told["event"], told["level"]) == ("failed", "error")


def test_lines_are_the_default_and_come_back(tmp_path: Path) -> None:
    fill_shop(tmp_path / "station", tmp_path)
    done = holewise("forward", "--to", tmp_path / "shop", "--once", data=tmp_path / "station")
    assert "The shop is reached" in done.out
    assert done.err == ""


@pytest.mark.skipif(not hasattr(os, "nice"), reason="this system knows no priorities of this kind")
def test_sending_within_the_process_of_the_tests_leaves_it_as_it_was(tmp_path: Path) -> None:
    fill_shop(tmp_path / "station", tmp_path)
    before = os.nice(0), signal.getsignal(signal.SIGINT), signal.getsignal(signal.SIGTERM)
    holewise("forward", "--to", tmp_path / "shop", "--once", data=tmp_path / "station")
    assert (os.nice(0), signal.getsignal(signal.SIGINT), signal.getsignal(signal.SIGTERM)) == before


@pytest.mark.parametrize("given", [("--log-format", "xml"), ("--log-level", "loud")])
def test_what_is_not_known_is_refused(tmp_path: Path, given: tuple[str, str]) -> None:
    done = holewise(*given, "trial", "list", data=tmp_path / "shop")
    assert (done.status, "allowed" in done.err) == (1, True)


def test_a_level_keeps_the_rest_quiet(capsys: pytest.CaptureFixture[str]) -> None:
    set_up_logs("json", "warning")
    tell("recording", "hole", "hole 7: peak 41.5 %", hole=7)
    tell("recording", "alarm", "ALARM hole 8", level="warning", hole=8)
    (told,) = records(capsys.readouterr().err)
    assert (told["event"], told["hole"]) == ("alarm", 8)


def test_what_an_unexpected_error_says_is_not_kept(capsys: pytest.CaptureFixture[str]) -> None:
    set_up_logs("json", "info")
    try:
        raise ZeroDivisionError("price 83.17 of Anna")
    except ZeroDivisionError as error:
        logging.getLogger("dashboard.app").error("a callback failed", exc_info=error)
    text = capsys.readouterr().err
    assert "83.17" not in text
    assert "Anna" not in text
    (told,) = records(text)
    assert told["error"] == "ZeroDivisionError"
    assert told["where"][0].startswith("test_telling.py:")


def test_who_signs_in_is_a_mark(capsys: pytest.CaptureFixture[str]) -> None:
    bench: Any = None
    entry = Entry(bench, Rules())
    entry._key = b"invented"
    set_up_logs("json", "info")
    for _ in range(2):
        entry._tell("refused", logging.WARNING, "anna", "192.0.2.7", "was refused")
    text = capsys.readouterr().err
    assert "anna" not in text
    assert "192.0.2.7" not in text
    one, other = records(text)
    assert one["who"] == other["who"] != one["whence"]
    assert one["event"] == "sign_in_refused"


def test_a_recording_tells_holes_and_its_end(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial("bracket"))
        bench.plan_run("bracket", START)
    source = written(tmp_path, stream(3))
    done = holewise(
        "--log-format", "json", "log", "bracket", "--source", f"replay:{source}",
        "--resume-if-cut-off", "--format", "delimited", "--map", "load=load_pct,unit=%,time=time_s",
        data=tmp_path / "shop",
    )  # fmt: skip
    assert done.status == 0, done.err
    assert done.out == ""
    told = records(done.err)
    assert (told[0]["event"], told[0]["run"]) == ("began", 1)
    assert [one["hole"] for one in told if one["event"] == "hole"] == [1, 2, 3]
    assert (told[-1]["event"], told[-1]["holes"]) == ("ended", 3)

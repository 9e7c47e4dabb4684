"""The live view reads the journal and the store, whoever writes them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import PERIOD_S, stream, up_to_s, written
from trials.logger import Arrival, Batch, Decoder, Journal, LineFormat, Mapping
from trials.store import FileLock, Recording
from trials.workbench import LiveView, Workbench, _live

FORMAT = LineFormat()
MAPPING = Mapping.parse("load=load_pct,time=time_s")


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        bench.plan_run("bracket", START)
        yield bench


@pytest.fixture
def journal(bench: Workbench) -> Iterator[Journal]:
    """A journal as a logger in another process would be writing it."""
    store = bench._shop.store
    key = __import__("uuid").uuid4()
    recording = Recording(
        key, "live", "tcp://drill:1", FORMAT.to_dict(), MAPPING.to_dict(), f"journals/{key}"
    )
    settings = {"line_format": FORMAT.to_dict(), "mapping": MAPPING.to_dict()}
    lock = bench._shop.folder.run_lock(store.run("bracket", 1).uuid)
    with (
        FileLock(lock, "recording"),
        Journal.create(bench.folder / "journals" / str(key), settings) as journal,
    ):
        store.start_recording("bracket", 1, recording)
        yield journal


def look(bench: Workbench) -> LiveView:
    view = bench.live("bracket")
    assert view is not None
    return view


def test_nothing_recorded_is_nothing_to_see(bench: Workbench) -> None:
    assert bench.live("bracket") is None
    bench.end_run("bracket", 1, "stopped", holes=0)
    assert bench.live("bracket") is None
    assert bench.live("bracket", 1) is None


def test_it_grows_with_the_journal(bench: Workbench, journal: Journal) -> None:
    text = stream(5)
    view = look(bench)
    assert (view.state, view.newest_load_pct, view.age_s, view.stale) == (
        "no new values", None, None, True,
    )  # fmt: skip
    first, second = up_to_s(text, 4.5), up_to_s(text, 11.4)
    journal.append(text[:first])
    view = look(bench)
    assert (view.state, view.recording, view.holes_count) == ("recording", True, 0)
    assert view.holder is not None
    assert view.current is not None
    assert view.current.number == 1
    assert view.current.elapsed_s == pytest.approx(2.5, abs=0.1)
    assert view.current.peak_pct == pytest.approx(40.0, abs=2.0)
    assert view.newest_load_pct == pytest.approx(40.0, abs=2.0)
    assert not view.stale
    assert (view.limit_pct, view.alarm, view.behind_bytes) == (80.0, None, 0)
    journal.append(text[first : second - 4])
    view = look(bench)
    assert view.holes_count == 1
    assert list(view.holes["number"]) == [1]
    assert view.current is not None
    assert view.current.number == 2
    journal.append(text[second - 4 :])
    view = look(bench)
    assert (view.holes_count, view.current) == (5, None)
    assert view.counters["samples"] == text.count(b"\n") - 1
    assert view.time_s[-1] == pytest.approx(2.0 + 5 * PERIOD_S - 0.02)


def test_it_does_not_read_again_what_it_has_read(
    bench: Workbench, journal: Journal, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = stream(5)
    journal.append(text[:5000])
    look(bench)
    fed: list[bytes] = []
    take = Decoder._text

    def spy(self: Decoder, chunk: bytes, *more: Any) -> Batch:
        fed.append(chunk)
        return take(self, chunk, *more)

    monkeypatch.setattr(Decoder, "_text", spy)
    journal.append(text[5000:6000])
    look(bench)
    look(bench)
    assert b"".join(fed) == text[5000:6000]


def test_two_viewers_and_the_store_agree(bench: Workbench, journal: Journal) -> None:
    text = stream(8)
    with Workbench.open(bench.folder) as other:
        for start in range(0, len(text), 3000):
            journal.append(text[start : start + 3000])
            look(bench)
        late = look(other)
    early = look(bench)
    pd.testing.assert_frame_equal(early.holes, late.holes)
    np.testing.assert_array_equal(early.load_pct, late.load_pct)


def test_a_peak_is_kept_however_long_the_trace(bench: Workbench, journal: Journal) -> None:
    text = stream(30).replace(b"\n100.000,", b"\n100.000,79.9\n100.001,")
    journal.append(text)
    view = look(bench)
    assert len(view.time_s) <= _live.MOST_POINTS
    assert view.time_s[-1] - view.time_s[0] <= _live.WINDOW_S
    assert 79.9 in view.load_pct
    assert view.time_s[int(np.argmax(view.load_pct))] == pytest.approx(100.0)


def test_an_old_value_is_stale_and_a_gone_logger_is_told(
    bench: Workbench, journal: Journal, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = Arrival.now()
    old = Arrival(now.monotonic_ns - 5_000_000_000, now.utc_ns - 5_000_000_000)
    text = stream(1)
    journal.append(text[: up_to_s(text, 1.0)], old)
    view = look(bench)
    assert (view.state, view.stale) == ("no new values", True)
    assert view.age_s == pytest.approx(5.0, abs=3.0)
    assert view.alarm is not None
    assert "still sending" in view.alarm
    monkeypatch.setattr("trials.workbench._shop.holder_of", lambda _path: None)
    view = look(bench)
    assert (view.state, view.recording, view.holder) == ("logger stopped", False, None)
    assert view.alarm is not None
    assert "--resume" in view.alarm


def test_a_set_clock_does_not_make_values_old(bench: Workbench, journal: Journal) -> None:
    now = Arrival.now()
    an_hour_ns = 3_600_000_000_000
    text = stream(1)
    journal.append(text[: up_to_s(text, 1.0)], Arrival(now.monotonic_ns, now.utc_ns - an_hour_ns))
    view = look(bench)
    assert view.age_s is not None
    assert view.age_s < 60.0


def test_load_over_the_limit_asks_for_a_look(bench: Workbench, journal: Journal) -> None:
    text = stream(4, fresh_pct=70.0, rise_pct=6.0)  # the third hole is over 80 %
    journal.append(text[: up_to_s(text, 9.0)])
    assert look(bench).alarm is None
    journal.append(text[up_to_s(text, 9.0) : up_to_s(text, 15.0)])
    view = look(bench)
    assert view.alarm is not None
    assert "over the limit of 80 %" in view.alarm
    journal.append(text[up_to_s(text, 15.0) : up_to_s(text, 19.0)])
    view = look(bench)
    assert view.alarm is not None
    assert "Hole 3 peaked at 8" in view.alarm


def test_lines_that_cannot_be_understood_are_told(bench: Workbench, journal: Journal) -> None:
    journal.append(b"time_s,torque\n0.0,5\n")
    view = look(bench)
    assert view.state == "cannot be read"
    assert view.alarm is not None
    assert "load_pct" in view.alarm
    journal.append(b"0.1,6\n")
    assert look(bench).alarm == view.alarm


def test_reading_a_long_journal_is_shared_between_looks(
    bench: Workbench, journal: Journal, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = stream(40)
    for start in range(0, len(text), 1000):
        journal.append(text[start : start + 1000])
    monkeypatch.setattr(_live, "_READ_FOR_S", 0.0)
    view = look(bench)
    assert (view.state, view.behind_bytes > 0) == ("catching up", True)
    for _ in range(len(text) // 1000 + 3):
        view = look(bench)
    assert view.state != "catching up"
    assert (view.behind_bytes, view.holes_count) == (0, 40)
    assert view.counters["samples"] == text.count(b"\n") - 1


def test_the_end_of_a_finished_recording(bench: Workbench, tmp_path: Path) -> None:
    bench.import_trace("bracket", 1, written(tmp_path, stream(30)))
    view = look(bench)
    assert (view.state, view.recording, view.stale, view.holes_count) == (
        "drilled", False, False, 30,
    )  # fmt: skip
    assert view.alarm is None
    assert view.time_s[-1] == pytest.approx(2.0 + 30 * PERIOD_S - 0.02)
    assert view.time_s[-1] - view.time_s[0] <= _live.WINDOW_S
    trace = next((bench.folder / "traces").iterdir())
    trace.write_bytes(trace.read_bytes()[:-1])
    with Workbench.open(bench.folder) as other:
        view = look(other)
    assert view.alarm is not None
    assert "damaged" in view.alarm

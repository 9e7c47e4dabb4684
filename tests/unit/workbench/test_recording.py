"""Recording and importing: stored before the first byte, all or nothing, the same both ways."""

from __future__ import annotations

import statistics
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import HEADER, PERIOD_S, serving, stream, up_to_s, written
from trials.errors import ConflictError, InputError, NotFoundError, SourceError, StoreError
from trials.holes import HoleFinder
from trials.logger import LineFormat, Mapping
from trials.model import WearReading
from trials.store import FileLock, Store
from trials.workbench import Progress, Workbench

FORMAT = LineFormat()
MAPPING = Mapping.parse("load=load_pct,time=time_s")


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        bench.plan_run("bracket", START)
        yield bench


def files(bench: Workbench) -> list[str]:
    """Every file of recordings in the shop's folder."""
    return sorted(
        path.relative_to(bench.folder).as_posix()
        for part in ("traces", "journals")
        for path in (bench.folder / part).rglob("*")
    )


def test_live_and_import_give_the_same(bench: Workbench, tmp_path: Path) -> None:
    text = stream(12)
    bench.plan_run("bracket", START)
    with serving(text) as server:
        server.release()
        server.end()
        live = bench.record("bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING)
    read = bench.import_trace("bracket", 2, written(tmp_path, text))
    assert (live.samples, live.holes, live.rejected) == (read.samples, 12, 0)
    assert live.ended_because.startswith("the link was lost")
    pd.testing.assert_frame_equal(bench.trace("bracket", 1), bench.trace("bracket", 2))
    pd.testing.assert_frame_equal(bench.holes("bracket", 1), bench.holes("bracket", 2))
    assert bench.run("bracket", 1).load_fresh_pct == bench.run("bracket", 2).load_fresh_pct


def test_the_run_s_figures_are_those_of_its_holes(bench: Workbench, tmp_path: Path) -> None:
    summary = bench.import_trace("bracket", None, written(tmp_path, stream(12)))
    run, peaks = bench.run("bracket", 1), list(bench.holes("bracket", 1)["peak_pct"])
    assert summary.run == run
    assert (run.state, run.holes) == ("drilled", 12)
    assert run.load_fresh_pct == statistics.median(peaks[:3])
    assert run.load_worn_pct == statistics.median(peaks[-3:]), "the peaks rise all the way"
    assert run.cycle_min == pytest.approx(PERIOD_S / 60, rel=0.002)
    assert summary.duration_s == pytest.approx(2.0 + 12 * PERIOD_S, abs=0.05)


def test_a_run_of_one_hole_has_a_computed_cycle_time(bench: Workbench, tmp_path: Path) -> None:
    bench.import_trace("bracket", None, written(tmp_path, stream(1)))
    run = bench.run("bracket", 1)
    assert run.holes == 1
    assert run.load_fresh_pct == run.load_worn_pct
    # 26.5 mm of path at 449 mm/min is 3.5 s; approach and retract come on top (kinematics).
    assert run.cycle_min is not None
    assert 3.5 / 60 < run.cycle_min < 4.5 / 60


def test_a_trace_without_holes_has_no_figures(bench: Workbench, tmp_path: Path) -> None:
    summary = bench.import_trace("bracket", None, written(tmp_path, stream(0)))
    assert (summary.holes, summary.samples) == (0, 100)
    run = bench.run("bracket", 1)
    assert (run.state, run.holes, run.load_fresh_pct, run.cycle_min) == ("drilled", 0, None, None)


def test_a_bad_line_leaves_nothing_of_the_import(bench: Workbench, tmp_path: Path) -> None:
    text = stream(60)
    place = up_to_s(text, 300.0)
    bad = text[:place] + b"300.000,4x\n" + text[place:]
    path = written(tmp_path, bad)
    before = bench.run("bracket", 1)
    with pytest.raises(InputError, match=r"spindle\.csv, line 15002") as refused:
        bench.import_trace("bracket", None, path)
    assert "--skip-bad-lines" in str(refused.value)
    assert files(bench) == []
    assert bench.run("bracket", 1) == before
    summary = bench.import_trace("bracket", None, path, skip_bad_lines=True)
    assert (summary.rejected, summary.holes) == (1, 60)


def test_a_store_that_fails_leaves_nothing_of_the_import(
    bench: Workbench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_args: object) -> None:
        raise StoreError("the disk is full")

    path = written(tmp_path, stream(3))
    with monkeypatch.context() as patch:
        patch.setattr(Store, "import_recording", full)
        with pytest.raises(StoreError, match="full"):
            bench.import_trace("bracket", None, path)
    assert files(bench) == []
    assert bench.import_trace("bracket", None, path).holes == 3


def test_an_absent_file_is_named(bench: Workbench, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"nowhere\.csv"):
        bench.import_trace("bracket", None, tmp_path / "nowhere.csv")
    assert bench.run("bracket", 1).state == "planned"


def test_an_import_goes_into_a_planned_run_only(bench: Workbench, tmp_path: Path) -> None:
    path = written(tmp_path, stream(3))
    bench.import_trace("bracket", 1, path)
    stored = files(bench)
    with pytest.raises(ConflictError, match="run 1 of bracket is drilled"):
        bench.import_trace("bracket", 1, path)
    assert files(bench) == stored
    with pytest.raises(ConflictError, match="plan one"):
        bench.record("bracket", 1, f"csv:{path}", line_format=FORMAT, mapping=MAPPING)


def test_import_tells_how_far_it_is(bench: Workbench, tmp_path: Path) -> None:
    told: list[Progress] = []
    bench.import_trace("bracket", None, written(tmp_path, stream(120)), on_progress=told.append)
    shares = [one.share for one in told]
    assert None not in shares
    assert shares == sorted(shares)  # type: ignore[type-var]  # none of them is None
    assert shares[-1] == 1.0
    assert len(shares) >= 3
    assert told[-1].holes == 120


def test_a_source_that_cannot_be_opened_leaves_nothing_behind(bench: Workbench) -> None:
    with serving(b"") as server:
        url = server.url
    with pytest.raises(SourceError, match="127"):
        bench.record("bracket", 1, url, line_format=FORMAT, mapping=MAPPING)
    assert bench.run("bracket", 1).state == "planned"
    assert files(bench) == []


def test_the_recording_is_stored_before_its_first_byte(bench: Workbench) -> None:
    stop = threading.Event()
    seen: list[str] = []

    def record() -> None:
        summary = bench.record(
            "bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING, stop=stop
        )
        seen.append(summary.ended_because)

    with serving(stream(3)) as server:
        thread = threading.Thread(target=record)
        thread.start()
        while bench.run("bracket", 1).state != "recording":
            assert thread.is_alive()
        assert len(files(bench)) >= 2, "its journal is there, though nothing was sent"
        assert bench.add_wear("bracket", 1, WearReading(0, 0.0)).state == "recording"
        stop.set()
        thread.join()
        server.release()
    assert [why.partition(";")[0] for why in seen] == ["it was stopped"]
    run = bench.run("bracket", 1)
    assert run.state == "planned"
    assert len(run.wear) == 1, "the end of the recording keeps what was noted meanwhile"


def test_a_recording_ends_after_the_holes_asked_for(bench: Workbench) -> None:
    text = stream(40)
    with serving(text) as server:
        server.release(up_to_s(text, 2.0 + 5 * PERIOD_S + 1.0))
        summary = bench.record(
            "bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING, max_holes=5
        )
    assert summary.ended_because == "5 holes were drilled"
    assert 5 <= bench.run("bracket", 1).holes <= 6


def test_a_second_logger_is_told_who_holds_the_run(bench: Workbench) -> None:
    run_lock = bench._shop.folder.run_lock(bench._shop.store.run("bracket", 1).uuid)
    with FileLock(run_lock, "recording run 1 of bracket"):
        with pytest.raises(ConflictError, match=r"recording run 1 .* process \d+ on"):
            bench.record("bracket", 1, "tcp://127.0.0.1:9", line_format=FORMAT, mapping=MAPPING)
        with pytest.raises(ConflictError, match="process"):
            bench.import_trace("bracket", 1, Path("x.csv"))


def test_a_progress_that_fails_does_not_end_the_recording(bench: Workbench) -> None:
    def fail(progress: Progress) -> None:
        if progress.share is None and progress.holes < 12:
            raise ZeroDivisionError

    with serving(stream(12)) as server:
        server.release()
        server.end()
        summary = bench.record(
            "bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING, on_progress=fail
        )
    assert summary.holes == 12


def test_a_fault_while_listening_is_made_up_for_from_the_journal(
    bench: Workbench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever it is: the samples that were missed are not silently left out."""
    faults = iter([ZeroDivisionError()])
    feed = HoleFinder.feed

    def feed_later(self: HoleFinder, *args: Any, **more: Any) -> Any:
        for fault in faults:
            raise fault
        return feed(self, *args, **more)

    monkeypatch.setattr(HoleFinder, "feed", feed_later)
    with serving(stream(12)) as server:
        server.release()
        server.end()
        summary = bench.record("bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING)
    assert (summary.holes, summary.samples) == (12, 3700)
    assert len(bench.trace("bracket", 1)) == 3700


def test_a_store_that_fails_meanwhile_is_made_up_for(
    bench: Workbench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither holes nor trace can be written while it is recorded; the journal has it all."""

    def full(*_args: object, **_more: object) -> None:
        raise StoreError("the disk is full")

    tries = iter([full])
    append = bench_append()

    def append_later(self: object, *args: object) -> None:
        next(tries, append)(self, *args)

    with monkeypatch.context() as patch:
        patch.setattr(Store, "add_holes", full)
        patch.setattr("trials.store.TraceWriter.append", append_later)
        with serving(stream(12)) as server:
            server.release()
            server.end()
            told: list[Progress] = []
            summary = bench.record(
                "bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING,
                on_progress=told.append,
            )  # fmt: skip
    assert "the disk is full." in [one.trouble for one in told]
    assert (summary.holes, summary.samples) == (12, len(bench.trace("bracket", 1)))
    assert bench.run("bracket", 1).holes == 12


def bench_append() -> object:
    from trials.store import TraceWriter

    return TraceWriter.append


def test_a_store_that_fails_at_the_end_says_that_the_journal_has_it(
    bench: Workbench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_args: object) -> None:
        raise StoreError("the disk is full")

    with serving(stream(4)) as server, monkeypatch.context() as patch:
        patch.setattr(Store, "finish_recording", full)
        server.release()
        server.end()
        with pytest.raises(StoreError, match="The journal holds the whole recording"):
            bench.record("bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING)
    assert bench.run("bracket", 1).state == "recording"
    ended = bench.end_run("bracket", 1, "stopped")
    assert (ended.state, ended.holes) == ("ended", 4)
    assert len(bench.holes("bracket", 1)) == 4


def test_a_rebuild_gives_the_same_again(bench: Workbench) -> None:
    with serving(stream(12)) as server:
        server.release()
        server.end()
        bench.record("bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING)
    bench.end_run("bracket", 1, "worn", holes=13, note="one was drilled before the logger ran")
    trace, holes, run = (
        bench.trace("bracket", 1), bench.holes("bracket", 1), bench.run("bracket", 1),
    )  # fmt: skip
    (bench.folder / "traces").joinpath(files(bench)[-1].split("/")[1]).unlink()
    with pytest.raises(StoreError, match="rebuild it from its journal"):
        bench.trace("bracket", 1)
    bench.rebuild("bracket", 1)
    pd.testing.assert_frame_equal(bench.trace("bracket", 1), trace)
    pd.testing.assert_frame_equal(bench.holes("bracket", 1), holes)
    assert bench.run("bracket", 1) == run


def test_what_was_not_recorded_cannot_be_rebuilt_or_resumed(
    bench: Workbench, tmp_path: Path
) -> None:
    with pytest.raises(ConflictError, match="planned"):
        bench.rebuild("bracket", 1)
    with pytest.raises(ConflictError, match="without resuming"):
        bench.record("bracket", 1, "tcp://127.0.0.1:9", resume=True)
    bench.import_trace("bracket", 1, written(tmp_path, stream(2)))
    with pytest.raises(NotFoundError, match="imported"):
        bench.rebuild("bracket", 1)
    with pytest.raises(ConflictError, match="import"):
        bench.record("bracket", 1, "tcp://127.0.0.1:9", resume=True)


def test_without_an_address_there_is_nothing_to_record(bench: Workbench) -> None:
    for resume in (False, True):
        with pytest.raises(InputError, match="tcp://host:port"):
            bench.record("bracket", 1, None, line_format=FORMAT, mapping=MAPPING, resume=resume)
    with pytest.raises(InputError, match="which field is the load"):
        bench.record("bracket", 1, "tcp://127.0.0.1:9")
    assert bench.run("bracket", 1).state == "planned"


def test_a_wrong_mapping_is_mended_on_resuming(bench: Workbench) -> None:
    text = stream(4)
    wrong = Mapping.parse("load=torque,time=time_s")
    with serving(text) as server:
        server.release()
        server.end()
        with pytest.raises(InputError, match="torque"):
            bench.record("bracket", 1, server.url, line_format=FORMAT, mapping=wrong)
        assert bench.run("bracket", 1).state == "recording"
        with pytest.raises(ConflictError, match="--resume"):
            bench.record("bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING)
        journalled = sum(len(record.payload) for record in data_records(bench))
        server.go_back_to(text.rfind(b"\n", 0, journalled) + 1)
        summary = bench.record("bracket", 1, server.url, mapping=MAPPING, resume=True)
    assert summary.holes == 4
    assert bench.gaps("bracket", 1)[0].reason == "logger stopped"


def data_records(bench: Workbench) -> list[object]:
    from trials.logger import JournalReader, Kind

    (folder,) = (bench.folder / "journals").iterdir()
    return [record for record in JournalReader(folder) if record.kind is Kind.DATA]


def test_a_file_goes_on_where_its_journal_ends(bench: Workbench, tmp_path: Path) -> None:
    text = stream(12)
    path = written(tmp_path, text[: up_to_s(text, 30.0)])
    bench.record("bracket", 1, f"csv:{path}", line_format=FORMAT, mapping=MAPPING)
    path.write_bytes(text)
    bench.record("bracket", 1, None, resume=True)
    bench.plan_run("bracket", START)
    bench.import_trace("bracket", 2, path)
    assert len(bench.holes("bracket", 1)) == 12
    assert bench.gaps("bracket", 1) == []
    assert HEADER in text


def test_a_recording_that_heard_nothing_leaves_the_run_planned(bench: Workbench) -> None:
    text = stream(3)
    with serving(text) as server:
        stop = threading.Event()
        giving_up = threading.Timer(0.5, stop.set)
        giving_up.start()
        heard = bench.record(
            "bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING, stop=stop
        )
        giving_up.join()
        assert heard.ended_because == (
            "it was stopped; nothing came in, so the run is still a planned one"
        )
        assert bench.run("bracket", 1).state == "planned"
        server.release()
        server.end()
        bench.record("bracket", 1, server.url, line_format=FORMAT, mapping=MAPPING)
    assert (bench.run("bracket", 1).state, bench.run("bracket", 1).holes) == ("drilled", 3)
    assert len(bench.holes("bracket", 1)) == 3

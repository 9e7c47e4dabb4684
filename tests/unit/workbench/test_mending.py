"""Mending the holes of a run: its figures follow, what was found stays, all can be undone."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pandas as pd
import pytest

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import CUT_S, LEAD_S, PERIOD_S, stream, written
from trials.errors import ConflictError, InputError, NotFoundError
from trials.model import WearReading
from trials.store import StoredEdit
from trials.workbench import WEAR_STAYS, Workbench

NAME = "bracket"
HOLES = 10


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as opened:
        opened.new_trial(example_trial(NAME))
        opened.plan_run(NAME, START)
        opened.import_trace(NAME, 1, written(tmp_path, stream(HOLES)))
        yield opened


def numbers(bench: Workbench) -> list[int]:
    return [int(number) for number in bench.holes(NAME, 1)["number"]]


def test_merge_renumbers_and_the_run_follows(bench: Workbench) -> None:
    before = bench.run(NAME, 1)
    assert before.holes == HOLES
    done = bench.merge_holes(NAME, 1, 2, 3, who="anna")
    assert (done.holes_before, done.holes) == (HOLES, HOLES - 1)
    assert done.run.holes == HOLES - 1
    assert done.note == WEAR_STAYS
    assert numbers(bench) == list(range(1, HOLES))
    # Peaks rise by 0.5 % a hole: the first three are now holes 1, 2+3 and 4 of the found ones.
    peaks = bench.found_holes(NAME, 1)["peak_pct"]
    assert done.run.load_fresh_pct == pytest.approx(peaks.iloc[2])
    assert before.load_fresh_pct == pytest.approx(peaks.iloc[1])
    assert len(bench.found_holes(NAME, 1)) == HOLES
    (edit,) = bench.edits(NAME, 1)
    assert edit.made_by == "anna"
    assert "2 to 3" in edit.text
    assert (edit.next_undo, edit.next_redo) == (True, False)


def test_everything_can_be_undone_and_redone(bench: Workbench) -> None:
    run, found = bench.run(NAME, 1), bench.holes(NAME, 1)
    bench.merge_holes(NAME, 1, 2, 3)
    bench.drop_hole(NAME, 1, 5)
    mended, mended_run = bench.holes(NAME, 1), bench.run(NAME, 1)
    bench.undo_edit(NAME, 1, who="ben")
    bench.undo_edit(NAME, 1, who="ben")
    pd.testing.assert_frame_equal(bench.holes(NAME, 1), found, check_dtype=False)
    assert bench.run(NAME, 1) == run
    assert [edit.undone_by for edit in bench.edits(NAME, 1)] == ["ben", "ben"]
    with pytest.raises(ConflictError, match="nothing to undo"):
        bench.undo_edit(NAME, 1)
    bench.redo_edit(NAME, 1)
    bench.redo_edit(NAME, 1)
    pd.testing.assert_frame_equal(bench.holes(NAME, 1), mended)
    assert bench.run(NAME, 1) == mended_run
    with pytest.raises(ConflictError, match="nothing to redo"):
        bench.redo_edit(NAME, 1)


def test_a_new_edit_ends_what_could_be_redone(bench: Workbench) -> None:
    bench.drop_hole(NAME, 1, 5)
    bench.undo_edit(NAME, 1)
    bench.drop_hole(NAME, 1, 7)
    with pytest.raises(ConflictError, match="nothing to redo"):
        bench.redo_edit(NAME, 1)
    assert [edit.undone_utc is None for edit in bench.edits(NAME, 1)] == [False, True]


def test_split_takes_the_dip_when_no_time_is_given(bench: Workbench) -> None:
    bench.merge_holes(NAME, 1, 2, 3)
    found = bench.found_holes(NAME, 1)
    at_s = bench.split_place(NAME, 1, 2)
    assert found["end_s"].iloc[1] < at_s < found["start_s"].iloc[2]
    done = bench.split_hole(NAME, 1, 2)
    assert done.holes == HOLES
    assert bench.holes(NAME, 1)["start_s"].iloc[2] == pytest.approx(
        found["start_s"].iloc[2], abs=0.15
    )


def test_a_missed_hole_is_added_and_the_cycle_time_follows(bench: Workbench) -> None:
    bench.drop_hole(NAME, 1, 4)
    start_s = LEAD_S + 3 * PERIOD_S
    done = bench.add_hole(NAME, 1, start_s, start_s + CUT_S)
    assert done.holes == HOLES
    assert done.run.cycle_min == pytest.approx(PERIOD_S / 60, rel=0.01)
    with pytest.raises(InputError, match="there already"):
        bench.add_hole(NAME, 1, start_s, start_s + CUT_S)
    with pytest.raises(InputError, match="no samples"):
        bench.add_hole(NAME, 1, 5000.0, 5002.0)
    assert len(bench.edits(NAME, 1)) == 2


def test_wear_readings_stay_where_they_were_typed(bench: Workbench) -> None:
    bench.add_wear(NAME, 1, WearReading(hole=2, vb_average_mm=0.05))
    bench.add_wear(NAME, 1, WearReading(hole=9, vb_average_mm=0.1))
    done = bench.drop_hole(NAME, 1, 4)
    assert [reading.hole for reading in done.run.wear] == [2, 9]
    assert "at hole 9" in done.note
    assert "at hole 2" not in done.note


def test_an_ended_run_keeps_a_number_that_a_person_typed(bench: Workbench) -> None:
    bench.end_run(NAME, 1, "worn", holes=12)
    assert bench.drop_hole(NAME, 1, 4).run.holes == 12
    assert bench.run(NAME, 1).state == "ended"


def test_an_ended_run_follows_where_the_logger_counted(bench: Workbench) -> None:
    bench.end_run(NAME, 1, "worn")
    assert bench.drop_hole(NAME, 1, 4).run.holes == HOLES - 1
    assert bench.undo_edit(NAME, 1).run.holes == HOLES


def test_two_who_mend_at_once_do_not_overwrite_each_other(bench: Workbench) -> None:
    version = bench.version(NAME, 1)
    bench.drop_hole(NAME, 1, 4)
    with pytest.raises(ConflictError):
        bench.drop_hole(NAME, 1, 4, version=version)
    assert len(bench.edits(NAME, 1)) == 1


def test_only_finished_recordings_can_be_mended(bench: Workbench) -> None:
    bench.plan_run(NAME, START)
    with pytest.raises(ConflictError, match="run 2 of bracket is planned"):
        bench.drop_hole(NAME, 2, 1)
    with pytest.raises(NotFoundError):
        bench.drop_hole(NAME, 7, 1)
    with pytest.raises(InputError, match="1 to 10"):
        bench.drop_hole(NAME, 1, 11)
    assert bench.edits(NAME, 1) == []


def test_the_overlay_reads_its_window_only(bench: Workbench) -> None:
    whole = bench.overlay(NAME, 1)
    assert len(whole.holes) == HOLES
    window = bench.overlay(NAME, 1, window_s=(LEAD_S + PERIOD_S - 1, LEAD_S + 2 * PERIOD_S - 1))
    assert [shown.hole.number for shown in window.holes] == [2]
    assert window.samples < whole.samples / 5
    assert window.highest_pct == pytest.approx(40.5, abs=2.5)  # 40 % and 0.5 % a hole, scatter 0.4
    past = bench.overlay(NAME, 1, window_s=(1e6, 1e6 + 5))
    assert (past.start_s, past.end_s) == (past.last_s - 5, past.last_s)


def test_a_long_stretch_is_thinned_without_losing_a_peak_or_making_a_gap(
    bench: Workbench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = stream(HOLES).splitlines(keepends=True)
    silent = b"".join(lines[: len(lines) // 2] + lines[len(lines) // 2 + 200 :])  # 4 s of 50 Hz
    bench.plan_run(NAME, START)
    bench.import_trace(NAME, 2, written(tmp_path, silent))
    whole = bench.overlay(NAME, 2)
    monkeypatch.setattr("trials.workbench._holes_face._THIN_ABOVE", 1000)
    monkeypatch.setattr("trials.workbench._holes_face._THIN_TO", 800)
    thinned = bench.overlay(NAME, 2)
    assert thinned.thinned
    assert len(thinned.time_s) < 900
    assert thinned.samples == whole.samples
    assert thinned.highest_pct == whole.highest_pct
    assert len(whole.gaps) == 1
    assert thinned.gaps == whole.gaps
    assert bench.overlay(NAME, 1).gaps == ()


def test_a_live_recording_is_rebuilt_with_its_edits(tmp_path: Path) -> None:
    text = stream(HOLES)
    path = written(tmp_path, text)
    with Workbench.open(tmp_path / "live") as bench:
        bench.new_trial(example_trial(NAME))
        bench.plan_run(NAME, START)
        from trials.logger import LineFormat, Mapping

        bench.record(
            NAME, 1, f"csv:{path}", line_format=LineFormat.parse("csv"),
            mapping=Mapping.parse("load=load_pct,unit=%,time=time_s"),
        )  # fmt: skip
        bench.merge_holes(NAME, 1, 2, 3, who="anna")
        bench.drop_hole(NAME, 1, 7)
        mended, run = bench.holes(NAME, 1), bench.run(NAME, 1)
        summary = bench.rebuild(NAME, 1)
        assert "2 of 2 edits" in summary.ended_because
        assert summary.holes == HOLES - 2
        pd.testing.assert_frame_equal(bench.holes(NAME, 1), mended)
        assert bench.run(NAME, 1) == run
        # An edit of a hole that is not found (any more): kept in the list, left out, and said.
        store = bench._shop.store
        recording = store.recordings(NAME, 1)[-1]
        lost = StoredEdit("drop", "Hole 40 dropped.", ((500.0, 503.0),))
        store.keep_edits(NAME, 1, recording.uuid, [*store.edits(NAME, 1), lost], lambda now: now)
        summary = bench.rebuild(NAME, 1)
        assert "2 of 3 edits" in summary.ended_because
        assert "Hole 40 dropped." in summary.ended_because
        assert [bool(edit.not_kept) for edit in bench.edits(NAME, 1)] == [False, False, True]
        assert summary.holes == HOLES - 2
        bench.undo_edit(NAME, 1)
        assert not any(edit.not_kept for edit in bench.edits(NAME, 1) if edit.undone_utc is None)


def test_holes_of_a_file_need_no_shop(tmp_path: Path) -> None:
    text = stream(4)
    told: list[float] = []
    found = Workbench.holes_in_file(
        written(tmp_path, text), expected=example_trial(),
        on_progress=lambda progress: told.append(progress.share or 0.0),
    )  # fmt: skip
    assert len(found.holes) == 4
    assert found.samples == len(pd.read_csv(io.BytesIO(text)))
    assert told[-1] == 1.0

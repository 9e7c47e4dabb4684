"""What every store must do, whatever engine is behind it.

A store passes by a class such as ``class TestSqlite(StoreContract)`` whose ``url`` fixture gives
the SQLAlchemy URL of an empty database; the URL must stay valid for the whole test.
"""

from __future__ import annotations

import threading
import uuid
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.helpers.example_trial import START, example_trial
from trials.errors import ConflictError, InputError, NotFoundError, StoreError
from trials.model import CuttingData, Run, WearReading, Work
from trials.store import HOLE_COLUMNS, Recording, Store, StoredAlarm


def holes_frame(count: int, **changes: Any) -> pd.DataFrame:
    """Holes as the finder gives them, NumPy scalars and all."""
    number = np.arange(1, count + 1)
    frame = pd.DataFrame(
        {
            "number": number,
            "start_s": 4.0 * number,
            "end_s": 4.0 * number + 2.5,
            "cut_s": np.full(count, 2.4),
            "pecks": np.full(count, 2, dtype=np.int64),
            "peak_pct": 40.0 + number,
            "peak_raw_pct": 43.0 + number,
            "mean_pct": 35.0 + number,
            "p95_pct": 39.0 + number,
            "entry_pct": 36.0 + number,
            "exit_pct": 34.0 + number,
            "area_pct_s": 80.0 + number,
            "rise_pct_per_s": 300.0 + number,
            "idle_pct": np.where(number == 2, np.nan, 5.0),
            "peck_peaks_pct": [(np.float64(40.5), 40.0 + one) for one in number],
            "trend_pct": np.zeros(count),
            "confidence": np.full(count, 0.9),
            "flags": pd.array(["gap; short"] * count, dtype="str"),
        }
    )
    return frame.assign(**changes)


def drilled(run: Run) -> Run:
    return replace(run, state="drilled", holes=5, load_fresh_pct=41.0, cycle_min=0.07)


class StoreContract:
    """Tests that every store passes."""

    @pytest.fixture
    def url(self) -> str:
        raise NotImplementedError("give the URL of an empty database")

    @pytest.fixture
    def store(self, url: str) -> Iterator[Store]:
        with Store.create(url) as store:
            yield store

    # Trials

    def test_a_trial_comes_back_as_it_went_in(self, store: Store, url: str) -> None:
        trial = example_trial(note="ünïcode, \"quotes\" and 'more'; DROP TABLE trial;")
        before = datetime.now(UTC)
        stored = store.add_trial(trial)
        with Store(url) as other:
            found = other.trial("bracket")
        assert found.trial == trial
        assert found == stored
        assert before <= found.created_utc <= datetime.now(UTC)
        assert found.created_utc.utcoffset() == timedelta(0)

    def test_a_name_is_taken_once(self, store: Store) -> None:
        store.add_trial(example_trial())
        with pytest.raises(ConflictError, match="bracket"):
            store.add_trial(example_trial(load_limit_pct=60.0))
        assert store.trial("bracket").trial.load_limit_pct == 80.0

    def test_an_unknown_name_is_answered_with_the_nearest(self, store: Store) -> None:
        with pytest.raises(NotFoundError, match="no trial yet"):
            store.trial("bracket")
        store.add_trial(example_trial("bracket"))
        store.add_trial(example_trial("housing"))
        with pytest.raises(NotFoundError, match="one of bracket"):
            store.trial("brakcet")

    def test_the_trial_changed_last_comes_first(self, store: Store) -> None:
        for name in ("a", "b", "c"):
            store.add_trial(example_trial(name))
        store.change_trial("a", lambda trial: replace(trial, note="looked at again"))
        assert [stored.trial.name for stored in store.trials()] == ["a", "c", "b"]

    def test_a_stale_change_of_a_trial_is_refused(self, store: Store) -> None:
        mine = store.add_trial(example_trial())
        theirs = store.change_trial(
            "bracket", lambda trial: replace(trial, load_limit_pct=70.0), version=mine.version
        )
        with pytest.raises(ConflictError, match="somebody else"):
            store.change_trial(
                "bracket", lambda trial: replace(trial, load_limit_pct=90.0), version=mine.version
            )
        assert store.trial("bracket") == theirs

    def test_renaming_keeps_runs_and_refuses_a_taken_name(self, store: Store) -> None:
        store.add_trial(example_trial("a"))
        store.add_trial(example_trial("b"))
        store.add_run("a", START)
        with pytest.raises(ConflictError):
            store.change_trial("a", lambda trial: replace(trial, name="b"))
        store.change_trial("a", lambda trial: replace(trial, name="c"))
        assert len(store.runs("c")) == 1

    def test_numpy_values_come_back_as_python_s_own(self, store: Store) -> None:
        trial = example_trial(
            load_limit_pct=np.float64(75.5),
            holes_to_make=np.int64(4000),
            max_test_holes=np.int32(300),
            invented=np.bool_(True),
            work=Work("steel", "P", hardness_hb=np.float32(180.0)),  # type: ignore[arg-type]  # as a library would hand it over
        )
        store.add_trial(trial)
        found = store.trial("bracket").trial
        assert type(found.load_limit_pct) is float
        assert found.load_limit_pct == 75.5
        assert type(found.holes_to_make) is int
        assert found.holes_to_make == 4000
        assert found.invented is True
        assert found.work.hardness_hb == 180.0

    # Runs

    def test_runs_are_numbered_in_their_trial(self, store: Store) -> None:
        store.add_trial(example_trial("a"))
        store.add_trial(example_trial("b"))
        assert store.add_run("a", START).run.number == 1
        assert store.add_run("a", START, drill="coated").run.number == 2
        assert store.add_run("b", START).run.number == 1
        runs = [stored.run for stored in store.runs("a")]
        assert [(run.number, run.drill) for run in runs] == [(1, "plain"), (2, "coated")]

    @settings(
        max_examples=25,
        deadline=None,
        suppress_health_check=[
            HealthCheck.function_scoped_fixture,
            HealthCheck.differing_executors,  # one class for each engine, by design
        ],
    )
    @given(
        data=st.builds(
            CuttingData,
            speed_m_per_min=st.floats(1e-6, 2000.0, exclude_min=True),
            feed_mm_per_rev=st.floats(1e-9, 5.0, exclude_min=True),
            peck_mode=st.sampled_from(["none", "chip_break", "full_retract"]),
            peck_depth_xd=st.floats(0.001, 100.0),
            breakthrough_feed_factor=st.floats(0.01, 1.0),
            breakthrough_mm=st.floats(0.0, 50.0),
        ),
        note=st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"])),
    )
    def test_a_run_comes_back_to_the_last_digit(
        self, store: Store, data: CuttingData, note: str
    ) -> None:
        name = f"t-{uuid.uuid4()}"
        store.add_trial(example_trial(name))
        stored = store.add_run(name, data, origin="suggestion", note=note)
        assert store.run(name, 1) == stored
        assert stored.run.cutting_data == data
        assert stored.run.note == note

    def test_a_drill_of_another_trial_is_refused(self, store: Store) -> None:
        store.add_trial(example_trial())
        with pytest.raises(NotFoundError, match="plain, coated"):
            store.add_run("bracket", START, drill="long")
        assert store.runs("bracket") == []

    def test_without_a_number_the_open_run_at_work_is_meant(self, store: Store) -> None:
        store.add_trial(example_trial())
        with pytest.raises(NotFoundError, match="no open run"):
            store.run("bracket")
        for _ in range(3):
            store.add_run("bracket", START)
        store.change_run("bracket", 3, lambda run: replace(run, state="ended", end="worn"))
        # Planned runs are drilled in the order of the plan.
        assert store.run("bracket").run.number == 1
        store.change_run("bracket", 2, lambda run: replace(run, state="drilled"))
        assert store.run("bracket").run.number == 2
        store.change_run("bracket", 1, lambda run: replace(run, state="recording"))
        assert store.run("bracket").run.number == 1
        with pytest.raises(NotFoundError, match="1 to 3"):
            store.run("bracket", 9)

    def test_only_one_planned_run_where_that_is_asked(self, store: Store) -> None:
        store.add_trial(example_trial())
        store.add_run("bracket", START, only_if_none_planned=True)
        with pytest.raises(ConflictError, match="run 1 of bracket is planned"):
            store.add_run("bracket", START, only_if_none_planned=True)
        assert len(store.runs("bracket")) == 1

    def test_a_stale_change_of_a_run_is_refused(self, store: Store) -> None:
        store.add_trial(example_trial())
        mine = store.add_run("bracket", START)
        store.change_run("bracket", 1, lambda run: replace(run, note="theirs"))
        with pytest.raises(ConflictError, match="somebody else"):
            store.change_run(
                "bracket", 1, lambda run: replace(run, note="mine"), version=mine.version
            )
        with pytest.raises(ConflictError, match="somebody else"):
            store.add_wear("bracket", 1, WearReading(1, 0.1), version=mine.version)
        found = store.run("bracket", 1)
        assert found.run.note == "theirs"
        assert found.run.wear == ()

    def test_a_change_that_fails_changes_nothing(self, store: Store) -> None:
        store.add_trial(example_trial())
        stored = store.add_run("bracket", START)

        def fail(_run: Run) -> Run:
            raise InputError("no")

        with pytest.raises(InputError):
            store.change_run("bracket", 1, fail)
        assert store.run("bracket", 1) == stored

    def test_the_time_of_the_end_is_kept(self, store: Store) -> None:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        before = datetime.now(UTC)
        store.change_run("bracket", 1, lambda run: replace(run, state="ended", end="broken"))
        first = store.run("bracket", 1).ended_utc
        assert first is not None
        assert before <= first <= datetime.now(UTC)
        store.change_run("bracket", 1, lambda run: replace(run, note="looked at"))
        assert store.run("bracket", 1).ended_utc == first

    def test_wear_readings_come_in_the_order_of_their_holes(self, store: Store) -> None:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        readings = [
            WearReading(50, 0.12, 0.2, 0.0, 0.01, 8.512, "first look"),
            WearReading(20, vb_maximum_mm=0.08),
            WearReading(50, 0.13, 0.2, note="again"),
        ]
        for reading in readings:
            store.add_wear("bracket", None, reading)
        expected = (readings[1], readings[0], readings[2])
        assert store.run("bracket", 1).run.wear == expected
        assert store.runs("bracket")[0].run.wear == expected
        assert store.trials_with_runs()[0][1][0].wear == expected

    # Recordings

    def recording(self, kind: Any = "import", **changes: Any) -> Recording:
        key = uuid.uuid4()
        made = Recording(
            key, kind, "csv:spindle.csv", {"kind": "delimited"},
            {"load": {"name": "S1load", "unit": "%"}},
        )  # fmt: skip
        return replace(made, **changes)

    def test_a_recording_is_stored_before_its_first_byte(self, store: Store) -> None:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        recording = self.recording("live", journal="journals/x")
        store.start_recording("bracket", 1, recording)
        assert store.run("bracket", 1).run.state == "recording"
        assert store.recordings("bracket", 1) == [recording]
        with pytest.raises(ConflictError, match="run 1 is recording"):
            store.start_recording("bracket", 1, self.recording("live"))
        assert len(store.recordings("bracket", 1)) == 1

    def test_holes_are_stored_as_they_are_finished(self, store: Store) -> None:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        recording = self.recording("live")
        version = store.start_recording("bracket", 1, recording).version
        holes = holes_frame(5)
        store.add_holes("bracket", 1, recording.uuid, holes.iloc[:2], 3)
        assert store.run("bracket", 1).run.holes == 3, "one more is seen, but not settled"
        store.add_holes("bracket", 1, recording.uuid, holes.iloc[2:], 5)
        pd.testing.assert_frame_equal(store.holes("bracket", 1), holes)
        stored = store.run("bracket", 1)
        assert stored.run.holes == 5
        assert stored.version == version, "a hole is no edit that would refuse a person's"

    def test_finishing_replaces_what_was_stored_on_the_way(self, store: Store) -> None:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        recording = self.recording("live")
        store.start_recording("bracket", 1, recording)
        store.add_holes("bracket", 1, recording.uuid, holes_frame(3), 4)
        done = replace(recording, samples=900, trace="traces/x.parquet", trace_sha256="0" * 64)
        gaps = [(1.0, 2.0, "logger stopped"), (7.0, 7.0, "source clock stepped back")]
        stored = store.finish_recording(
            "bracket", 1, done, holes_frame(5, peak_pct=60.0), gaps, drilled
        )
        assert stored.run.state == "drilled"
        assert stored.run.load_fresh_pct == 41.0
        assert list(store.holes("bracket", 1)["peak_pct"]) == [60.0] * 5
        assert store.gaps("bracket", 1) == gaps
        (found,) = store.recordings("bracket", 1)
        assert found.samples == 900
        assert found.finished_utc is not None

    def test_a_recording_can_be_opened_again(self, store: Store) -> None:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        recording = self.recording("live")
        with pytest.raises(ConflictError, match="run 1 is planned"):
            store.resume_recording("bracket", 1, recording)
        store.start_recording("bracket", 1, recording)
        store.finish_recording("bracket", 1, recording, holes_frame(3), [], drilled)
        mended = replace(recording, mapping={"load": {"name": "torque", "unit": "ratio"}})
        assert store.resume_recording("bracket", 1, mended) == mended
        assert store.recordings("bracket", 1) == [mended]
        assert store.run("bracket", 1).run.state == "recording"
        assert len(store.holes("bracket", 1)) == 3

    def test_an_import_is_stored_whole_or_not_at_all(self, store: Store) -> None:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        before = store.run("bracket", 1)
        bad = holes_frame(5)
        bad.loc[3, "peak_pct"] = float("nan")
        with pytest.raises(InputError, match="finite"):
            store.import_recording("bracket", 1, self.recording(), bad, [], drilled)
        assert store.run("bracket", 1) == before
        assert store.recordings("bracket", 1) == []
        assert store.holes("bracket", 1).empty
        store.import_recording("bracket", 1, self.recording(), holes_frame(5), [], drilled)
        assert len(store.holes("bracket", 1)) == 5
        with pytest.raises(ConflictError, match="run 1 is drilled"):
            store.import_recording("bracket", 1, self.recording(), holes_frame(5), [], drilled)

    def test_holes_of_a_run_without_any_have_the_same_columns(self, store: Store) -> None:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        empty, full = store.holes("bracket", 1), holes_frame(1)
        assert list(empty.columns) == list(HOLE_COLUMNS)
        assert dict(empty.dtypes) == dict(full.dtypes)

    # Several at once

    def test_threads_planning_at_once_get_different_numbers(self, store: Store) -> None:
        store.add_trial(example_trial())
        errors: list[BaseException] = []

        def plan() -> None:
            try:
                for _ in range(5):
                    store.add_run("bracket", START)
                    store.runs("bracket")
            except BaseException as error:  # noqa: BLE001 - the test fails with it
                errors.append(error)

        threads = [threading.Thread(target=plan) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert errors == []
        assert [stored.run.number for stored in store.runs("bracket")] == list(range(1, 21))

    def test_two_stores_see_each_other_s_writes(self, store: Store, url: str) -> None:
        store.add_trial(example_trial())
        with Store(url) as other:
            other.add_run("bracket", START)
            store.add_run("bracket", START)
            assert len(other.runs("bracket")) == 2
            other.change_run("bracket", 1, lambda run: replace(run, note="from there"))
        assert store.run("bracket", 1).run.note == "from there"

    def test_the_whole_shop_is_read_again_where_it_changed(self, store: Store, url: str) -> None:
        for name in ("a", "b", "c"):
            store.add_trial(example_trial(name))
            store.add_run(name, START)
        before = store.trials_with_runs()
        assert [one is two for one, two in zip(before, store.trials_with_runs(), strict=True)] == (
            [True] * 3
        )
        with Store(url) as other:
            changes = (
                lambda: other.add_wear("a", 1, WearReading(0, vb_average_mm=0.1)),
                lambda: other.change_run("a", 1, lambda run: replace(run, note="from there")),
                lambda: other.add_run("a", START),
                lambda: other.withdraw_run("a", 2),
                lambda: other.change_trial("a", lambda one: replace(one, note="another")),
                lambda: other.add_trial(example_trial("d")),
            )
            for change in changes:
                change()
                now = store.trials_with_runs()
                with Store(url) as fresh:
                    assert now == other.trials_with_runs() == fresh.trials_with_runs()
                assert now != before
                same = {id(one) for one in before} & {id(one) for one in now}
                assert len(same) >= 2  # of trials that nobody touched
                before = now

    def test_a_recorded_run_comes_in_one_view(self, store: Store) -> None:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        assert store.recorded("bracket", 1).recording is None
        recording = self.recording("live")
        store.start_recording("bracket", 1, recording)
        gaps = [(1.0, 2.0, "logger stopped")]
        store.finish_recording("bracket", 1, recording, holes_frame(3), gaps, drilled)
        store.raise_alarm(recording.uuid, StoredAlarm(1, "over_limit", "Look.", 1.0))
        found = store.recorded("bracket", 1)
        assert found.trial == store.trial("bracket").trial
        assert found.run == store.run("bracket", 1).run
        assert found.recording == store.recordings("bracket", 1)[0]
        assert list(found.gaps) == store.gaps("bracket", 1) == gaps
        pd.testing.assert_frame_equal(found.holes, store.holes("bracket", 1))
        pd.testing.assert_frame_equal(
            store.recorded("bracket", 1, holes=False).holes, found.holes.head(0)
        )
        assert store.alarms_of(recording.uuid) == store.alarms("bracket", 1)

    # Schema

    def test_a_database_without_tables_is_not_opened_as_a_store(self, url: str) -> None:
        with pytest.raises(StoreError, match="holewise doctor --upgrade"):
            Store(url)

    def test_creating_twice_keeps_what_is_there(self, store: Store, url: str) -> None:
        store.add_trial(example_trial())
        with Store.create(url) as again:
            assert len(again.trials()) == 1

    def test_it_finds_itself_sound(self, store: Store) -> None:
        store.add_trial(example_trial())
        assert store.damage() == []

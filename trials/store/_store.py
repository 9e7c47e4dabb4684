"""The store: everything that is kept in tables, behind one face for every engine."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import TracebackType

import pandas as pd
from sqlalchemy.engine import URL

from trials.errors import ConflictError, StoreError
from trials.model import CuttingData, Origin, Run, Trial
from trials.store import _alarm_rows as alarm_rows
from trials.store import _answer_rows as answer_rows
from trials.store import _edit_rows as edit_rows
from trials.store import _merge_rows as merge_rows
from trials.store import _recording_rows as recording_rows
from trials.store import _run_rows as run_rows
from trials.store import _schema as schema
from trials.store import _taken_rows as taken_rows
from trials.store import _trial_rows as trial_rows
from trials.store._alarm_rows import StoredAlarm
from trials.store._answer_rows import StoredProposal, StoredRemark
from trials.store._edit_rows import StoredEdit
from trials.store._engine import Database, damage
from trials.store._file_rows import FileRows
from trials.store._folder import ShopFolder
from trials.store._history_rows import HistoryRows
from trials.store._lock import FileLock
from trials.store._merge_rows import Merge
from trials.store._operation_rows import OperationRows
from trials.store._packing import PackedTrial
from trials.store._photo_rows import PhotoRows
from trials.store._recorded_rows import RecordedRows
from trials.store._recording_rows import FinishedRecording, Recording
from trials.store._run_rows import StoredRun
from trials.store._taken_rows import RowsToPut, TakenIn
from trials.store._trial_rows import StoredTrial
from trials.store._wear_rows import WearRows
from trials.store._whole_shop import WholeShop

GapRow = tuple[float, float, str]


class Store(FileRows, HistoryRows, OperationRows, PhotoRows, RecordedRows, WearRows, WholeShop):
    """Trials, runs, wear readings, photos, recordings, holes and gaps.

    Every method is one transaction: it holds as a whole or changes nothing. It can be used by
    several threads, and by several processes at a time. Changes take the version that the caller
    read; None means "whatever it is now", for changes that depend on nothing read before.

    Raises (everywhere):
        StoreError: the database cannot be used as it stands.
        NotFoundError: no trial, run or recording of that name or number.
        ConflictError: it changed since it was read, or its state does not allow this.
    """

    def __init__(self, url: str | URL) -> None:
        """Open a store by SQLAlchemy URL; its schema must be there and up to date."""
        super().__init__()
        self._database = Database(url)
        try:
            schema.check_schema(self._database)
        except BaseException:
            self._database.close()
            raise

    @classmethod
    def create(cls, url: str | URL) -> Store:
        """Open a store, making its tables when the database is empty."""
        database = Database(url)
        try:
            schema.create_or_check(database)
        finally:
            database.close()
        return cls(url)

    @property
    def place(self) -> str:
        """The database's file, or its server's address without a password."""
        return self._database.place

    def close(self) -> None:
        """Give back every connection."""
        self._database.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def damage(self) -> list[str]:
        """What is wrong in the database file, one sentence each; empty when it is sound."""
        return damage(self._database)

    # Trials

    def add_trial(self, trial: Trial) -> StoredTrial:
        """Store a new trial; its name must be free."""
        with self._database.writing() as connection:
            return trial_rows.insert_trial(connection, trial)

    def trial(self, name: str) -> StoredTrial:
        """One trial by its name."""
        with self._database.reading() as connection:
            return trial_rows.select_trial(connection, name)

    def trials(self) -> list[StoredTrial]:
        """Every trial, the one changed last first."""
        with self._database.reading() as connection:
            return trial_rows.select_trials(connection)

    def change_trial(
        self, name: str, change: Callable[[Trial], Trial], *, version: int | None = None
    ) -> StoredTrial:
        """Replace a trial by what ``change`` makes of it, in one step."""
        with self._database.writing() as connection:
            return trial_rows.update_trial(connection, name, change, version)

    # Runs

    def add_run(
        self,
        trial: str,
        cutting_data: CuttingData,
        *,
        drill: str | None = None,
        origin: Origin = "person",
        note: str = "",
        only_if_none_planned: bool = False,
        batch: str = "",
        machine: str = "",
        regrinds_done: int = 0,
        test_holes: int | None = None,
    ) -> StoredRun:
        """Number and store a planned run; ``drill`` None takes the trial's first."""
        with self._database.writing() as connection:
            return run_rows.insert_run(
                connection, trial, cutting_data, drill=drill, origin=origin, note=note,
                only_if_none_planned=only_if_none_planned, batch=batch, machine=machine,
                regrinds_done=regrinds_done, test_holes=test_holes,
            )  # fmt: skip

    def run(self, trial: str, number: int | None = None) -> StoredRun:
        """One run; without a number the open one: recording, else drilled, else planned first."""
        with self._database.reading() as connection:
            return run_rows.select_run(connection, trial, number)

    def runs(self, trial: str) -> list[StoredRun]:
        """Every run of a trial in the order of their numbers."""
        with self._database.reading() as connection:
            return run_rows.select_runs(connection, trial)

    def change_run(
        self,
        trial: str,
        number: int | None,
        change: Callable[[Run], Run],
        *,
        version: int | None = None,
    ) -> StoredRun:
        """Replace a run, apart from its wear readings, by what ``change`` makes of it."""
        with self._database.writing() as connection:
            return run_rows.update_run(connection, trial, number, change, version)

    def withdraw_run(self, trial: str, number: int, *, version: int | None = None) -> StoredRun:
        """Delete the newest run while it is only a plan; what it was."""
        with self._database.writing() as connection:
            return run_rows.delete_plan(connection, trial, number, version)

    # Recordings

    def start_recording(self, trial: str, number: int | None, recording: Recording) -> StoredRun:
        """Store a recording before its first byte; its run is ``recording`` from now on."""
        with self._database.writing() as connection:
            stored = run_rows.update_run(connection, trial, number, _to_recording)
            recording_rows.insert_recording(connection, stored.uuid, recording)
            return stored

    def resume_recording(self, trial: str, number: int, recording: Recording) -> Recording:
        """Open a recording again, perhaps with other settings; its run is ``recording`` again."""

        def again(run: Run) -> Run:
            if run.state not in ("recording", "drilled"):
                raise ConflictError(f"run {run.number} is {run.state}", allowed="a recorded run")
            return replace(run, state="recording")

        opened = replace(recording, finished_utc=None)
        with self._database.writing() as connection:
            run_rows.update_run(connection, trial, number, again)
            recording_rows.update_recording(connection, opened)
        return opened

    def add_holes(
        self, trial: str, number: int, recording: uuid.UUID, holes: pd.DataFrame, drilled: int
    ) -> None:
        """Store holes as they are settled, and how many were ``drilled`` so far."""
        with self._database.writing() as connection:
            run = run_rows.select_run(connection, trial, number)
            recording_rows.insert_holes(connection, recording, holes)
            recording_rows.set_holes_drilled(connection, run.uuid, drilled)

    def finish_recording(
        self,
        trial: str,
        number: int,
        recording: Recording,
        holes: pd.DataFrame,
        gaps: Sequence[GapRow],
        change: Callable[[Run], Run],
    ) -> StoredRun:
        """Store all that a recording gave, in place of what was stored of it before.

        ``change`` sets the run's figures (holes, loads, cycle time, state).
        """
        with self._database.writing() as connection:
            recording_rows.finish_recording(connection, recording, holes, gaps)
            return run_rows.update_run(connection, trial, number, change)

    def import_recording(
        self,
        trial: str,
        number: int,
        recording: Recording,
        holes: pd.DataFrame,
        gaps: Sequence[GapRow],
        change: Callable[[Run], Run],
    ) -> StoredRun:
        """Store a recording that was read in one go, all of it or nothing."""
        with self._database.writing() as connection:
            stored = run_rows.update_run(connection, trial, number, _to_recording)
            recording_rows.insert_recording(connection, stored.uuid, recording)
            recording_rows.finish_recording(connection, recording, holes, gaps)
            return run_rows.update_run(connection, trial, number, change)

    def recordings(self, trial: str, number: int | None = None) -> list[Recording]:
        """The recordings of a run, the first one first."""
        with self._database.reading() as connection:
            run = run_rows.select_run(connection, trial, number)
            return recording_rows.select_recordings(connection, run.uuid)

    def finished_recordings(self, trial: str | None = None) -> list[FinishedRecording]:
        """The newest finished recording of every run, of one trial or of all."""
        if trial is not None:
            self.trial(trial)
        with self._database.reading() as connection:
            return recording_rows.select_finished(connection, trial)

    def holes(self, trial: str, number: int | None = None) -> pd.DataFrame:
        """The holes of a run; columns as `trials.holes.find_holes` gives them."""
        with self._database.reading() as connection:
            run = run_rows.select_run(connection, trial, number)
            found = recording_rows.select_recordings(connection, run.uuid)
            return recording_rows.select_holes(connection, [one.uuid for one in found])

    def gaps(self, trial: str, number: int | None = None) -> list[GapRow]:
        """Start in s, end in s and reason of every gap of a run."""
        with self._database.reading() as connection:
            run = run_rows.select_run(connection, trial, number)
            found = recording_rows.select_recordings(connection, run.uuid)
            return recording_rows.select_gaps(connection, [one.uuid for one in found])

    # Edits of holes

    def edits(self, trial: str, number: int | None = None) -> list[StoredEdit]:
        """What was mended in the holes of a run's newest recording, also what was taken back."""
        with self._database.reading() as connection:
            run = run_rows.select_run(connection, trial, number)
            found = recording_rows.select_recordings(connection, run.uuid)
            return edit_rows.select_edits(connection, [one.uuid for one in found[-1:]])

    def keep_edits(
        self,
        trial: str,
        number: int,
        recording: uuid.UUID,
        edits: Sequence[StoredEdit],
        change: Callable[[Run], Run],
        *,
        version: int | None = None,
    ) -> StoredRun:
        """Store the edits of a recording in place of those there were, and what the run shows."""
        with self._database.writing() as connection:
            stored = run_rows.update_run(connection, trial, number, change, version)
            edit_rows.replace_edits(connection, recording, edits)
            return stored

    # What goes out and comes in

    @contextmanager
    def packing(self, name: str) -> Iterator[PackedTrial]:
        """One unchanging view of a trial and all that belongs to it, as long as it is open."""
        with self._database.reading() as connection:
            yield PackedTrial(connection, name)

    def taken_in(self, trial: str | None = None) -> list[TakenIn]:
        """What was taken in for a trial, or for all, the first one first."""
        with self._database.reading() as connection:
            key = None if trial is None else trial_rows.select_trial(connection, trial).uuid
            return taken_rows.select_taken(connection, key)

    def put_trial(
        self,
        trial: Trial,
        key: uuid.UUID,
        created_utc: datetime | None,
        incoming: RowsToPut,
        taken: TakenIn,
    ) -> StoredTrial:
        """Store a trial from a package, with all that belongs to it."""
        with self._database.writing() as connection:
            return taken_rows.put_trial(connection, trial, key, created_utc, incoming, taken)

    def put_merge(self, trial: str, merge: Merge, incoming: RowsToPut, taken: TakenIn) -> None:
        """Add rows to a trial that is here, and change in it what was chosen."""
        with self._database.writing() as connection:
            merge_rows.put_merge(connection, trial, merge, incoming, taken)

    def take_out(self, trial: str, taken: TakenIn) -> list[str]:
        """Undo what was taken in, unless it was worked on; traces nothing needs any more."""
        with self._database.writing() as connection:
            if taken.made.get("trial"):
                return taken_rows.take_out_trial(connection, taken)
            return merge_rows.take_out_merge(connection, trial, taken)

    def remarks(self, trial: str) -> list[StoredRemark]:
        """Remarks on a trial that came with packages."""
        with self._database.reading() as connection:
            return answer_rows.select_remarks(connection, trial)

    def proposals(self, trial: str) -> list[StoredProposal]:
        """Cutting data for a trial that came with packages."""
        with self._database.reading() as connection:
            return answer_rows.select_proposals(connection, trial)

    def use_proposal(self, trial: str, number: int, note: str) -> StoredRun:
        """Plan the run that a proposal becomes."""
        with self._database.writing() as connection:
            return answer_rows.use_proposal(connection, trial, number, note)

    # Alarms

    def raise_alarm(self, recording: uuid.UUID, alarm: StoredAlarm) -> None:
        """Store an alarm as the logger raises it."""
        with self._database.writing() as connection:
            alarm_rows.insert_alarm(connection, recording, alarm)

    def end_alarm(self, recording: uuid.UUID, number: int) -> None:
        """Note that what raised an alarm has passed."""
        with self._database.writing() as connection:
            alarm_rows.end_alarm(connection, recording, number)

    def alarms(self, trial: str, number: int | None = None) -> list[StoredAlarm]:
        """The alarms of a run, in the order in which they were raised."""
        with self._database.reading() as connection:
            run = run_rows.select_run(connection, trial, number)
            found = recording_rows.select_recordings(connection, run.uuid)
            return alarm_rows.select_alarms(connection, [one.uuid for one in found])

    def alarms_of(self, recording: uuid.UUID) -> list[StoredAlarm]:
        """The alarms of one recording: what its logger asks a few times a second."""
        with self._database.reading() as connection:
            return alarm_rows.select_alarms(connection, [recording])

    def acknowledge_alarms(self, trial: str, number: int | None, who: str) -> int:
        """Mark every alarm of a run that stands as seen; how many there were."""
        with self._database.writing() as connection:
            run = run_rows.select_run(connection, trial, number)
            found = recording_rows.select_recordings(connection, run.uuid)
            return alarm_rows.acknowledge(connection, [one.uuid for one in found], who)


def _to_recording(run: Run) -> Run:
    if run.state != "planned":
        raise ConflictError(
            f"run {run.number} is {run.state}",
            allowed="a planned run",
            do="Plan a new run for a new drill edge, or resume the recording of this one.",
        )
    return replace(run, state="recording")


def open_store(folder: ShopFolder) -> Store:
    """Open the store of a shop folder, making it when the folder is new.

    Raises:
        StoreError: the database cannot be used as it stands; or it is gone although recordings
            lie beside it, which a new empty one would hide.
    """
    server = folder.address.exists()
    there = server or (folder.database.exists() and folder.database.stat().st_size > 0)
    if not there:
        _refuse_to_hide(folder)
    if not there or _is_empty(folder.url):
        with FileLock(folder.schema_lock, f"setting up {folder.path}", wait_s=30.0):
            return Store.create(folder.url)
    return Store(folder.url)


def _is_empty(url: str | URL) -> bool:
    """True while another process is still making the tables, or was killed before it had."""
    database = Database(url)
    try:
        return schema.revision(database) is None
    finally:
        database.close()


def _refuse_to_hide(folder: ShopFolder) -> None:
    left = [*folder.traces.glob("*.parquet"), *folder.journals.glob("*")]
    if left:
        raise StoreError(
            f"database {folder.database} is absent or empty",
            got=f"{len(left)} recordings beside it",
            do="Put back the newest file from the folder 'backups' as holewise.db, or choose "
            "another data folder with --data.",
        )


def upgrade_store(folder: ShopFolder) -> schema.Upgrade:
    """Bring the store of a shop folder up to date, after a verified copy of it.

    Raises:
        StoreError: a newer or foreign schema, a damaged database, or no room for the copy.
        ConflictError: another process is doing it.
    """
    with FileLock(folder.schema_lock, f"upgrading {folder.path}"):
        database = Database(folder.url)
        try:
            return schema.upgrade(database, folder.backups)
        finally:
            database.close()


def back_up_store(folder: ShopFolder) -> Path:
    """Copy the database into the folder ``backups`` and check the copy; also while it is used."""
    database = Database(folder.url)
    try:
        return schema.backup(database, folder.backups)
    finally:
        database.close()

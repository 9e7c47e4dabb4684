"""A recorded run with all that belongs to it, in one view instead of one for each part."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pandas as pd

from trials.model import Run, Trial
from trials.store import _edit_rows as edit_rows
from trials.store import _recording_rows as recording_rows
from trials.store import _run_rows as run_rows
from trials.store import _trial_rows as trial_rows
from trials.store._edit_rows import StoredEdit
from trials.store._engine import Database
from trials.store._recording_rows import Recording


@dataclass(frozen=True, slots=True)
class RecordedRun:
    """A run with its newest recording; None when nothing was recorded.

    Args:
        holes: as they were found, without edits; empty unless they were asked for.
        gaps: start, end and reason of each.
        edits: what people mended, also what they took back.
    """

    trial: Trial
    run: Run
    recording: Recording | None
    gaps: tuple[tuple[float, float, str], ...]
    holes: pd.DataFrame
    edits: tuple[StoredEdit, ...]


@dataclass(frozen=True, slots=True)
class FoundAnew:
    """What is to be stored of a recording whose holes were found again.

    Args:
        trial, run: whose; recording: as it is; holes, gaps: in place of those there were.
        change: sets the run's figures; edits: in place of those there were, None leaves them.
    """

    trial: str
    run: int
    recording: Recording
    holes: pd.DataFrame
    gaps: Sequence[tuple[float, float, str]]
    change: Callable[[Run], Run]
    edits: Sequence[StoredEdit] | None = None


class RecordedRows:
    """What the store answers about one recorded run; part of `trials.store.Store`."""

    _database: Database

    def recorded(self, trial: str, number: int, *, holes: bool = True) -> RecordedRun:
        """A run, its trial, its newest recording and what was found in it."""
        with self._database.reading() as connection:
            stored = trial_rows.select_trial(connection, trial)
            run = run_rows.select_run_of(connection, stored, number)
            every = recording_rows.select_recordings(connection, run.uuid)
            newest = [one.uuid for one in every[-1:]]
            return RecordedRun(
                stored.trial, run.run, every[-1] if every else None,
                tuple(recording_rows.select_gaps(connection, newest)),
                recording_rows.select_holes(connection, newest if holes else []),
                tuple(edit_rows.select_edits(connection, newest)),
            )  # fmt: skip

    def finish_again(self, some: Sequence[FoundAnew]) -> None:
        """Store what several recordings gave anew, all of it or nothing."""
        if not some:
            return
        with self._database.writing() as connection:
            for one in some:
                recording_rows.finish_recording(connection, one.recording, one.holes, one.gaps)
                run_rows.update_run(connection, one.trial, one.run, one.change)
                if one.edits is not None:
                    edit_rows.replace_edits(connection, one.recording.uuid, one.edits)

"""A recorded run with all that belongs to it, in one view instead of one for each part."""

from __future__ import annotations

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

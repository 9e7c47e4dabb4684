"""What every use case works on: the shop's folder and its store."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from trials.errors import NotFoundError
from trials.model import ExpectedHole, Run, Trial
from trials.store import (
    NamedFile,
    Recording,
    ShopFolder,
    Store,
    holder_of,
    local_file,
    named_photo,
    read_photo,
    read_trace,
)

if TYPE_CHECKING:
    from trials.store import FinishedRecording, TrialWithRuns
    from trials.workbench._alarm_board import AlarmBoard
    from trials.workbench._values import TrialSummary


@dataclass(frozen=True, slots=True)
class Shop:
    """One shop: a folder, the store in it, and the alarms of what this process records now.

    ``lines``: every trial in a line, by its key, with what it was made from.
    """

    folder: ShopFolder
    store: Store
    boards: dict[tuple[str, int], AlarmBoard] = field(default_factory=dict)
    lines: dict[uuid.UUID, tuple[TrialWithRuns, TrialSummary]] = field(default_factory=dict)

    def journal(self, recording: Recording) -> Path:
        """The folder of a recording's journal.

        Raises:
            NotFoundError: it has none, because it was imported.
        """
        if recording.journal is None:
            raise NotFoundError(
                f"journal of {recording.source}",
                do="It was imported from a file, or lies at the station that recorded it.",
            )
        return self.folder.inside(recording.journal)

    def recording(self, trial: str, number: int) -> Recording | None:
        """What was recorded for a run; None when nothing was."""
        found = self.store.recordings(trial, number)
        return found[-1] if found else None

    def holder(self, run: uuid.UUID) -> str | None:
        """Which process records this run now; None when none does."""
        holder = holder_of(self.folder.run_lock(run))
        return None if holder is None else str(holder)

    def trace(self, trial: str, number: int) -> pd.DataFrame:
        """The samples of a finished recording.

        Raises:
            NotFoundError: nothing was recorded, or the recording is not finished.
            StoreError: the file is absent or damaged.
        """
        recording = self.recording(trial, number)
        if recording is None or recording.trace is None:
            raise NotFoundError(
                f"trace of run {number} of {trial}",
                do="Nothing was recorded for it yet."
                if recording is None
                else "It is still being recorded; the live view shows it.",
            )
        return read_trace(self.trace_file(recording), recording.trace_sha256)

    def trace_file(self, recording: Recording | FinishedRecording) -> Path:
        """The trace of a finished recording on this computer; fetched when it is not here."""
        name = NamedFile(recording.trace or "", recording.trace_sha256 or "")
        return local_file(self.folder, name)

    def photo(self, sha256: str) -> bytes:
        """A picture, checked; fetched when it is not here."""
        return read_photo(local_file(self.folder, named_photo(sha256)), sha256)


def expected_hole(trial: Trial, run: Run) -> ExpectedHole:
    """What one hole of this run should look like in time."""
    drill = trial.drill(run.drill)
    return ExpectedHole(
        run.cutting_data, drill.diameter_mm, trial.hole.depth_mm, drill.point_angle_deg
    )


def expected_cut_s(trial: Trial, run: Run) -> float | None:
    """Cutting time of one hole by the cutting data, s."""
    from trials.mechanics import hole_time

    drill = trial.drill(run.drill)
    return hole_time(
        run.cutting_data, drill.diameter_mm, trial.hole.depth_mm,
        point_angle_deg=drill.point_angle_deg,
    ).cut_s  # fmt: skip

"""What a person says of a sheet of runs, and what becomes of it."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from trials.errors import InputError
from trials.model import Drill, End, Run, Substrate
from trials.sharing.sheet_cells import DayOrder, DecimalMark
from trials.sharing.sheet_columns import ColumnMatch
from trials.sharing.sheet_read import Sheet


@dataclass(frozen=True, slots=True)
class SheetChoices:
    """What a person says of a sheet, where it does not say it itself.

    Args:
        columns: field for the name or number of a column; ``-`` for none.
        decimal: decimal mark; None finds it.
        inch: columns without a unit are in inches, ft/min and in/rev; None takes metric ones unless
            that looks wrong.
        days: whether days or months come first; None finds it.
        end: how runs ended of which the sheet does not say it. ``stopped`` claims nothing: their
            life is only known to be longer.
        new_drills: drills that the trial does not have are added, made of this; None refuses their
            rows.
        material: this material of the sheet is the trial's.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    decimal: DecimalMark | None = None
    inch: bool | None = None
    days: DayOrder | None = None
    end: End = "stopped"
    new_drills: Substrate | None = None
    material: str | None = None


@dataclass(frozen=True, slots=True)
class SheetRun:
    """A run that a row becomes: the line it stands on, its key, the run, and its day."""

    line: int
    key: uuid.UUID
    run: Run
    day: datetime | None


@dataclass(frozen=True, slots=True)
class Refused:
    """A row that cannot be taken: its line, and for which column, with the reason."""

    line: int
    column: str
    why: InputError


@dataclass(frozen=True, slots=True)
class SheetRuns:
    """What a sheet becomes.

    Args:
        sheet: as it was read; columns: what each was taken for; decimal: its decimal mark.
        runs: of the rows that can be taken, in their order, numbered from 1.
        refused: rows that cannot.
        drills: drills that the trial does not have and the rows need.
        remarks: what was assumed of the whole sheet.
        digest: SHA-256 of the file.
        problem: why nothing of it can be taken as it is matched; None when it can.
    """

    sheet: Sheet
    columns: tuple[ColumnMatch, ...]
    decimal: DecimalMark
    runs: tuple[SheetRun, ...]
    refused: tuple[Refused, ...]
    drills: tuple[Drill, ...]
    remarks: tuple[str, ...]
    digest: str
    problem: InputError | None = None

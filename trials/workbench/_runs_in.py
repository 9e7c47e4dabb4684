"""Earlier runs out of a shop's own sheet: looked through first, stored when a person says so."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trials.errors import ConflictError, InputError, NotFoundError
from trials.store import PACKED_TABLES, Merge, PackedRow, RowsToPut, TableName, TakenIn, now_utc
from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trials.sharing import SheetChoices, SheetRun, SheetRuns


@dataclass(frozen=True, slots=True)
class RunsPreview:
    """What taking in a sheet of runs does, or did.

    Args:
        trial: where they go.
        found: what the sheet says: columns, runs, refused rows.
        new: the runs that are not here yet, numbered as they are here; here: how many are.
    """

    trial: str
    found: SheetRuns
    new: tuple[SheetRun, ...]
    here: int


def look(shop: Shop, path: Path, trial: str | None, choices: SheetChoices | None) -> RunsPreview:
    """See `trials.workbench.Workbench.preview_runs`."""
    from trials.sharing import SheetChoices, sheet_runs

    name = trial if trial is not None else _only_trial(shop)
    stored = shop.store.trial(name)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"sheet {path}: cannot be read ({error.strerror})",
            do="Check the name and that you may read it.",
        ) from None
    found = sheet_runs(data, path.name, stored.trial, stored.uuid, choices or SheetChoices())
    runs = shop.store.runs(name)
    here = {one.uuid for one in runs}
    last = max((one.run.number for one in runs), default=0)
    fresh = [one for one in found.runs if one.key not in here]
    new = tuple(
        replace(one, run=replace(one.run, number=number))
        for number, one in enumerate(fresh, last + 1)
    )
    return RunsPreview(name, found, new, len(found.runs) - len(new))


def take_in(
    shop: Shop, path: Path, trial: str | None, choices: SheetChoices | None, *, skip_refused: bool
) -> RunsPreview:
    """See `trials.workbench.Workbench.import_runs`."""
    shown = look(shop, path, trial, choices)
    found = shown.found
    if found.problem is not None:
        raise found.problem
    if found.refused and not skip_refused:
        raise InputError(
            f"{path.name}: {len(found.refused)} of {len(found.runs) + len(found.refused)} rows are "
            f"refused, the first in line {found.refused[0].line}: {found.refused[0].why}",
            do="Nothing was stored. Mend the sheet, or leave those rows out on purpose.",
        )
    if not found.runs:
        raise InputError(f"{path.name}: no row can be taken", do="Nothing was stored.")
    if not shown.new:
        return shown
    stored = shop.store.trial(shown.trial)
    needed = {one.run.drill for one in shown.new}
    drills = tuple(one for one in found.drills if one.name in needed)
    merge = Merge(replace(stored.trial, drills=(*stored.trial.drills, *drills)) if drills else None)
    taken = TakenIn("sheet", found.digest, stored.uuid, path.name)
    shop.store.put_merge(shown.trial, merge, RowsToPut(_Rows(shown.new), {}), taken)
    return shown


def _only_trial(shop: Shop) -> str:
    names = [one.trial.name for one in shop.store.trials()]
    if len(names) == 1:
        return names[0]
    if not names:
        raise NotFoundError(
            "no trial yet that the runs could belong to",
            do="Begin one for this hole first: holewise trial new, or Begin a trial on the "
            "dashboard; then take the sheet in.",
        )
    raise ConflictError(
        "trial that the runs belong to: not said, and there are several",
        allowed="one of " + ", ".join(names[:20]),
        do="Say which one with --trial.",
    )


class _Rows:
    """Runs as rows of the tables."""

    def __init__(self, runs: tuple[SheetRun, ...]) -> None:
        self._runs = runs

    def __call__(self, table: TableName) -> Iterable[PackedRow]:
        if table == "runs":
            return [self._run(one) for one in self._runs]
        if table == "wear":
            return [row for one in self._runs for row in self._wear(one)]
        return []

    def _run(self, one: SheetRun) -> PackedRow:
        run, day = one.run, one.day or now_utc()
        values: dict[str, Any] = {
            "uuid": one.key, "planned_utc": day, "ended_utc": day,
        }  # fmt: skip
        for column in PACKED_TABLES["runs"].columns:
            if column.name not in values:
                holder: Any = run.cutting_data if hasattr(run.cutting_data, column.name) else run
                values[column.name] = getattr(holder, column.name)
        return values

    def _wear(self, one: SheetRun) -> list[PackedRow]:
        return [
            {
                "run": one.run.number, "uuid": uuid.uuid5(one.key, f"wear {place}"),
                "position": place, "taken_utc": one.day or now_utc(),
                **{name: getattr(reading, name) for name in reading.__slots__},
            }
            for place, reading in enumerate(one.run.wear, 1)
        ]  # fmt: skip

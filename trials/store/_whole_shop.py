"""Every trial with its runs, read once and then only where something changed.

Pages that look over all trials ask for the whole shop each time; of a thousand trials one or two
changed since. Sums over versions and times, which the database works out in milliseconds, tell
whether anything did, and of which trial.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, Select, func, select

from trials.model import Run
from trials.store import _tables as tables
from trials.store._engine import Database
from trials.store._run_rows import select_runs_of_trials
from trials.store._trial_rows import StoredTrial, select_trials

TrialWithRuns = tuple[StoredTrial, list[Run]]
_FEW = 200  # trials that are asked for by key; of more all are read


class WholeShop:
    """What the store remembers of all trials; part of `trials.store.Store`."""

    _database: Database

    def __init__(self) -> None:
        self._whole_signature: tuple[Any, ...] | None = None
        self._whole: dict[uuid.UUID, tuple[tuple[Any, ...], TrialWithRuns]] = {}

    def trials_with_runs(self) -> list[TrialWithRuns]:
        """Every trial with its runs, read as one view, the one changed last first.

        What did not change is the same object as before; nobody may change the lists.
        """
        with self._database.reading() as connection:
            signature = (
                *connection.execute(select(*_of(tables.trial))).one(),
                *connection.execute(select(*_of(tables.run), func.sum(tables.run.c.holes))).one(),
            )
            known = self._whole
            if signature != self._whole_signature:
                known = _read(connection, known)
        # Other threads may do the same at this moment: either has the whole of it.
        self._whole, self._whole_signature = known, signature
        found = [of_trial for _, of_trial in known.values()]
        found.sort(key=lambda one: one[0].trial.name)
        found.sort(key=lambda one: one[0].changed_utc, reverse=True)
        return found


def _of(table: Any) -> tuple[Any, ...]:
    return func.count(), func.sum(table.c.version), func.max(table.c.changed_utc)


def _read(
    connection: Connection, known: dict[uuid.UUID, tuple[tuple[Any, ...], TrialWithRuns]]
) -> dict[uuid.UUID, tuple[tuple[Any, ...], TrialWithRuns]]:
    now = {row[0]: tuple(row[1:]) for row in connection.execute(_signatures())}
    changed = [key for key, of_it in now.items() if key not in known or known[key][0] != of_it]
    asked: Iterable[uuid.UUID] | None = changed if len(changed) <= _FEW else None
    trials = {one.uuid: one for one in select_trials(connection, asked)} if changed else {}
    runs = select_runs_of_trials(connection, asked) if changed else {}
    return {
        key: (of_it, (trials[key], runs.get(key, []))) if key in trials else known[key]
        for key, of_it in now.items()
    }


def _signatures() -> Select[Any]:
    trial, run = tables.trial, tables.run
    of_runs = (
        select(run.c.trial_uuid, *_of(run), func.sum(run.c.holes))
        .group_by(run.c.trial_uuid).subquery()
    )  # fmt: skip
    return select(
        trial.c.uuid, trial.c.version, trial.c.changed_utc, *list(of_runs.c)[1:]
    ).outerjoin(of_runs, of_runs.c.trial_uuid == trial.c.uuid)

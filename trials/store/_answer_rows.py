"""Remarks and proposals that came with a package, and the run that a proposal became."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, select, update

from trials.errors import ConflictError, NotFoundError
from trials.model import CuttingData
from trials.store import _tables as tables
from trials.store._run_rows import StoredRun, insert_run
from trials.store._trial_rows import select_trial

_CUTTING = tuple(one.name for one in fields(CuttingData))


@dataclass(frozen=True, slots=True)
class StoredRemark:
    """What somebody remarked: the number of the run it is about (None: of all), and its origin."""

    number: int
    run: int | None
    text: str
    made_by: str
    made_utc: datetime
    came_from: str


@dataclass(frozen=True, slots=True)
class StoredProposal:
    """Cutting data that somebody proposed.

    Args:
        number: counted from 1 within the trial.
        drill: its name here; cutting_data: what is proposed.
        why, made_by, made_utc: as the proposer wrote it; came_from: the file it came in.
        run: number of the run that it became; None while it has not.
    """

    uuid: uuid.UUID
    number: int
    drill: str
    cutting_data: CuttingData
    why: str
    made_by: str
    made_utc: datetime
    came_from: str
    run: int | None


def select_remarks(connection: Connection, trial: str) -> list[StoredRemark]:
    """Remarks on a trial in the order in which they came."""
    return [
        StoredRemark(row.position, row.run_number, row.text, row.made_by, row.made_utc,
                     row.came_from)
        for row in _rows(connection, trial, tables.remark)
    ]  # fmt: skip


def select_proposals(connection: Connection, trial: str) -> list[StoredProposal]:
    """Proposals for a trial in the order in which they came."""
    return [
        StoredProposal(
            row.uuid, row.position, row.drill,
            CuttingData(**{name: row._mapping[name] for name in _CUTTING}),
            row.why, row.made_by, row.made_utc, row.came_from, row.run_number,
        )
        for row in _rows(connection, trial, tables.proposal)
    ]  # fmt: skip


def _rows(connection: Connection, trial: str, table: Any) -> Any:
    stored = select_trial(connection, trial)
    return connection.execute(
        select(table, tables.run.c.number.label("run_number"))
        .outerjoin(tables.run, table.c.run_uuid == tables.run.c.uuid)
        .where(table.c.trial_uuid == stored.uuid)
        .order_by(table.c.position)
    ).all()


def use_proposal(connection: Connection, trial: str, number: int, note: str) -> StoredRun:
    """Plan the run that a proposal becomes.

    Raises:
        NotFoundError: no proposal of that number.
        ConflictError: it became a run already, or a run is planned or recording.
    """
    found = {one.number: one for one in select_proposals(connection, trial)}
    if number not in found:
        raise NotFoundError(
            f"proposal of trial {trial}", got=number,
            allowed=", ".join(map(str, found)) or None,
            do=None if found else "None came yet; they come with a package that was answered.",
        )  # fmt: skip
    proposal = found[number]
    if proposal.run is not None:
        raise ConflictError(f"proposal {number} of {trial} is run {proposal.run} already")
    run = insert_run(
        connection, trial, proposal.cutting_data, drill=proposal.drill, origin="proposal",
        note=note, only_if_none_planned=True,
    )  # fmt: skip
    connection.execute(
        update(tables.proposal)
        .where(tables.proposal.c.uuid == proposal.uuid)
        .values(run_uuid=run.uuid)
    )
    return run

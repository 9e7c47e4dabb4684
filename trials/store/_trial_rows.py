"""Trials and their drills, between model values and rows."""

from __future__ import annotations

import difflib
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, delete, insert, select, update

from trials.errors import ConflictError, NotFoundError
from trials.model import Trial
from trials.model.plain import from_plain, to_plain
from trials.store import _tables as tables
from trials.store._types import now_utc


@dataclass(frozen=True, slots=True)
class StoredTrial:
    """A trial as it is stored, with the version that a later change is checked against."""

    uuid: uuid.UUID
    version: int
    trial: Trial
    created_utc: datetime
    changed_utc: datetime


def insert_trial(connection: Connection, trial: Trial) -> StoredTrial:
    """Store a new trial.

    Raises:
        ConflictError: a trial of that name is stored already.
    """
    _refuse_name(connection, trial.name)
    key, now = uuid.uuid4(), now_utc()
    connection.execute(
        insert(tables.trial).values(
            uuid=key, version=1, created_utc=now, changed_utc=now, **trial_columns(trial)
        )
    )
    _insert_drills(connection, key, trial)
    return StoredTrial(key, 1, trial, now, now)


def select_trial(connection: Connection, name: str, *, to_change: bool = False) -> StoredTrial:
    """The trial of that name.

    Raises:
        NotFoundError: none; names the nearest ones.
    """
    query = select(tables.trial).where(tables.trial.c.name == name)
    row = connection.execute(query.with_for_update() if to_change else query).one_or_none()
    if row is None:
        names = list(connection.execute(select(tables.trial.c.name)).scalars())
        near = difflib.get_close_matches(name, names, n=3, cutoff=0.5)
        raise NotFoundError(
            "trial",
            got=name,
            allowed="one of " + ", ".join(near or sorted(names)[:10]) if names else None,
            do="See 'holewise trial list'." if names else "There is no trial yet; make one first.",
        )
    return _stored(row)


def select_trials(
    connection: Connection, keys: Iterable[uuid.UUID] | None = None
) -> list[StoredTrial]:
    """Every trial, or those of some keys, the one changed last first."""
    query = select(tables.trial).order_by(tables.trial.c.changed_utc.desc(), tables.trial.c.name)
    if keys is not None:
        query = query.where(tables.trial.c.uuid.in_(list(keys)))
    return [_stored(row) for row in connection.execute(query)]


def update_trial(
    connection: Connection, name: str, change: Callable[[Trial], Trial], version: int | None
) -> StoredTrial:
    """Replace a trial by what ``change`` makes of it.

    Raises:
        ConflictError: it is no longer at ``version``, or the new name is taken.
        NotFoundError: no trial of that name.
    """
    stored = select_trial(connection, name, to_change=True)
    check_version(f"trial {name}", stored.version, version)
    changed = change(stored.trial)
    if changed.name != name:
        _refuse_name(connection, changed.name)
    now = now_utc()
    connection.execute(
        update(tables.trial)
        .where(tables.trial.c.uuid == stored.uuid)
        .values(version=stored.version + 1, changed_utc=now, **trial_columns(changed))
    )
    connection.execute(delete(tables.drill).where(tables.drill.c.trial_uuid == stored.uuid))
    _insert_drills(connection, stored.uuid, changed)
    return StoredTrial(stored.uuid, stored.version + 1, changed, stored.created_utc, now)


def check_version(what: str, stored: int, expected: int | None) -> None:
    """Refuse a change to something that changed since it was read; None takes it as it is.

    Raises:
        ConflictError: the versions differ.
    """
    if expected is not None and stored != expected:
        raise ConflictError(
            f"{what} was changed by somebody else since you opened it",
            do="Nothing was stored. Open it again and repeat your change.",
        )


def _refuse_name(connection: Connection, name: str) -> None:
    taken = select(tables.trial.c.name).where(tables.trial.c.name == name)
    if connection.execute(taken).first() is not None:
        raise ConflictError(
            "name of the trial", got=name, allowed="a name that no other trial has",
            do="Choose another name; the stored trial was not touched.",
        )  # fmt: skip


def trial_columns(trial: Trial) -> dict[str, Any]:
    """What the table has of a trial apart from keys, version and times."""
    return {
        "name": trial.name,
        "machine": trial.machine.name,
        "material": trial.work.material,
        "iso_group": trial.work.group,
        "hardness_hb": trial.work.hardness_hb,
        "diameter_mm": trial.hole.diameter_mm,
        "depth_mm": trial.hole.depth_mm,
        "through": bool(trial.hole.through),
        "tolerance": trial.hole.tolerance,
        "load_limit_pct": trial.load_limit_pct,
        "wear_limit_mm": trial.wear_limit_mm,
        "holes_to_make": trial.holes_to_make,
        "currency": trial.economics.currency,
        "invented": bool(trial.invented),
        "plain": to_plain(trial),
    }


def _insert_drills(connection: Connection, trial_uuid: uuid.UUID, trial: Trial) -> None:
    connection.execute(insert(tables.drill), drill_rows(trial_uuid, trial))


def drill_rows(trial_uuid: uuid.UUID, trial: Trial) -> list[dict[str, Any]]:
    """The drills of a trial as rows."""
    return [
        {
            "trial_uuid": trial_uuid,
            "position": position,
            "name": drill.name,
            "maker": drill.maker,
            "substrate": drill.substrate,
            "coating": drill.coating,
            "diameter_mm": drill.diameter_mm,
            "price": drill.price,
            "regrinds": drill.regrinds,
            "regrind_cost": drill.regrind_cost,
        }
        for position, drill in enumerate(trial.drills, 1)
    ]


# Trials read lately, with what they were read from: a live page asks for one several times a look.
_read: dict[uuid.UUID, tuple[dict[str, Any], Trial]] = {}
_MOST_READ = 500


def _stored(row: Row[Any]) -> StoredTrial:
    plain, trial = _read.get(row.uuid, (None, None))
    if trial is None or plain != row.plain:
        trial = from_plain(Trial, row.plain, f"stored trial {row.name}")
        if len(_read) >= _MOST_READ:
            _read.clear()
        _read[row.uuid] = (row.plain, trial)
    return StoredTrial(row.uuid, row.version, trial, row.created_utc, row.changed_utc)

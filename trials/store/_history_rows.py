"""Rows for questions over all trials: only what is asked about leaves the database.

Trials are chosen by their columns, and of ended runs come the few values that lives and costs
need; no trial is made into a model value.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, func, select, true

from trials.model import LikeJobs, WearReading
from trials.store import _tables as tables
from trials.store._engine import Database

_WEAR = tuple(field.name for field in fields(WearReading))
_EDGE = (
    "uuid", "trial_uuid", "number", "drill", "speed_m_per_min", "feed_mm_per_rev", "peck_mode",
    "peck_depth_xd", "breakthrough_feed_factor", "breakthrough_mm", "end", "holes", "cycle_min",
    "batch", "machine", "regrinds_done", "ended_utc",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class JobRow:
    """A trial that was chosen: what its columns say, and the whole of it as plain values."""

    uuid: uuid.UUID
    plain: Mapping[str, Any]
    changed_utc: datetime


@dataclass(frozen=True, slots=True)
class JobCount:
    """How many trials and ended runs there are of one ISO group, material and diameter."""

    group: str
    material: str
    diameter_mm: float
    invented: bool
    trials: int
    runs: int


class HistoryRows:
    """What the store answers over all trials; part of `trials.store.Store`."""

    _database: Database

    def jobs(self, like: LikeJobs, *, ended: bool = True) -> list[JobRow]:
        """Trials that count, with ``ended`` those with an ended run, the one changed last first."""
        trial = tables.trial
        has_ended = (
            select(tables.run.c.uuid)
            .where(tables.run.c.trial_uuid == trial.c.uuid, tables.run.c.state == "ended")
            .exists()
        )
        query = (
            select(trial.c.uuid, trial.c.plain, trial.c.changed_utc)
            .where(_counts(like), has_ended if ended else true())
            .order_by(trial.c.changed_utc.desc(), trial.c.name)
        )
        with self._database.reading() as connection:
            return [JobRow(row.uuid, row.plain, row.changed_utc) for row in
                    connection.execute(query)]  # fmt: skip

    def edges(self, like: LikeJobs) -> list[Any]:
        """Ended runs with a hole, of the trials that count: rows with columns as of the run."""
        query = (
            select(*(tables.run.c[name] for name in _EDGE))
            .join(tables.trial, tables.trial.c.uuid == tables.run.c.trial_uuid)
            .where(_counts(like), tables.run.c.state == "ended", tables.run.c.holes > 0)
            .order_by(tables.run.c.ended_utc, tables.run.c.trial_uuid, tables.run.c.number)
        )
        with self._database.reading() as connection:
            return list(connection.execute(query))

    def wear_of_edges(self, like: LikeJobs) -> dict[uuid.UUID, tuple[WearReading, ...]]:
        """Readings, without those taken back, of the runs of `edges` that may show a worn edge."""
        wear, run, trial = tables.wear_reading, tables.run, tables.trial
        query = (
            select(wear.c.run_uuid, *(wear.c[name] for name in _WEAR))
            .join(run, run.c.uuid == wear.c.run_uuid)
            .join(trial, trial.c.uuid == run.c.trial_uuid)
            .where(_counts(like), run.c.state == "ended", run.c.holes > 0,
                   wear.c.removed_utc.is_(None))
            .order_by(wear.c.run_uuid, wear.c.hole, wear.c.position)
        )  # fmt: skip
        found: dict[uuid.UUID, list[WearReading]] = defaultdict(list)
        with self._database.reading() as connection:
            for row in connection.execute(query):
                found[row.run_uuid].append(WearReading(*row[1:]))
        return {key: tuple(readings) for key, readings in found.items()}

    def history_version(self) -> tuple[Any, ...]:
        """Numbers that are others as soon as any trial or run is; a reading changes its run."""
        with self._database.reading() as connection:
            return tuple(
                value
                for table in (tables.trial, tables.run)
                for value in connection.execute(
                    select(func.count(), func.max(table.c.changed_utc)).select_from(table)
                ).one()
            )

    def last_job(self, *, invented: bool) -> str | None:
        """Name of the trial in which a run was ended last; None when none was."""
        trial, run = tables.trial, tables.run
        query = (
            select(trial.c.name)
            .join(run, run.c.trial_uuid == trial.c.uuid)
            .where(trial.c.invented.is_(invented), run.c.state == "ended", run.c.holes > 0)
            .order_by(run.c.ended_utc.desc(), trial.c.name)
            .limit(1)
        )
        with self._database.reading() as connection:
            return connection.execute(query).scalar()

    def job_counts(self) -> list[JobCount]:
        """What there is to ask about, the most ended runs first."""
        trial, run = tables.trial, tables.run
        by = (trial.c.iso_group, trial.c.material, trial.c.diameter_mm, trial.c.invented)
        runs = func.count(run.c.uuid)
        query = (
            select(*by, func.count(trial.c.uuid.distinct()), runs)
            .join(run, run.c.trial_uuid == trial.c.uuid)
            .where(run.c.state == "ended", run.c.holes > 0)
            .group_by(*by)
            .order_by(runs.desc(), *by)
        )
        with self._database.reading() as connection:
            return [JobCount(*row) for row in connection.execute(query)]


def _counts(like: LikeJobs) -> ColumnElement[bool]:
    """Whether a trial counts, by its columns."""
    trial = tables.trial.c
    conditions: list[ColumnElement[bool]] = [trial.invented.is_(like.invented)]
    if like.group is not None:
        conditions.append(trial.iso_group == like.group)
    if like.material:
        conditions.append(func.lower(trial.material).contains(like.material.lower(),
                                                              autoescape=True))  # fmt: skip
    spans: Sequence[tuple[ColumnElement[Any], tuple[float, float] | None]] = (
        (trial.hardness_hb, like.hardness_hb), (trial.diameter_mm, like.diameter_mm),
        (trial.depth_mm / trial.diameter_mm, like.depth_xd),
    )  # fmt: skip
    for value, span in spans:
        if span is not None:
            conditions.append(value.between(span[0] * (1 - 1e-9), span[1] * (1 + 1e-9)))
    return and_(*conditions)

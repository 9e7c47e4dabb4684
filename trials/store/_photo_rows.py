"""Photos of runs, between model values and rows."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, insert, select, update

from trials.errors import NotFoundError
from trials.model import Photo
from trials.store import _tables as tables
from trials.store._engine import Database
from trials.store._photo_files import PlainPhoto
from trials.store._run_rows import select_run
from trials.store._types import now_utc


class PhotoRows:
    """What the store knows of photos; part of `trials.store.Store`."""

    _database: Database

    def add_photo(
        self, trial: str, number: int | None, hole: int, photo: PlainPhoto, *,
        mm_per_pixel: float | None = None, note: str = "", who: str = "",
    ) -> Photo:  # fmt: skip
        """Keep that a run has a photo; its file is written before."""
        with self._database.writing() as connection:
            run = select_run(connection, trial, number)
            kept = Photo(
                uuid.uuid4(), trial, run.run.number, hole, photo.sha256, photo.width_px,
                photo.height_px, mm_per_pixel, note, who, now_utc(),
            )  # fmt: skip
            connection.execute(
                insert(tables.photo).values(
                    uuid=kept.uuid, run_uuid=run.uuid, hole=hole, sha256=kept.sha256,
                    width_px=kept.width_px, height_px=kept.height_px, mm_per_pixel=mm_per_pixel,
                    note=note, who=who, added_utc=kept.added_utc,
                )
            )  # fmt: skip
            return kept

    def photos(self, trial: str, number: int | None = None, *, removed: bool = False
               ) -> list[Photo]:  # fmt: skip
        """Photos of a run, or of all runs of a trial, in the order of runs and holes.

        Args:
            trial: name of the trial.
            number: of the run; None takes all.
            removed: those that were taken out instead of those that stand.
        """
        out = tables.photo.c.removed_utc
        asked = [tables.trial.c.name == trial, out.is_not(None) if removed else out.is_(None)]
        if number is not None:
            asked.append(tables.run.c.number == number)
        with self._database.reading() as connection:
            return _select(connection, asked)

    def photo(self, key: uuid.UUID) -> Photo:
        """One photo by its key, also one that was taken out."""
        with self._database.reading() as connection:
            return _one(connection, key)

    def change_photo(self, key: uuid.UUID, **changes: Any) -> Photo:
        """Change columns of a photo: ``mm_per_pixel``, ``removed_utc``, ``removed_by``."""
        with self._database.writing() as connection:
            _one(connection, key)
            connection.execute(
                update(tables.photo).where(tables.photo.c.uuid == key).values(**changes)
            )
            return _one(connection, key)


def _one(connection: Connection, key: uuid.UUID) -> Photo:
    found = _select(connection, [tables.photo.c.uuid == key])
    if not found:
        raise NotFoundError("photo", got=str(key))
    return found[0]


def _select(connection: Connection, asked: Sequence[Any]) -> list[Photo]:
    photo, run, trial = tables.photo, tables.run, tables.trial
    rows = connection.execute(
        select(photo, run.c.number, trial.c.name)
        .join(run, photo.c.run_uuid == run.c.uuid)
        .join(trial, run.c.trial_uuid == trial.c.uuid)
        .where(*asked)
        .order_by(run.c.number, photo.c.hole, photo.c.added_utc, photo.c.uuid)
    )
    return [
        Photo(
            row.uuid, row.name, row.number, row.hole, row.sha256, row.width_px, row.height_px,
            row.mm_per_pixel, row.note, row.who, row.added_utc, row.removed_utc,
        )
        for row in rows
    ]  # fmt: skip

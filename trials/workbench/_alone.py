"""One process at a time records or mends a run."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from contextlib import contextmanager

from trials.model import Run
from trials.store import FileLock
from trials.workbench._shop import Shop


@contextmanager
def recording_alone(shop: Shop, trial_name: str, number: int | None) -> Iterator[Run]:
    """Hold the lock of a run; gives the run as it is once nobody else can record it.

    Raises:
        ConflictError: another process records it; says which.
    """
    stored = shop.store.run(trial_name, number)
    with run_alone(shop, stored.uuid, trial_name, stored.run.number):
        yield shop.store.run(trial_name, stored.run.number).run


def run_alone(shop: Shop, key: uuid.UUID, trial_name: str, number: int) -> FileLock:
    """The lock of a run whose key is known; to be held by a ``with``."""
    return FileLock(shop.folder.run_lock(key), f"recording run {number} of {trial_name}")

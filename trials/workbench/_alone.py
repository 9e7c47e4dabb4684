"""One process at a time records or mends a run."""

from __future__ import annotations

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
    what = f"recording run {stored.run.number} of {trial_name}"
    with FileLock(shop.folder.run_lock(stored.uuid), what):
        yield shop.store.run(trial_name, stored.run.number).run

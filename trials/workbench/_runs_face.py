"""Taking back what was entered wrong in a run: a reading, an end, a plan."""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import UUID

from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.model import CuttingData, Run, Trial
    from trials.store import StoredWear


class RunsFace:
    """Undoing entries; see `trials.workbench.Workbench`."""

    _shop: Shop

    def check_cutting_data(self, trial: Trial, data: CuttingData, drill: str | None = None) -> None:
        """Refuse cutting data that `Workbench.plan_run` would refuse; nothing is planned.

        Raises:
            InputError: names every limit of the machine that would be passed.
        """
        from trials.workbench import _runs

        _runs.check_machine(trial, trial.drill(drill), data)

    def wear(self, trial: str, run: int | None = None) -> list[StoredWear]:
        """Every wear reading of a run with its key, also those that were taken back."""
        return self._shop.store.wear(trial, run)

    def remove_wear(
        self, trial: str, run: int | None, key: UUID, *, who: str = "", version: int | None = None
    ) -> Run:
        """Take a wear reading back that was entered wrong; `restore_wear` puts it back."""
        return self._shop.store.remove_wear(trial, run, key, who=who, version=version).run

    def restore_wear(
        self, trial: str, run: int | None, key: UUID, *, version: int | None = None
    ) -> Run:
        """Put a wear reading back that was taken back."""
        return self._shop.store.restore_wear(trial, run, key, version=version).run

    def reopen_run(self, trial: str, run: int, *, version: int | None = None) -> Run:
        """Take back how a run ended, which was entered wrong: it is open again.

        With a recording it is drilled, with the holes that were counted; without one, planned.
        Readings and photos stay.

        Raises:
            ConflictError: it has not ended.
        """
        from trials.workbench import _runs

        return _runs.reopen_run(self._shop, trial, run, version)

    def withdraw_run(self, trial: str, run: int, *, version: int | None = None) -> Run:
        """Take back a planned run before anything was recorded or noted of it; its number is free.

        Raises:
            ConflictError: something belongs to it already, or it is not the newest.
        """
        return self._shop.store.withdraw_run(trial, run, version=version).run

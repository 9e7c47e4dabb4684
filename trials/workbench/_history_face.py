"""Questions over all trials: the part of the workbench that looks back."""

from __future__ import annotations

from trials.model import LikeJobs
from trials.store import JobCount
from trials.workbench import _history
from trials.workbench._history_values import History
from trials.workbench._shop import Shop


class HistoryFace:
    """Questions over all trials; see `trials.workbench.Workbench`."""

    _shop: Shop

    def history(self, like: LikeJobs | None = None) -> History:
        """Which drill did best, how life scatters, and how costs went, over the trials that count.

        Args:
            like: which trials count; None: every real one.
        """
        return _history.history(self._shop, like or LikeJobs())

    def like_jobs(self, trial: str) -> LikeJobs:
        """The question for jobs like that of a trial."""
        return LikeJobs.to(self._shop.store.trial(trial).trial)

    def last_job(self, *, invented: bool = False) -> str | None:
        """Name of the trial in which a run was ended last; None when none was."""
        return self._shop.store.last_job(invented=invented)

    def job_counts(self) -> list[JobCount]:
        """What there is to ask about: ended runs by ISO group, material and diameter."""
        return self._shop.store.job_counts()

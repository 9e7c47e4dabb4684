"""Questions over all trials: the part of the workbench that looks back."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from trials.model import LikeJobs
from trials.store import JobCount
from trials.workbench import _history
from trials.workbench._history_values import FindSettings, FoundAgain, History, OnAgain
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

    def find_all_again(
        self, *, trial: str | None = None, workers: int | None = None,
        scheduler: str | None = None, fresh: bool = False, settings: FindSettings | None = None,
        on_progress: OnAgain | None = None,
    ) -> FoundAgain:  # fmt: skip
        """Find the holes of all finished recordings again, with the program as it is now.

        Traces stay as they are. Where holes come out otherwise, what was there is kept in the
        folder ``former`` and edits of people are laid on what is found, as `rebuild` does.
        Called again after an interruption it goes on where it was.

        Args:
            trial: of one trial only.
            workers: processes of this computer; None: one for each core, 1: this one.
            scheduler: address of a Dask scheduler whose workers see the shop's folder under the
                same path; needs the extra ``cluster``.
            fresh: begin from the first recording, whatever an interrupted call has done.
            settings: find them otherwise than while they were recorded; None: the same way.
            on_progress: told how many are done, of how many, and which was the last.

        Raises:
            ConflictError: another process is doing it.
            InputError: no such scheduler, or Dask is not installed.
        """
        from trials.workbench import _again

        return _again.find_all_again(
            self._shop, trial=trial, workers=workers, scheduler=scheduler, fresh=fresh,
            settings=settings or FindSettings(), on_progress=on_progress,
        )  # fmt: skip

    def traces(self, like: LikeJobs | None = None, *, rpm: bool = False) -> Iterator[pd.DataFrame]:
        """Every trace of the trials that count, one frame for each run, as parts of one table.

        Columns trial, run, drill, time_s, load_pct, and with ``rpm`` also rpm and depth_mm (NaN
        where not recorded). Memory holds one run at a time; every file's checksum is verified.

        Args:
            like: which trials; None: every real one.
            rpm: with spindle speed and place.
        """
        from trials.workbench import _all_traces

        return _all_traces.traces(self._shop, like or LikeJobs(), rpm)

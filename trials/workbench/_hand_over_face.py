"""What production is given: the part of the workbench that hands a trial over."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trials.store import now_utc
from trials.workbench._search_face import SearchFace

if TYPE_CHECKING:
    from trials.sharing import HandOver


class HandOverFace(SearchFace):
    """Hand-over; see `trials.workbench.Workbench`."""

    def hand_over_record(
        self, trial: str, drill: str | None = None, *, prices: bool = True, by: str = ""
    ) -> HandOver:
        """What is handed over, as values: cutting data, interval, limits, and what is not known.

        Args:
            trial: name of the trial.
            drill: what production uses; None takes the trial's first.
            prices: False leaves every price, rate and cost out of what is made of it.
            by: who hands it over.
        """
        from trials.sharing import HandOver

        found = self._shop.store.trial(trial).trial
        runs = [stored.run for stored in self._shop.store.runs(trial)]
        used = found.drill(drill).name
        advice = self.recommend(trial, used)
        return HandOver(found, used, advice, runs, prices=prices, by=by.strip(), made_utc=now_utc())

    def hand_over(
        self, trial: str, drill: str | None = None, *, prices: bool = True, by: str = ""
    ) -> str:
        """The record for production and for the representative, as Markdown.

        Args:
            trial, drill, prices, by: see `hand_over_record`.
        """
        from trials.sharing import hand_over_text

        return hand_over_text(self.hand_over_record(trial, drill, prices=prices, by=by))

"""What to test next, what to produce with, and what the search goes by."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from trials.errors import ConflictError
from trials.model import Run, Trial
from trials.workbench import _runs, _search
from trials.workbench._kept import searched
from trials.workbench._search_values import LikeTrial, LikeTrials, NextTest
from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.figures import Convergence, ResponseMap, SearchSlices
    from trials.optimizer import Suggestion
    from trials.units import UnitSystem


class SearchFace:
    """Deciding; see `trials.workbench.Workbench`.

    ``drill`` in these methods is the name of a drill; None means the trial's first. ``alone`` true
    leaves earlier trials of like jobs out, false counts them, None does as the trial says.
    """

    _shop: Shop

    def suggest(
        self, trial: str, drill: str | None = None, *, alone: bool | None = None
    ) -> Suggestion:
        """The cutting data to test next, with what is expected of them and why.

        Rests on the ended runs of that drill, and less on runs of like jobs (`like_trials`);
        ``why`` also says what the drill's maker forbids and recommends, and names runs that count
        for less because something of them was not recorded.
        """
        return self._ask(trial, drill, "suggest", alone)

    def recommend(
        self, trial: str, drill: str | None = None, *, alone: bool | None = None
    ) -> Suggestion:
        """The cutting data to produce with now; fields as of `suggest`."""
        return self._ask(trial, drill, "recommend", alone)

    def use_suggestion(
        self, trial: str, drill: str | None = None, *, alone: bool | None = None
    ) -> Run:
        """Plan a run with the suggestion; refused while a run is planned or recording."""
        found = self._trial(trial)
        answer = self.suggest(trial, drill, alone=alone)
        return _runs.plan_run(
            self._shop, trial, answer.cutting_data, drill=found.drill(drill).name,
            origin="suggestion", note="", only_if_none_planned=True,
            test_holes=answer.test_holes or None,
        )  # fmt: skip

    def plan(
        self, trial: str, count: int, drill: str | None = None, *, alone: bool | None = None
    ) -> list[Suggestion]:
        """Several tests to drill before any of them is looked at, 1 to 8."""
        found, runs = self._trial(trial), self._runs(trial)
        return _search.plan(found, runs, drill, count, self._likes(found, drill, alone))

    def use_plan(
        self, trial: str, count: int, drill: str | None = None, *, alone: bool | None = None
    ) -> list[Run]:
        """Plan the runs of `plan`, in its order; refused while a run is planned or recording.

        Raises:
            ConflictError: a run is open, or one was planned by somebody else meanwhile.
            InputError: a test is beyond the machine; no run was planned.
        """
        found = self._trial(trial)
        name = found.drill(drill).name
        tests = self.plan(trial, count, drill, alone=alone)
        for test in tests:
            _runs.check_machine(found, found.drill(drill), test.cutting_data)
        waiting = [run for run in self._runs(trial) if run.state in ("planned", "recording")]
        if waiting:
            raise ConflictError(
                f"run {waiting[0].number} of {trial} is {waiting[0].state}",
                do="Drill it, or end it, before the next runs are planned.",
            )
        return [
            _runs.plan_run(
                self._shop, trial, test.cutting_data, drill=name, origin="suggestion", note="",
                only_if_none_planned=number == 0, test_holes=test.test_holes or None,
            )
            for number, test in enumerate(tests)
        ]  # fmt: skip

    def plan_card(
        self,
        trial: str,
        count: int,
        drill: str | None = None,
        *,
        alone: bool | None = None,
        system: UnitSystem = "metric",
    ) -> str:
        """`plan` as a sheet to print, one HTML page; no price is on it."""
        from trials.sharing import day_plan

        found = self._trial(trial)
        first = max((run.number for run in self._runs(trial)), default=0) + 1
        return day_plan(
            found, found.drill(drill).name, self.plan(trial, count, drill, alone=alone),
            first_number=first, system=system,
        )  # fmt: skip

    def next_test(self, trial: str, *, alone: bool | None = None) -> NextTest:
        """Which of the trial's drills to test next, with what, and what a test of each is worth."""
        found, runs = self._trial(trial), self._runs(trial)
        likes = {drill.name: self._likes(found, drill.name, alone) for drill in found.drills}
        rests_on = (found, tuple(runs), tuple(tuple(of_drill) for of_drill in likes.values()))
        return searched("next test", rests_on, lambda: _search.next_test(found, runs, likes))

    def like_trials(
        self, trial: str, drill: str | None = None, *, alone: bool | None = None
    ) -> LikeTrials:
        """Earlier trials of like jobs in this shop, which of them count, and what they change.

        Nothing of their prices is in it, and nothing of them is in a package or a hand-over.
        """
        found = self._trial(trial)
        every = self._every_like(found, drill)
        used = _search.in_use(found, every, alone)
        left_out = [one for one in every if one not in used]
        return _search.what_they_change(found, self._runs(trial), drill, used, left_out)

    def convergence(
        self, trial: str, drill: str | None = None, *, ahead: bool = True
    ) -> Convergence:
        """Cost of every run, the best so far, and what the next one is expected to cost.

        ``drill`` None shows the runs of all drills, and expects the next of the trial's first.
        Without ``ahead`` nothing is expected of the next one, which saves the search.
        """
        found = self._trial(trial)
        likes = self._likes(found, drill, None) if ahead else ()
        return _search.convergence(found, self._runs(trial), drill, likes, ahead=ahead)

    def response_map(self, trial: str, drill: str | None = None) -> ResponseMap:
        """Expected cost over speed and feed after the ended runs of a drill, with its runs."""
        found = self._trial(trial)
        return _search.response_map(
            found, self._runs(trial), drill, self._likes(found, drill, None)
        )

    def search_slices(self, trial: str, drill: str | None = None) -> SearchSlices:
        """Expected cost and worn load along speed and feed, through what is recommended."""
        found = self._trial(trial)
        return _search.slices(found, self._runs(trial), drill, self._likes(found, drill, None))

    def set_search(
        self,
        trial: str,
        *,
        p_safe: float | None = None,
        max_test_holes: int | None = None,
        alone: bool | None = None,
    ) -> Trial:
        """Change what the search of a trial goes by; what is None stays.

        Args:
            trial: name of the trial.
            p_safe: probability with which a worn drill must stay below the load limit.
            max_test_holes: longest test that work and time at hand allow, holes.
            alone: whether earlier trials of like jobs are left out.
        """
        given = {"p_safe": p_safe, "max_test_holes": max_test_holes, "alone": alone}
        changed = {name: value for name, value in given.items() if value is not None}
        return self._shop.store.change_trial(
            trial,
            lambda found: replace(found, **changed),  # type: ignore[arg-type]  # fields of a trial
        ).trial

    def _ask(
        self, trial: str, drill: str | None, question: _search.Question, alone: bool | None
    ) -> Suggestion:
        found, runs = self._trial(trial), self._runs(trial)
        return _search.ask(found, runs, drill, question, self._likes(found, drill, alone))

    def _likes(self, trial: Trial, drill: str | None, alone: bool | None) -> list[LikeTrial]:
        return _search.in_use(trial, self._every_like(trial, drill), alone)

    def _every_like(self, trial: Trial, drill: str | None) -> list[LikeTrial]:
        others = [(stored.trial, runs) for stored, runs in self._shop.store.trials_with_runs()]
        return _search.like_trials(trial, drill, others)

    def _trial(self, name: str) -> Trial:
        return self._shop.store.trial(name).trial

    def _runs(self, name: str) -> list[Run]:
        return [stored.run for stored in self._shop.store.runs(name)]

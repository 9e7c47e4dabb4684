"""What lives and holes cost: the part of the workbench that money is decided with."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from trials.model import Run, Trial
from trials.workbench import _choices, _costs, _drill_on, _lives
from trials.workbench._money_values import (
    DrillInterval,
    DrillLife,
    DrillOnAdvice,
    DrillsCompared,
    RunSizeAdvice,
    SecondWitness,
)
from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.economics import CostPerHole, CostRange, DrillCost, RegrindAdvice, RunMoney
    from trials.figures import (
        ComparisonFigure,
        CostBreakdown,
        LifeDistribution,
        RunSizeFigure,
        WearCurveFigure,
    )
    from trials.life import HolesToWear

    Told = Callable[[float], None]


class MoneyFace:
    """Lives, costs and choices; see `trials.workbench.Workbench`."""

    _shop: Shop

    def holes_to_wear(self, trial: str, run: int | None) -> HolesToWear:
        """Holes until the wear limit: observed, interpolated, projected or censored."""
        return _costs.holes_to_wear(_trial(self._shop, trial), _run(self._shop, trial, run))

    def wear_curve(self, trial: str, run: int | None) -> WearCurveFigure:
        """Wear readings of a run with the curve through them, its interval and the limit."""
        from trials.figures import wear_curve

        found = _trial(self._shop, trial)
        return wear_curve(
            _run(self._shop, trial, run), found.limits, self.holes_to_wear(trial, run)
        )

    def drill_on(
        self, trial: str, run: int | None, *, more_holes: int | None = None,
        looks: int | None = None, on_progress: Told | None = None,
    ) -> DrillOnAdvice:  # fmt: skip
        """Stop a run now and project its wear, or drill on: what that costs and what it teaches.

        Args:
            trial, run: a run that has not ended.
            more_holes, looks: what to weigh; None takes one, two and four looks more, as far
                apart as before.
            on_progress: told the share of the simulation that is done.
        """
        return _drill_on.drill_on(
            _trial(self._shop, trial), _runs(self._shop, trial), _run(self._shop, trial, run),
            more_holes=more_holes, looks=looks, on_progress=on_progress,
        )  # fmt: skip

    def second_witness(self, trial: str, run: int | None) -> SecondWitness:
        """What the spindle load says of the wear of a run, where it has tracked wear."""
        return _drill_on.second_witness(
            self._shop, _trial(self._shop, trial), _runs(self._shop, trial),
            _run(self._shop, trial, run),
        )  # fmt: skip

    def life(self, trial: str, drill: str | None = None, run: int | None = None) -> DrillLife:
        """How long edges of a drill last at one cutting data, with censoring; or verdicts.

        Args:
            trial: name of the trial.
            drill: name of the drill; None takes the trial's first.
            run: takes drill and cutting data of this run; None takes those tried most.
        """
        of_run = None if run is None else _run(self._shop, trial, run)
        return _lives.drill_life(_trial(self._shop, trial), _runs(self._shop, trial), drill, of_run)

    def life_distribution(
        self, trial: str, drill: str | None = None, run: int | None = None
    ) -> LifeDistribution:
        """`life` as a figure: share still cutting against holes, with stopped edges marked."""
        from trials.figures import life_distribution

        found = self.life(trial, drill, run)
        return life_distribution(found.drill, found.lives, found.choice, found.survival)

    def interval(
        self,
        trial: str,
        drill: str | None = None,
        run: int | None = None,
        *,
        planned_cost: float | None = None,
        failure_cost: float | None = None,
        risk: float | None = None,
        holes_per_part: int = 1,
        parts_per_shift: int | None = None,
    ) -> DrillInterval:
        """After how many holes production changes a drill, or why that cannot be said.

        Args:
            trial, drill, run: as of `life`.
            planned_cost: money for a planned change; None: edge and time of changing.
            failure_cost: money for a failure; None: see `trials.workbench._lives`.
            risk: no more than this share of drills may fail before the change.
            holes_per_part, parts_per_shift: to round to whole parts and shifts.
        """
        return _lives.change_interval(
            _trial(self._shop, trial), self.life(trial, drill, run), planned_cost=planned_cost,
            failure_cost=failure_cost, risk=risk, holes_per_part=holes_per_part,
            parts_per_shift=parts_per_shift,
        )  # fmt: skip

    def cost(self, trial: str, run: int | None) -> CostPerHole:
        """Cost per hole of a run with the prices of its drill, in parts that add up.

        Shared by the holes to wear, or by the holes drilled where those are not known: of a run
        that was stopped early, the most that a hole can have cost. Without a recording the cycle
        time is computed from the cutting data.
        """
        return _costs.cost(_trial(self._shop, trial), _run(self._shop, trial, run))

    def cost_range(
        self, trial: str, drill: str | None = None, run: int | None = None, *,
        on_progress: Told | None = None,
    ) -> CostRange:  # fmt: skip
        """Cost per hole of a drill with 90 % interval, by Monte Carlo; or a verdict.

        Args:
            trial: name of the trial.
            drill: name of the drill, at the cutting data where it did best; None: the first.
            run: takes drill and cutting data of this run instead.
            on_progress: told the share that is done.
        """
        of_run = None if run is None else _run(self._shop, trial, run)
        return _costs.cost_range(
            _trial(self._shop, trial), _runs(self._shop, trial), drill, of_run, on_progress
        )

    def cost_breakdown(self, trial: str) -> CostBreakdown:
        """The parts of each drill's cost as a figure."""
        from trials.figures import cost_breakdown

        found = _trial(self._shop, trial)
        runs = _runs(self._shop, trial)
        return cost_breakdown(
            [
                (drill.name, _costs.cost_range(found, runs, drill.name, None))
                for drill in found.drills
            ],
            found.economics.currency,
        )

    def trial_cost(self, trial: str) -> list[RunMoney]:
        """What each run of the trial has cost by itself, in parts that add up."""
        return _costs.money_of_runs(_trial(self._shop, trial), _runs(self._shop, trial))

    def compare(self, trial: str) -> list[DrillCost]:
        """Drills of a trial on cost per hole, the cheapest first, with how sure that is."""
        return _costs.compare(_trial(self._shop, trial), _runs(self._shop, trial))

    def comparison(self, trial: str, *, on_progress: Told | None = None) -> DrillsCompared:
        """`compare` with each difference: how sure, what more runs would tell, when to stop."""
        return _costs.comparison(_trial(self._shop, trial), _runs(self._shop, trial), on_progress)

    def comparison_figure(self, trial: str) -> ComparisonFigure:
        """`comparison` as a figure."""
        from trials.figures import comparison_figure

        return comparison_figure(self.comparison(trial).found)

    def run_size(
        self, trial: str, *, holes: int | None = None, count_tests: bool = True,
        on_progress: Told | None = None,
    ) -> RunSizeAdvice:  # fmt: skip
        """Which drill for how many holes, where that changes, and whether dialling in paid.

        Args:
            trial: name of the trial.
            holes: size of the run; None takes the trial's, which may be "keeps coming back".
            count_tests: whether what the tests have cost is inside.
            on_progress: told the share that is done.
        """
        found = _trial(self._shop, trial)
        return _choices.run_size(
            found,
            _runs(self._shop, trial),
            holes=holes or found.holes_to_make,
            count_tests=count_tests,
            on_progress=on_progress,
        )

    def run_size_figure(self, trial: str, *, holes: int | None = None) -> RunSizeFigure | None:
        """`run_size` as a figure; None while no drill has a cost."""
        from trials.figures import run_size_figure

        found = self.run_size(trial, holes=holes).sizes
        return None if found is None else run_size_figure(found)

    def regrind_advice(self, trial: str, run: int | None) -> RegrindAdvice:
        """Regrind, retire or keep drilling with the edge of a run, by rule and by cost."""
        return _choices.regrind_advice(
            _trial(self._shop, trial), _runs(self._shop, trial), _run(self._shop, trial, run)
        )


def _trial(shop: Shop, name: str) -> Trial:
    return shop.store.trial(name).trial


def _run(shop: Shop, trial: str, number: int | None) -> Run:
    return shop.store.run(trial, number).run


def _runs(shop: Shop, trial: str) -> list[Run]:
    return [stored.run for stored in shop.store.runs(trial)]

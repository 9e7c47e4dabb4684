"""Which drill, with which first cutting data, and how to test it: before the first chip."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trials import mechanics, units
from trials.errors import ConflictError, InputError
from trials.mechanics import Catalogue, RoughLife, Screening, Start
from trials.model import Drill, DrillStart, Overrule, Trial
from trials.workbench._choose_values import BeforeTest, Beginning, Candidate, Choice
from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.figures import GridFigure, RunSizeFigure
    from trials.workbench._before_test import Rough

CATALOGUE_FILE = "catalogue.toml"


class ChooseFace:
    """Choosing, starting and planning; see `trials.workbench.Workbench`.

    ``trial`` in these methods is the name of a stored trial, or a trial that is not stored.
    """

    _shop: Shop

    def catalogue(self) -> Catalogue:
        """The shipped catalogue with ``catalogue.toml`` of the data folder over it.

        Raises:
            InputError: that file names something that is not known, or a value that cannot be.
        """
        return mechanics.read_catalogue(self._shop.folder.path / CATALOGUE_FILE)

    def draft(
        self, plain: dict[str, Any] | Path, where: str = "trial", *, any_start: bool = False
    ) -> Trial:
        """A trial from a file or from plain values, with start and bounds; nothing is stored.

        What a person leaves out of start and bounds comes from the catalogue, for each drill that
        can begin. With ``any_start`` also when the first one cannot: to be asked about, not stored.
        """
        from trials.sharing import read_trial, trial_from_plain

        if isinstance(plain, Path):
            return read_trial(plain, self.catalogue(), any_start=any_start)
        return trial_from_plain(plain, where, self.catalogue(), any_start=any_start)

    def choose(self, trial: str | Trial) -> Choice:
        """Every drill with its verdicts, rough cost and what would make it fit; best first."""
        from trials.workbench._before_test import before_test

        found, catalogue = self._asked(trial), self.catalogue()
        candidates, rough = [], []
        for screening in mechanics.screen(found, catalogue):
            drill = screening.drill
            start = screening.start
            life = None if start is None else self._life(found, drill, start, catalogue)
            ways = mechanics.ways_out(found, drill, catalogue) if screening.against else []
            candidates.append(Candidate(screening, life, tuple(ways)))
            one = self._rough(found, screening, catalogue)
            if one is not None and not screening.against:
                rough.append(one)
        if not rough:
            return Choice(found, tuple(candidates), None, "No drill fits as it is, so none has a "
                          "cost.")  # fmt: skip
        if all(_costs_nothing(found, one.drill) for one in rough):
            return Choice(found, tuple(candidates), None, "Without prices and a machine rate "
                          "there are no costs to compare.")  # fmt: skip
        return Choice(found, tuple(candidates), before_test(found, rough, catalogue))

    def before_test_figure(self, before: BeforeTest) -> RunSizeFigure:
        """Cost against the size of the run, before any test, as a figure."""
        from trials.figures import run_size_figure

        return run_size_figure(before.sizes)

    def overrule(self, trial: str, overrule: Overrule) -> Trial:
        """Keep in the record that a person overrules a rule for a drill, and why.

        The same rule overruled again keeps the newer reason.

        Raises:
            InputError: no such rule, or one that is the machine's limit.
        """
        mechanics.check_overrule(overrule)

        def change(found: Trial) -> Trial:
            kept = _others(found, overrule.drill, overrule.rule)
            return replace(found, overruled=(*kept, replace(overrule,
                           drill=found.drill(overrule.drill).name)))  # fmt: skip

        return self._shop.store.change_trial(trial, change).trial

    @staticmethod
    def check_overrule(overrule: Overrule) -> None:
        """Refuse to overrule what is no rule, or what the machine cannot do.

        Raises:
            InputError: says which rules there are.
        """
        mechanics.check_overrule(overrule)

    def hold_again(self, trial: str, drill: str, rule: str) -> Trial:
        """Take an overruling back."""

        def change(found: Trial) -> Trial:
            kept = _others(found, drill, rule)
            if len(kept) == len(found.overruled):
                raise InputError(
                    f"overruled rules of {drill}", got=rule,
                    allowed=", ".join(o.rule for o in found.overruled if o.drill == drill)
                    or "none is overruled",
                )  # fmt: skip
            return replace(found, overruled=kept)

        return self._shop.store.change_trial(trial, change).trial

    def begin(
        self,
        trial: str | Trial,
        drill: str | None = None,
        *,
        holes_at_hand: int | None = None,
        plate_mm: tuple[float, float] | None = None,
        thickness_mm: float | None = None,
        plates: int = 1,
        edge_mm: float | None = None,
        wall_mm: float | None = None,
        clamp_mm: float = 0.0,
    ) -> Beginning:
        """First cutting data of a drill with reasons, the plan of its test, and its hole grid.

        Args:
            trial: see the class.
            drill: name of the drill; None takes the first one that fits.
            holes_at_hand: test holes that the work material allows; None: those on the plates.
            plate_mm, thickness_mm, plates, edge_mm, wall_mm, clamp_mm: test plates; see
                `trials.mechanics.hole_grid`.

        Raises:
            NoStartError: no cutting data stay within the limits; says what would help.
        """
        found, catalogue = self._asked(trial), self.catalogue()
        screening = self._screened(found, drill, catalogue)
        chosen = screening.drill
        start = screening.start or mechanics.first_cutting_data(
            chosen, found.work, found.hole, found.machine, load_limit_pct=found.load_limit_pct,
            catalogue=catalogue,
        )  # fmt: skip
        grid = None
        if plate_mm is not None:
            grid = mechanics.hole_grid(
                chosen, found.hole, length_mm=plate_mm[0], width_mm=plate_mm[1],
                thickness_mm=thickness_mm, plates=plates, edge_mm=edge_mm, wall_mm=wall_mm,
                clamp_mm=clamp_mm, most=holes_at_hand, catalogue=catalogue,
            )  # fmt: skip
            holes_at_hand = len(grid.holes)
        life = self._life(found, chosen, start, catalogue)
        plan = mechanics.plan_test(found, start, life, holes_at_hand, catalogue)
        return Beginning(found, screening, start, plan, grid)

    def use_start(self, trial: str, drill: str | None = None) -> Trial:
        """Make the first cutting data and bounds of the catalogue or maker those of the trial.

        Raises:
            ConflictError: the drill has runs already, which were compared within its bounds.
        """
        beginning = self.begin(trial, drill)
        name = beginning.screening.drill.name
        if any(stored.run.drill == name for stored in self._shop.store.runs(trial)):
            raise ConflictError(
                f"start of {name} in {trial}: it has runs already",
                do="Their search goes on within its bounds. Begin a new trial for other ones.",
            )

        def change(found: Trial) -> Trial:
            start, bounds = beginning.start.cutting_data, beginning.start.bounds
            if found.drills[0].name == name:
                return replace(found, start=start, bounds=bounds)
            others = tuple(one for one in found.drill_starts if one.drill != name)
            return replace(found, drill_starts=(*others, DrillStart(name, start, bounds)))

        return self._shop.store.change_trial(trial, change).trial

    def card(
        self, beginning: Beginning, system: units.UnitSystem = "metric", *, sheets: bool = True
    ) -> str:
        """The printable card for the machine as one HTML page that needs nothing from outside.

        Args:
            beginning: what `begin` gave.
            system: metric or inch first; the other one stands beside it.
            sheets: with the hole grid as a further sheet.
        """
        from trials.sharing import machine_card

        return machine_card(beginning, system, sheets=sheets)

    def grid_csv(self, beginning: Beginning, system: units.UnitSystem = "metric") -> str:
        """Positions of the test holes as CSV.

        Raises:
            InputError: there is no grid.
        """
        if beginning.grid is None:
            raise InputError("hole grid: no plate was given", do="Give the size of the test plate.")
        return mechanics.grid_csv(beginning.grid, system)

    def grid_figure(self, beginning: Beginning) -> GridFigure | None:
        """The hole grid as a figure; None without a plate."""
        from trials.figures import grid_figure

        return None if beginning.grid is None else grid_figure(beginning.grid, beginning.plan.runs)

    def _asked(self, trial: str | Trial) -> Trial:
        return trial if isinstance(trial, Trial) else self._shop.store.trial(trial).trial

    @staticmethod
    def _screened(found: Trial, drill: str | None, catalogue: Catalogue) -> Screening:
        if drill is not None:
            return mechanics.screen_drill(found, found.drill(drill), catalogue)
        return mechanics.screen(found, catalogue)[0]

    def _life(
        self, found: Trial, drill: Drill, start: Start, catalogue: Catalogue
    ) -> RoughLife | None:
        """What a person expects; else what like trials of this shop showed; else the catalogue."""
        if drill.expected_holes is None:
            from trials.workbench._own_lives import own_life

            own = own_life(self._shop, found, drill, start.cutting_data)
            if own is not None:
                return own
        return mechanics.rough_life(drill, found.work, found.hole, start, catalogue)

    def _rough(self, found: Trial, screening: Screening, catalogue: Catalogue) -> Rough | None:
        from trials.workbench._before_test import Rough

        if screening.start is None:
            return None
        drill = screening.drill
        life = self._life(found, drill, screening.start, catalogue)
        if life is None:
            return None
        plan = mechanics.plan_test(found, screening.start, life, None, catalogue)
        return Rough(drill.name, screening.start, life, plan)


def _others(found: Trial, drill: str, rule: str) -> tuple[Overrule, ...]:
    return tuple(one for one in found.overruled if (one.drill, one.rule) != (drill, rule))


def _costs_nothing(trial: Trial, drill: str) -> bool:
    money = trial.economics_of(drill)
    return money.machine_rate_per_min + money.drill_price + money.regrind_cost <= 0

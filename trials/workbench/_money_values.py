"""What the workbench answers when it is asked for lives, money, and which drill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trials.model import CuttingData, End

if TYPE_CHECKING:  # scipy and plotly take their time
    from trials.economics import Comparison, DiallingIn, DrillOn, NextStep, RunSize
    from trials.life import (
        ChangeInterval,
        HolesToWear,
        IncidenceStep,
        Life,
        LifeFit,
        LoadWitness,
        LookAhead,
        ModelChoice,
        RoundedInterval,
        SurvivalStep,
        ToolLifeEquation,
    )


@dataclass(frozen=True, slots=True)
class DrillsCompared:
    """Drills on cost per hole, and for each pair whether to go on comparing.

    Args:
        found: drills and differences.
        steps: one for each difference, in the same order.
    """

    found: Comparison
    steps: tuple[NextStep, ...]


@dataclass(frozen=True, slots=True)
class DrillLife:
    """How long edges of a drill last at one cutting data.

    Args:
        drill: its name; cutting_data: which; None when no run has ended.
        lives: one for each ended run there; runs: their numbers.
        choice: both models, the better first, or a verdict; None without lives.
        modes: the life that each way to end alone would give, each with its own verdict.
        survival: share of edges still cutting (Kaplan and Meier); empty when lives are known only
            to lie between looks.
        incidence: share of edges that each way has ended, and by when; edges whose end lies
            between two looks count where it was found.
        equation: holes against speed and feed over all of this drill's runs, or its verdict.
        mixed_regrinds: whether new and reground edges are mixed in these lives.
    """

    drill: str
    cutting_data: CuttingData | None
    lives: tuple[Life, ...]
    runs: tuple[int, ...]
    choice: ModelChoice | None
    modes: dict[End, LifeFit]
    survival: tuple[SurvivalStep, ...]
    equation: ToolLifeEquation
    incidence: dict[End, tuple[IncidenceStep, ...]]
    mixed_regrinds: bool = False

    @property
    def ends_apart(self) -> str:
        """What share each way of ending has taken, where there are several; empty otherwise."""
        if len(self.incidence) < 2:
            return ""
        shares = ", ".join(
            f"{mode.replace('_', ' ')} {100 * steps[-1].share:.0f} %"
            for mode, steps in self.incidence.items()
        )
        last = max(steps[-1].holes for steps in self.incidence.values())
        return (
            f"All ways at work together, by hole {last:.0f} edges have ended so: {shares}. Each as "
            "if alone rests on the ways not knowing of each other, which lives cannot show."
        )


@dataclass(frozen=True, slots=True)
class DrillInterval:
    """When production changes a drill.

    Args:
        life: what it rests on.
        planned_cost, failure_cost: money for a planned change and for a failure.
        interval: the answer, or its verdict.
        rounded: to parts and shifts; None without an interval, or where it is shorter than a part.
        whole_parts: to parts alone, where shifts were asked for too; None otherwise.
        currency: of the money.
    """

    life: DrillLife
    planned_cost: float
    failure_cost: float
    interval: ChangeInterval | None
    rounded: RoundedInterval | None
    currency: str
    whole_parts: RoundedInterval | None = None


@dataclass(frozen=True, slots=True)
class RunSizeAdvice:
    """Which drill for how many holes.

    Args:
        sizes: cost of the job against its size.
        dialling_in: for each drill with a first and a better cutting data, whether that paid.
        without: drills that have no cost yet, with the reason.
        tests_counted: whether what the tests have cost is inside.
    """

    sizes: RunSize | None
    dialling_in: tuple[DiallingIn, ...]
    without: tuple[str, ...]
    tests_counted: bool


@dataclass(frozen=True, slots=True)
class MoreHoles:
    """So many holes more of a run: what they would teach, and what that costs and is worth."""

    look: LookAhead
    money: DrillOn


@dataclass(frozen=True, slots=True)
class DrillOnAdvice:
    """Whether to stop a run now and project its wear, or to drill on.

    Args:
        run: its number; holes: drilled so far.
        choices: so many holes more, with so many looks, the fewest first; empty with a verdict.
        best: the one of them that is worth most beyond its price; None where none pays, or where
            the worth of knowing more is not known.
        verdict: why nothing can be weighed; empty when there are choices.
        why: one or two sentences.
        currency: of the money.
    """

    run: int
    holes: int
    choices: tuple[MoreHoles, ...]
    best: MoreHoles | None
    verdict: str
    why: str
    currency: str


@dataclass(frozen=True, slots=True)
class SecondWitness:
    """What the spindle load says of the wear of a run, beside its readings.

    Args:
        load: whether load tracks wear at these cutting data, and how.
        together: holes to wear by readings and load; None unless load tracks wear, goes beyond
            the last reading, and there is a projection to narrow.
        why: one or two sentences.
    """

    load: LoadWitness
    together: HolesToWear | None
    why: str

"""What the workbench answers when it is asked for lives, money, and which drill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trials.model import CuttingData, End

if TYPE_CHECKING:  # scipy and plotly take their time
    from trials.economics import Comparison, DiallingIn, NextStep, RunSize
    from trials.life import (
        ChangeInterval,
        Life,
        LifeFit,
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
    mixed_regrinds: bool = False


@dataclass(frozen=True, slots=True)
class DrillInterval:
    """When production changes a drill.

    Args:
        life: what it rests on.
        planned_cost, failure_cost: money for a planned change and for a failure.
        interval: the answer, or its verdict.
        rounded: to parts and shifts; None without an interval.
        currency: of the money.
    """

    life: DrillLife
    planned_cost: float
    failure_cost: float
    interval: ChangeInterval | None
    rounded: RoundedInterval | None
    currency: str


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

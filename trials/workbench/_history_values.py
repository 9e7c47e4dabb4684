"""What the workbench answers when it is asked about all trials."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trials.errors import require
from trials.model import LikeJobs

if TYPE_CHECKING:  # scipy takes its time
    from trials.life import SharedScatter

Span = tuple[float, float, float]  # low, middle, high


@dataclass(frozen=True, slots=True)
class DrillRecord:
    """What one drill has shown over the trials that count, where it did best in each of them.

    Args:
        drill: its name; trials, edges, ended: what it rests on; ``ended`` came to their end.
        life: holes of the reference depth that the middle edge lasts in a middle trial, with 90 %
            range; None with a verdict.
        nine_in_ten: holes that nine edges in ten last, with range; None with a verdict.
        cost: money a hole with 90 % range; None without.
        p_dearer: how sure it is that it costs more than the cheapest; None for the cheapest, and
            for those that were not compared.
        cutting_data: where it did best in the newest of the trials, in words; empty when nowhere.
        verdict: empty, or why there is no life.
    """

    drill: str
    trials: int
    edges: int
    ended: int
    life: Span | None = None
    nine_in_ten: Span | None = None
    cost: Span | None = None
    p_dearer: float | None = None
    cutting_data: str = ""
    verdict: str = ""


@dataclass(frozen=True, slots=True)
class DrillsOverTrials:
    """Which drill did best.

    Args:
        drills: the cheapest first; then those without a cost.
        depth_mm: depth of the hole that lives and costs are for.
        currency: of the costs; others: edges that are paid in other currencies, by currency.
        left_out: drills beyond those that were worked out.
        said: one sentence or more.
    """

    drills: tuple[DrillRecord, ...]
    depth_mm: float
    currency: str
    others: tuple[tuple[str, int], ...]
    left_out: int
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LifeScatter:
    """How life scatters from edge to edge, and by batch, machine and trial.

    Args:
        edge: standard deviation of log life between edges of a kind, with 90 % range; None when
            too few edges came to their end.
        shared: of trials, batches and machines, each with numbers or a verdict.
        effects: for each of them its names with the factor on life, shortest life first.
        exponents: of speed and feed in holes to wear, with 90 % range; None without.
        said: one sentence or more.
    """

    edge: Span | None
    shared: tuple[SharedScatter, ...]
    effects: tuple[tuple[str, tuple[tuple[str, float], ...]], ...]
    exponents: tuple[Span, Span] | None
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Quarter:
    """Runs that ended in one quarter of a year.

    Args:
        year, quarter: which; edges: that came to their end in it; trials: of so many trials.
        cost: money a hole, low, middle, high (90 %); low and high None below three edges.
    """

    year: int
    quarter: int
    edges: int
    trials: int
    cost: tuple[float | None, float, float | None]

    @property
    def name(self) -> str:
        """``2026 Q3``."""
        return f"{self.year} Q{self.quarter}"


@dataclass(frozen=True, slots=True)
class CostTrend:
    """Cost per hole by quarter, in one currency.

    Args:
        quarters: those with an edge that came to its end, in order.
        currency: of all of them.
        stopped: edges left out because they were stopped before their end.
        said: one sentence or more.
    """

    quarters: tuple[Quarter, ...]
    currency: str
    stopped: int
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class History:
    """The answers to a question over all trials.

    Args:
        like: what was asked, with the currency that was taken.
        trials, edges, ended: trials that count, their ended runs, and how many came to an end.
        drills, scatter, trend: None when no run counts.
    """

    like: LikeJobs
    trials: int
    edges: int
    ended: int
    drills: DrillsOverTrials | None = None
    scatter: LifeScatter | None = None
    trend: CostTrend | None = None


OnAgain = Callable[[int, int, str], None]  # done, of how many, the last one


@dataclass(frozen=True, slots=True)
class FindSettings:
    """How holes are found again, where it is to be otherwise than while they were recorded.

    Args:
        filter_delay_s: so long the drive's filter delays the load; holes are given as much earlier.
        by_load_alone: whatever cutting data say of a hole, as where they were noted wrong.
    """

    filter_delay_s: float = 0.0
    by_load_alone: bool = False

    def __post_init__(self) -> None:
        require(0 <= self.filter_delay_s <= 5, "delay of the drive's filter", self.filter_delay_s,
                "0 to 5 s")  # fmt: skip
        require(not (self.by_load_alone and self.filter_delay_s), "delay of the drive's filter",
                self.filter_delay_s, "none, where holes are found by the load alone")  # fmt: skip


@dataclass(frozen=True, slots=True)
class FoundAgain:
    """What finding all holes again has done.

    Args:
        recordings: how many there are; done_before: of them by an earlier, interrupted call.
        same, changed: how many gave the same holes, and other ones.
        problems: one sentence for each that could not be done.
    """

    recordings: int
    done_before: int
    same: int
    changed: int
    problems: tuple[str, ...]

"""What the workbench answers when it is asked which drill to take and how to begin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trials.mechanics import HoleGrid, RoughLife, Screening, Start, TestPlan, WayOut
from trials.model import Trial

if TYPE_CHECKING:  # numpy and scipy take their time
    from trials.economics import RunSize

Span = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Candidate:
    """One drill before any test.

    Args:
        screening: its verdicts and first cutting data.
        life: rough life of an edge; None without cutting data.
        ways_out: what to change so that it fits; empty when it does, or when nothing helps.
    """

    screening: Screening
    life: RoughLife | None
    ways_out: tuple[WayOut, ...]


@dataclass(frozen=True, slots=True)
class RoughCost:
    """What a drill would cost, before any test.

    Args:
        drill: its name; life: rough life of an edge.
        trying: price of testing it: machine time, edges and changes of the planned runs.
        per_hole: money a hole of a long run: low, middle, high (90 %).
        run: money for this run with the price of trying; None for a job that keeps coming back.
    """

    drill: str
    life: RoughLife
    trying: float
    per_hole: Span
    run: Span | None


@dataclass(frozen=True, slots=True)
class BeforeTest:
    """What a drill for this run of parts would cost, from rough lives.

    Args:
        costs: one for each drill that can begin, the cheapest for this run first.
        sizes: cost against the size of the run, with the price of trying inside.
        advice: which drill, and when another.
        worth: whether a trial pays for this run, in one word: ``yes``, ``perhaps`` or ``no``.
        why: the reason for ``worth``.
        sure: how sure all of this is.
        currency: of it.
    """

    costs: tuple[RoughCost, ...]
    sizes: RunSize
    advice: str
    worth: str
    why: str
    sure: str
    currency: str


@dataclass(frozen=True, slots=True)
class Choice:
    """Which drills suit, which do not and why, and what they would cost.

    Args:
        trial: what was asked.
        candidates: best first.
        before: costs before any test, or None.
        without: why there are no costs; empty when there are.
    """

    trial: Trial
    candidates: tuple[Candidate, ...]
    before: BeforeTest | None
    without: str = ""


@dataclass(frozen=True, slots=True)
class Beginning:
    """How to begin with one drill.

    Args:
        trial: what was asked; screening: the drill's verdicts.
        start: its first cutting data.
        plan: of the test.
        grid: where the test holes lie; None without a plate.
    """

    trial: Trial
    screening: Screening
    start: Start
    plan: TestPlan
    grid: HoleGrid | None

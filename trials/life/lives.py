"""A life: the holes between which an edge came to its end, and what ended it."""

from __future__ import annotations

import math
import numbers
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from trials.errors import require
from trials.life.wear import holes_to_wear
from trials.model import ENDS, End, Run, WearLimits


@dataclass(frozen=True, slots=True, order=True)
class Life:
    """Holes of one edge, as closely as they are known.

    Args:
        low: the edge still cut well at this hole, 0 or more.
        high: it had come to its end by this hole. The same as ``low`` when the hole is known,
            infinite when the edge was stopped before its end (right-censored). With ``low`` 0 the
            end is only known to be earlier (left-censored), else it lies between two looks at
            the edge (interval-censored).
        mode: what ended it (``worn``, ``chipped``, ``broken`` and so on); None when not said.
    """

    low: float
    high: float
    mode: End | None = None

    def __post_init__(self) -> None:
        require(0 <= self.low < math.inf, "life", self.low, "a number of holes, 0 or more")
        require(self.high >= self.low and self.high > 0, "latest end of a life", self.high,
                f"more than 0 and at least {self.low:g} holes")  # fmt: skip
        require(self.mode is None or (self.mode in ENDS and self.mode != "stopped"),
                "what ended a life", self.mode,
                "one of " + ", ".join(end for end in ENDS if end != "stopped"))  # fmt: skip

    @property
    def ended(self) -> bool:
        """Whether the edge came to its end; False when it was stopped before."""
        return math.isfinite(self.high)

    @property
    def exact(self) -> bool:
        """Whether the hole of its end is known."""
        return self.low == self.high


def ended_at(holes: float, mode: End | None = None) -> Life:
    """A life that ended at this hole."""
    return Life(holes, holes, mode)


def stopped_at(holes: float) -> Life:
    """A life of more than so many holes: the edge was stopped (right-censored)."""
    return Life(holes, math.inf)


def ended_between(low: float, high: float, mode: End | None = None) -> Life:
    """A life that ended after ``low`` and by ``high`` holes; ``low`` 0 when nobody looked."""
    return Life(low, high, mode)


def lives_of(holes: Sequence[float], ended: Sequence[bool]) -> tuple[Life, ...]:
    """Lives from two lists: holes of each edge, and whether its life ended there.

    Raises:
        InputError: lengths differ, or a number of holes is not above 0.
    """
    require(len(holes) == len(ended), "lives and their ends", f"{len(holes)} and {len(ended)}",
            "one end for each life")  # fmt: skip
    lives = []
    for number, (value, end) in enumerate(zip(holes, ended, strict=True), start=1):
        known = isinstance(value, numbers.Real) and 0 < float(value) < math.inf
        require(known, f"life {number}", value, "a number of holes above 0")
        # A text such as "no" is true in Python, and not a number is neither.
        require(end in (0, 1) and not isinstance(end, str), f"whether life {number} ended", end,
                "true or false")  # fmt: skip
        lives.append(ended_at(float(value)) if end else stopped_at(float(value)))
    return tuple(lives)


def life_of_run(run: Run, wear_limit_mm: float | WearLimits) -> Life:
    """The life that an ended run shows, for fits over several runs.

    Wear that passed the limit between two readings is interval-censored between them, without any
    assumption on how it grew there. A projection is no evidence: a run that was stopped before its
    limit is right-censored at its last hole. Any other end is known to the hole.

    Raises:
        InputError: the run has not ended, or no hole was drilled.
    """
    require(run.end is not None, f"life of run {run.number}", run.state, "a run that has ended")
    last = run.wear[-1].hole if run.wear else 0
    holes = max(run.holes, last)
    require(holes > 0, f"life of run {run.number}", "no hole drilled", "1 hole or more")
    wear = holes_to_wear(run.wear, wear_limit_mm, run.end, holes)
    if run.end in ("worn", "stopped") and wear.kind in ("observed", "interpolated"):
        # An edge that was beyond its limit before it drilled had a life of less than one hole.
        high = max(float(holes) if wear.high is None else wear.high, 1.0)
        if wear.kind == "observed":
            return ended_at(high, "worn")
        return ended_between(wear.low, high, "worn")
    if run.end == "stopped":
        return stopped_at(float(holes))
    return ended_at(float(holes), run.end)


def apart(lives: Iterable[Life], mode: End) -> tuple[Life, ...]:
    """Lives as one mode sees them: whatever another mode ended is stopped for this one.

    That holds when the modes do not know of each other (independent competing risks), which the
    lives themselves can never show. Source: Meeker and Escobar 1998, section 15.4.2.
    """
    return tuple(
        life if life.mode == mode or not life.ended else stopped_at(max(life.low, 1e-9))
        for life in lives
    )

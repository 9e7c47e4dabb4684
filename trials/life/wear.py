"""Holes to wear of one run: when its wear readings reach the limit, and how that is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from trials.errors import require
from trials.model import END_MEANS, ENDS, End, WearReading

WearKind = Literal["observed", "interpolated", "projected", "censored"]

# A projection is offered from three readings on, once wear has come this far; steeper wear near
# the end is allowed for by this factor on the steepest rate seen. Common practice, no source.
_PROJECT_FROM_SHARE = 0.6
_STEEPER_AT_THE_END = 2.0


@dataclass(frozen=True, slots=True)
class HolesToWear:
    """Holes drilled until the wear limit, and how they are known.

    Args:
        holes: the best single number; None when the run only says "more than ``low``".
        low, high: holes between which the limit was, or is expected to be, reached; ``high`` is
            None when nothing bounds it.
        kind: ``observed`` (seen at that hole), ``interpolated`` (between two readings),
            ``projected`` (wear carried on in a straight line) or ``censored`` (a lower bound).
        why: one sentence.
    """

    holes: float | None
    low: float
    high: float | None
    kind: WearKind
    why: str


def holes_to_wear(
    readings: Sequence[WearReading], limit_mm: float, end: End | None, holes: int
) -> HolesToWear:
    """Holes until the largest wear or chipping of a reading reaches ``limit_mm``.

    The first reading at or above the limit decides; wear between it and the reading before (a
    fresh edge has none) is taken as a straight line. Without such a reading a run that ended as
    ``worn`` is observed at its last hole; a run that was stopped is projected when its readings
    carry that, and any other run is censored: chipping, breakage and the rest ended the edge
    before wear did. Source: interpolation is common practice; ISO 8688 and ISO 3685 (from memory)
    define the wear land the same way for other tools.

    Args:
        readings: in the order of their hole numbers; blank ones are passed over.
        limit_mm: wear limit, mm.
        end: how the run ended; None while it has not.
        holes: holes drilled.

    Raises:
        InputError: a reading lies beyond the holes drilled, is out of order, or a limit or an end
            is not possible.
    """
    require(0 < limit_mm <= 10, "wear limit", limit_mm, "more than 0 and at most 10 mm")
    require(holes >= 0, "holes drilled", holes, "0 or more")
    require(end is None or end in ENDS, "end of run", end, "one of " + ", ".join(ENDS))
    numbers = [reading.hole for reading in readings]
    require(numbers == sorted(numbers), "wear readings", numbers,
            "in the order of their hole numbers")  # fmt: skip
    require(not numbers or numbers[-1] <= holes, "hole number of the last wear reading",
            numbers[-1] if numbers else None, f"at most the {holes} holes drilled",
            "Correct the hole number, or the number of holes of the run.")  # fmt: skip
    seen = [(float(r.hole), r.largest_mm) for r in readings if r.largest_mm is not None]
    measured = [(hole, wear) for hole, wear in seen if wear is not None]
    crossing = next((i for i, (_, wear) in enumerate(measured) if wear >= limit_mm), None)
    if crossing is not None:
        before = measured[crossing - 1] if crossing > 0 else (0.0, 0.0)
        return _between(before, measured[crossing], limit_mm)
    last = measured[-1] if measured else (0.0, 0.0)
    if end == "worn":
        return HolesToWear(float(holes), last[0], float(holes), "observed",
                           f"Ended as worn after {holes} holes.")  # fmt: skip
    if end == "stopped":
        projected = _projection(measured, limit_mm, holes)
        if projected is not None:
            return projected
    ended = "It is still running" if end is None else f"It ended: {END_MEANS[end]}"
    return HolesToWear(None, float(holes), None, "censored",
                       f"More than {holes} holes: the wear limit was not reached. {ended}."
                       )  # fmt: skip


def _between(
    before: tuple[float, float], after: tuple[float, float], limit_mm: float
) -> HolesToWear:
    (hole0, wear0), (hole1, wear1) = before, after
    if wear1 == limit_mm or hole1 == hole0:
        return HolesToWear(hole1, hole0, hole1, "observed",
                           f"The limit of {limit_mm:g} mm was seen at hole {hole1:.0f}."
                           )  # fmt: skip
    holes = hole0 + (hole1 - hole0) * (limit_mm - wear0) / (wear1 - wear0)
    return HolesToWear(
        holes, hole0, hole1, "interpolated",
        f"{wear0:g} mm at hole {hole0:.0f} and {wear1:g} mm at hole {hole1:.0f}: the limit of "
        f"{limit_mm:g} mm was passed near hole {holes:.0f}.",
    )  # fmt: skip


def _projection(
    measured: Sequence[tuple[float, float]], limit_mm: float, holes: int
) -> HolesToWear | None:
    """Wear carried on from the last three readings; None when they do not carry that."""
    last = measured[-3:]
    if len(last) < 3 or last[-1][1] < _PROJECT_FROM_SHARE * limit_mm:
        return None
    if any(b[0] <= a[0] or b[1] <= a[1] for a, b in pairwise(last)):
        return None
    rates = [(b[1] - a[1]) / (b[0] - a[0]) for a, b in pairwise(last)]
    mean_rate = (last[-1][1] - last[0][1]) / (last[-1][0] - last[0][0])
    hole, wear = last[-1]
    low, middle, high = (
        max(float(holes), hole + (limit_mm - wear) / rate)
        for rate in (_STEEPER_AT_THE_END * max(rates), mean_rate, min(rates))
    )
    return HolesToWear(
        middle, low, high, "projected",
        f"Stopped at {wear:g} mm; in a straight line from its last three readings the limit of "
        f"{limit_mm:g} mm would come near hole {middle:.0f}. Wear speeds up towards its end, so "
        f"it may be as early as hole {low:.0f}.",
    )  # fmt: skip

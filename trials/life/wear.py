"""Holes to wear of one run: when its wear readings reach the limit, and how that is known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from trials.errors import require
from trials.life.readings import Limit, WearPoint, wear_points
from trials.model import END_MEANS, ENDS, End, WearLimits, WearReading

WearKind = Literal["observed", "interpolated", "projected", "censored"]


@dataclass(frozen=True, slots=True)
class HolesToWear:
    """Holes drilled until the wear limit, and how they are known.

    Args:
        holes: the best single number; None when the run only says "more than ``low``".
        low, high: holes between which the limit was, or is expected to be, reached; ``high`` is
            None when nothing bounds it.
        kind: ``observed`` (seen at that hole), ``interpolated`` (between two readings),
            ``projected`` (wear carried on along its curve, with a 90 % range) or ``censored`` (a
            lower bound).
        why: one sentence.
    """

    holes: float | None
    low: float
    high: float | None
    kind: WearKind
    why: str


def holes_to_wear(
    readings: Sequence[WearReading], limit_mm: float | WearLimits, end: End | None, holes: int, *,
    witness: Sequence[WearPoint] = (),
) -> HolesToWear:  # fmt: skip
    """Holes until the largest wear or chipping of a reading reaches its limit.

    The first reading at or above the limit decides; wear between it and the reading before (a
    fresh edge has none) is taken as a straight line, and ``low`` and ``high`` are the two looks
    that it lies between. Where later readings fall below the limit again, readings are pooled
    until they no longer fall, and the range goes on to the reading from which wear stayed above,
    or to the last hole. Without such a reading a run that ended as ``worn`` is observed at its last
    hole; one that was stopped is projected when its readings carry that, and any other is censored:
    chipping, breakage and the rest ended the edge before wear did. Source: interpolation is common
    practice; ISO 8688 and ISO 3685 (from memory) define the wear land the same way for other
    tools; pooling is isotonic regression (Barlow and others, 1972).

    Args:
        readings: in the order of their hole numbers; blank ones are passed over.
        limit_mm: wear limit, mm; or limits filled in for every kind of wear, of which the first
            that is reached ends the edge.
        end: how the run ended; None while it has not.
        holes: holes drilled.
        witness: wear as the spindle load of this trial tells it (`trials.life.load_witness`); it
            narrows a projection, and never makes or ends one.

    Raises:
        InputError: a reading lies beyond the holes drilled, is out of order, or a limit or an end
            is not possible.
    """
    limit = Limit.of(limit_mm)
    require(holes >= 0, "holes drilled", holes, "0 or more")
    require(end is None or end in ENDS, "end of run", end, "one of " + ", ".join(ENDS))
    points = wear_points(readings, limit_mm=limit_mm)
    numbers = [reading.hole for reading in readings]
    require(not numbers or numbers[-1] <= holes, "hole number of the last wear reading",
            numbers[-1] if numbers else None, f"at most the {holes} holes drilled",
            "Correct the hole number, or the number of holes of the run.")  # fmt: skip
    crossing = next((i for i, point in enumerate(points) if point.wear_mm >= limit.mm), None)
    if crossing is not None:
        return _crossed(points, crossing, limit, holes)
    if end == "worn":
        return HolesToWear(float(holes), points[-1].hole if points else 0.0, float(holes),
                           "observed", f"Ended as worn after {holes} holes.")  # fmt: skip
    why = ""
    if end == "stopped" and holes > 0:
        from trials.life.projection import project

        projection = project(_with_witness(points, witness, holes), limit.mm, float(holes))
        if projection.ok:
            return HolesToWear(
                projection.middle, projection.low,
                None if math.isinf(projection.high) else projection.high, "projected",
                f"Stopped at {points[-1]} after {holes} holes. Its wear carried on "
                f"reaches {limit} near hole {projection.middle:.0f}; in nine cases of ten "
                f"between hole {projection.low:.0f} and hole {projection.high:.0f}.",
            )  # fmt: skip
        why = f" No projection: {projection.verdict}."
    ended = "It is still running" if end is None else f"It ended: {END_MEANS[end]}"
    return HolesToWear(None, float(holes), None, "censored",
                       f"More than {holes} holes: the wear limit was not reached. {ended}.{why}"
                       )  # fmt: skip


def _with_witness(
    points: Sequence[WearPoint], witness: Sequence[WearPoint], holes: int
) -> list[WearPoint]:
    """Readings, and what the load says after the last of them."""
    if len(points) < 3:
        return list(points)
    later = [point for point in witness if points[-1].hole < point.hole <= holes]
    return [*points, *later]


def _crossed(points: Sequence[WearPoint], crossing: int, limit: Limit, drilled: int) -> HolesToWear:
    """Where the limit was passed, between the looks around it."""
    limit_mm = limit.mm
    above = points[crossing]
    below = points[crossing - 1] if crossing > 0 else WearPoint(0.0, 0.0)
    later = [point.hole for point in points[crossing + 1 :] if point.wear_mm < limit_mm]
    if later:
        return _wavering(points, below, later[-1], limit, drilled)
    if above.wear_mm == limit_mm or above.hole == below.hole:
        return HolesToWear(above.hole, below.hole, above.hole, "observed",
                           f"The limit of {limit} was seen at hole {above.hole:.0f}."
                           if limit.one else f"{above} was seen at hole {above.hole:.0f}.",
                           )  # fmt: skip
    holes = _straight(below, above, limit_mm)
    return HolesToWear(
        holes, below.hole, above.hole, "interpolated",
        f"{below} at hole {below.hole:.0f} and {above} at hole {above.hole:.0f}: the limit"
        f"{f' of {limit}' if limit.one else ''} was passed near hole {holes:.0f}.",
    )  # fmt: skip


def _wavering(
    points: Sequence[WearPoint],
    below: WearPoint,
    last_below: float,
    limit: Limit,
    drilled: int,
) -> HolesToWear:
    """Readings that pass the limit and fall below it again: pooled until they no longer fall."""
    limit_mm = limit.mm
    after = next((point.hole for point in points if point.hole > last_below), float(drilled))
    rising = [WearPoint(0.0, 0.0), *pooled(points)]
    for one, two in pairwise(rising):
        if one.wear_mm < limit_mm <= two.wear_mm:
            holes = _straight(one, two, limit_mm)
            text = f"pooled until they no longer fall they pass it near hole {holes:.0f}"
            break
    else:
        first = next(point for point in points if point.wear_mm >= limit_mm)
        holes = first.hole
        text = f"the first to show it, at hole {holes:.0f}, is taken"
    low = min(below.hole, holes)
    high = max(after, holes)
    return HolesToWear(
        holes, low, high, "interpolated",
        f"Readings pass the limit{f' of {limit}' if limit.one else ''} after hole "
        f"{below.hole:.0f} and fall below it again at hole {last_below:.0f}; {text}. Wear does not "
        "heal: check the readings.",
    )  # fmt: skip


def pooled(points: Sequence[WearPoint]) -> list[WearPoint]:
    """The points with neighbours that fall replaced by their mean, so that wear only rises."""
    blocks: list[list[float]] = []  # sum of wear, number of points
    for point in points:
        blocks.append([point.wear_mm, 1.0])
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] > blocks[-1][0] / blocks[-1][1]:
            total, count = blocks.pop()
            blocks[-1][0] += total
            blocks[-1][1] += count
    levels = [total / count for total, count in blocks for _ in range(int(count))]
    return [WearPoint(point.hole, wear) for point, wear in zip(points, levels, strict=True)]


def _straight(below: WearPoint, above: WearPoint, limit_mm: float) -> float:
    share = (limit_mm - below.wear_mm) / (above.wear_mm - below.wear_mm)
    return below.hole + (above.hole - below.hole) * share


@lru_cache(maxsize=2048)
def kept_holes_to_wear(
    readings: tuple[WearReading, ...], limit_mm: float | WearLimits, end: End | None, holes: int
) -> HolesToWear:
    """`holes_to_wear`, worked out once for the same values: a projection takes 20 ms."""
    return holes_to_wear(readings, limit_mm, end, holes)

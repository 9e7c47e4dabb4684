"""Wear readings of one run as points of one curve, whatever was measured and left blank."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from trials.errors import require
from trials.model import WearReading

Measure = Literal[
    "largest", "vb_average_mm", "vb_maximum_mm", "corner_chipping_mm", "margin_chipping_mm"
]


@dataclass(frozen=True, slots=True)
class WearPoint:
    """Wear after so many holes; ``error_mm`` where it is known better than by rule."""

    hole: float
    wear_mm: float
    error_mm: float | None = None


def wear_points(readings: Sequence[WearReading], measure: Measure = "largest") -> list[WearPoint]:
    """The readings as points, in the order of their holes.

    Blank readings are passed over. For the largest wear a reading that left out what an earlier
    one measured says only "at least": where it is below the wear seen before, it is passed over
    too, because wear that was not measured has not gone.

    Raises:
        InputError: the readings are not in the order of their holes, or no such measure.
    """
    require(measure in get_args(Measure), "measure of wear", measure,
            "one of " + ", ".join(get_args(Measure)))  # fmt: skip
    numbers = [reading.hole for reading in readings]
    require(numbers == sorted(numbers), "wear readings", numbers,
            "in the order of their hole numbers")  # fmt: skip
    kinds = [kind for kind in get_args(Measure) if kind != "largest"]
    if measure != "largest":
        kinds = [measure]
    points: list[WearPoint] = []
    seen: set[str] = set()
    for reading in readings:
        values = {kind: getattr(reading, kind) for kind in kinds}
        taken = {kind: float(value) for kind, value in values.items() if value is not None}
        if not taken:
            continue
        largest = max(taken.values())
        # Where the maximum of the wear land was read, the average says nothing more.
        left_out = seen - set(taken)
        if "vb_maximum_mm" in taken:
            left_out.discard("vb_average_mm")
        seen |= set(taken)
        if left_out and points and largest < points[-1].wear_mm:
            continue
        points.append(WearPoint(float(reading.hole), largest))
    return points

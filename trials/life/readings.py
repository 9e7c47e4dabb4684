"""Wear readings of one run as points of one curve, whatever was measured and left blank."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from trials.errors import require
from trials.model import WearLimits, WearReading

Kind = Literal["vb_average_mm", "vb_maximum_mm", "corner_chipping_mm", "margin_chipping_mm"]
Measure = Literal[
    "largest", "vb_average_mm", "vb_maximum_mm", "corner_chipping_mm", "margin_chipping_mm"
]
KINDS: tuple[Kind, ...] = get_args(Kind)
KIND_NAMES: dict[Kind, str] = {
    "vb_average_mm": "VB average",
    "vb_maximum_mm": "VB maximum",
    "corner_chipping_mm": "corner chipping",
    "margin_chipping_mm": "margin chipping",
}


@dataclass(frozen=True, slots=True)
class WearPoint:
    """Wear after so many holes.

    Args:
        hole: after so many.
        wear_mm: in mm, or where kinds of wear have limits of their own, in mm scaled so that
            every limit is the same (see `Limit`).
        error_mm: of it, where that is known better than by rule.
        said: the reading in words when it was scaled: kind, value as read, and its own limit.
    """

    hole: float
    wear_mm: float
    error_mm: float | None = None
    said: str = ""

    def __str__(self) -> str:
        return self.said or f"{self.wear_mm:g} mm"


@dataclass(frozen=True, slots=True)
class Limit:
    """The wear limit of a run: one for every kind of wear, or one for each.

    With several an edge is worn once the first of them is reached. Then every kind is scaled to
    the limit ``mm``: a maximum of 0.3 mm with a limit of 0.6 mm counts as much as an average of
    0.15 mm with one of 0.3 mm.
    """

    mm: float
    own: tuple[tuple[Kind, float], ...] = ()

    @staticmethod
    def of(limit_mm: float | WearLimits) -> Limit:
        """From one number, or from limits that are filled in for every kind.

        Raises:
            InputError: a limit is not possible, or a kind has none.
        """
        if isinstance(limit_mm, WearLimits):
            found = {kind: getattr(limit_mm, kind) for kind in KINDS}
            for kind, value in found.items():
                require(value is not None, f"limit of {KIND_NAMES[kind]}", "none", "a limit in mm")
            limit: float = found["vb_average_mm"]
            own = tuple(found.items()) if len(set(found.values())) > 1 else ()
            return Limit(limit, own)
        require(0 < limit_mm <= 10, "wear limit", limit_mm, "more than 0 and at most 10 mm")
        return Limit(limit_mm)

    @property
    def one(self) -> bool:
        """Whether one limit holds for every kind."""
        return not self.own

    def of_kind(self, kind: Kind) -> float:
        """The limit of this kind of wear, mm."""
        return dict(self.own).get(kind, self.mm)

    def __str__(self) -> str:
        return f"{self.mm:g} mm" if self.one else "its limit"


def wear_points(
    readings: Sequence[WearReading], measure: Measure = "largest",
    limit_mm: float | WearLimits | None = None,
) -> list[WearPoint]:  # fmt: skip
    """The readings as points, in the order of their holes.

    Blank readings are passed over. For the largest wear a reading that left out what an earlier
    one measured says only "at least": where it is below the wear seen before, it is passed over
    too, because wear that was not measured has not gone.

    Args:
        readings: of one run.
        measure: one kind of wear, or the largest of all.
        limit_mm: limits of their own for the kinds of wear; then the largest is that which is
            nearest to its limit.

    Raises:
        InputError: the readings are not in the order of their holes, or no such measure.
    """
    require(measure in get_args(Measure), "measure of wear", measure,
            "one of " + ", ".join(get_args(Measure)))  # fmt: skip
    numbers = [reading.hole for reading in readings]
    require(numbers == sorted(numbers), "wear readings", numbers,
            "in the order of their hole numbers")  # fmt: skip
    own = isinstance(limit_mm, WearLimits) and measure == "largest"
    limit = Limit.of(limit_mm) if own and limit_mm is not None else Limit(1.0)
    kinds = [kind for kind in KINDS if measure in ("largest", kind)]
    points: list[WearPoint] = []
    seen: set[Kind] = set()
    for reading in readings:
        taken = [_point(reading, kind, limit) for kind in kinds]
        found = {kind: one for kind, one in zip(kinds, taken, strict=True) if one is not None}
        if not found:
            continue
        largest = max(found.values(), key=lambda point: point.wear_mm)
        left_out = seen - set(found)
        # With one limit for both, the maximum of the wear land says all that the average does.
        if "vb_maximum_mm" in found and limit.one:
            left_out.discard("vb_average_mm")
        seen |= set(found)
        if left_out and points and largest.wear_mm < points[-1].wear_mm:
            continue
        points.append(largest)
    return points


def _point(reading: WearReading, kind: Kind, limit: Limit) -> WearPoint | None:
    value = getattr(reading, kind)
    if value is None:
        return None
    read, own = float(value), limit.of_kind(kind)
    if limit.one:
        return WearPoint(float(reading.hole), read)
    said = f"{KIND_NAMES[kind]} {read:g} mm (limit {own:g} mm)"
    return WearPoint(
        float(reading.hole), limit.mm if read == own else read * limit.mm / own, None, said
    )

"""Stop now and project, or drill on: what more holes of this run would teach about its life."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from trials.errors import require
from trials.life.projection import DRAWS, Futures, project
from trials.life.readings import Limit, WearPoint, wear_points
from trials.life.wear_curve import CurveFamily, reading_error_mm
from trials.model import WearLimits, WearReading

_FUTURES = 40


@dataclass(frozen=True, slots=True)
class LookAhead:
    """What drilling on is expected to change, to be weighed against what it costs.

    Args:
        more_holes, looks: what was asked about: so many holes more, looked at so often.
        low, high: the 90 % range of holes to wear as it stands; ``high`` is None when unbounded.
        width_now, width_then: width of that range as the factor high/low, now and on average
            afterwards (infinite where the readings set no end); 1 is a life known to the hole.
        narrowing: share of the width (of its logarithm) that is expected to go, 0 to 1.
        chance_reached: chance that wear reaches its limit within these holes.
        holes_expected: holes really drilled on average, since the run ends at its limit.
        looks_expected: looks at the drill on average.
        verdict: why nothing can be said; then the other numbers are None or infinite.
    """

    more_holes: int
    looks: int
    low: float
    high: float | None
    width_now: float
    width_then: float
    narrowing: float
    chance_reached: float | None
    holes_expected: float | None
    looks_expected: float | None
    verdict: str = ""

    def __str__(self) -> str:
        if self.verdict:
            return self.verdict
        now = (
            "without an end" if math.isinf(self.width_now) else f"a factor of {self.width_now:.2g}"
        )
        return (
            f"Stopping now leaves the life open by {now}; {self.more_holes} more holes with "
            f"{self.looks} looks are expected to bring that to {self.width_then:.2g}, and in "
            f"{100 * (self.chance_reached or 0):.0f} % of cases wear reaches its limit."
        )


def look_ahead(
    readings: Sequence[WearReading], limit_mm: float | WearLimits, holes: int, more_holes: int,
    looks: int = 1, *, seed: int = 0, on_progress: Callable[[int, int], None] | None = None,
) -> LookAhead:  # fmt: skip
    """Simulate what ``more_holes`` with ``looks`` evenly spread looks would teach.

    Futures are drawn as the projection draws them; each gives readings with their usual error,
    and these are projected, or interpolated when they pass the limit, as a person would do it
    then.

    Args:
        readings: so far, all below the limit.
        limit_mm: wear limit, mm, or limits of the kinds of wear.
        holes: holes drilled so far.
        more_holes: holes to drill on.
        looks: readings during these, 1 or more.
        seed: the same question gives the same answer.
        on_progress: called with (futures done, futures in all).

    Raises:
        InputError: a reading has passed the limit already, or a number is not possible.
    """
    limit = Limit.of(limit_mm)
    require(holes >= 1, "holes drilled", holes, "1 or more")
    require(more_holes >= 1, "more holes", more_holes, "1 or more")
    require(1 <= looks <= more_holes, "looks at the drill", looks,
            f"1 to the {more_holes} holes more")  # fmt: skip
    points = wear_points(readings, limit_mm=limit_mm)
    limit_mm = limit.mm
    require(all(point.wear_mm < limit_mm for point in points), "wear readings",
            "a reading at the limit", f"readings below {limit}",
            "The run has reached its limit: end it as worn.")  # fmt: skip
    family = CurveFamily.of(points)
    if family is None:
        return LookAhead(
            more_holes, looks, float(holes), None, math.inf, math.inf, 0.0, None, None, None,
            verdict=f"{len(points)} wear readings are too few to look ahead: three at different "
            "holes are needed. Drill on and look at the drill.",
        )  # fmt: skip
    now = project(points, limit_mm, float(holes), seed=seed)
    generator = np.random.default_rng([seed, 1])
    futures = Futures.of(
        family.resampled(_FUTURES, generator), limit_mm, points[-1].hole, generator
    )
    at = np.unique(np.round(holes + more_holes * np.arange(1, looks + 1) / looks))
    truth = np.stack([futures.wear_mm(hole) for hole in at])
    error = family.scale * reading_error_mm(truth) * generator.standard_normal(truth.shape)
    read = np.maximum(truth + error, 0.0)
    widths, drilled, looked = [], [], []
    for one in range(_FUTURES):
        width, hole, count = _then(points, at, read[:, one], limit_mm)
        widths.append(width)
        drilled.append(hole - holes)
        looked.append(count)
        if on_progress is not None:
            on_progress(one + 1, _FUTURES)
    reached = float((futures.reached() <= holes + more_holes).mean())
    width_now = now.high / now.low if now.ok else math.inf
    logs = np.log(widths)
    width_then = float(np.exp(logs.mean())) if np.isfinite(logs).all() else math.inf
    if math.isinf(width_now):
        narrowing = float(np.isfinite(logs).mean())
    else:
        capped = np.minimum(logs, math.log(width_now))
        narrowing = float(1.0 - capped.mean() / math.log(width_now)) if width_now > 1 else 0.0
    return LookAhead(
        more_holes, looks, now.low if now.ok else float(holes),
        now.high if now.ok and math.isfinite(now.high) else None,
        width_now, width_then, narrowing, reached, float(np.mean(drilled)), float(np.mean(looked)),
    )  # fmt: skip


def _then(
    points: Sequence[WearPoint], at: np.ndarray[tuple[int], np.dtype[np.float64]],
    read: np.ndarray[tuple[int], np.dtype[np.float64]], limit_mm: float,
) -> tuple[float, float, int]:  # fmt: skip
    """Width of the range after one future, the hole it ends at, and looks taken."""
    known = list(points)
    for count, (hole, wear) in enumerate(zip(at.tolist(), read.tolist(), strict=True), start=1):
        if wear >= limit_mm:
            return hole / max(known[-1].hole, 1.0), hole, count
        known.append(WearPoint(hole, wear))
    after = project(known, limit_mm, known[-1].hole, draws=DRAWS // 4)
    return (after.high / after.low if after.ok else math.inf), known[-1].hole, len(read)

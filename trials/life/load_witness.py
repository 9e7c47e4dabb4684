"""Spindle load as a second witness of wear, where it has tracked wear in this trial.

Load rises as an edge wears, but also with work material, chips and a spindle that warms up. So
nothing is assumed: the rise of the peak load over that of the fresh edge is held against the wear
readings of this trial, and counts only where it would have foretold each reading from the others.
Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from trials.life.readings import WearPoint, wear_points
from trials.model import WearLimits, WearReading

FEWEST_READINGS = 4
_FRESH_HOLES = 3
_AROUND = 5
_LARGEST_ERROR = 0.25  # of the largest wear read
_CLEAR_RISE = 3.0  # times what the load scatters by from hole to hole


@dataclass(frozen=True, slots=True)
class LoadWitness:
    """Whether load tracks wear in this trial, and what it says then.

    Args:
        tracks: whether it may be used; then the numbers below are not None.
        readings: wear readings that had load beside them.
        mm_per_pct: wear for each per cent that the peak load has risen over the fresh edge's.
        error_mm: how far off it foretold readings that were left out, root mean square, mm.
        why: one sentence.
    """

    tracks: bool
    readings: int
    mm_per_pct: float | None
    error_mm: float | None
    why: str

    def points(self, peaks_pct: Sequence[float]) -> tuple[WearPoint, ...]:
        """Wear that the load tells at the last hole, for `trials.life.holes_to_wear`.

        Nothing when load does not track wear in this trial.
        """
        rise = _rise_pct(peaks_pct, len(peaks_pct))
        if not self.tracks or self.mm_per_pct is None or self.error_mm is None or rise is None:
            return ()
        return (
            WearPoint(
                float(len(peaks_pct)), max(0.0, self.mm_per_pct * rise), max(self.error_mm, 0.01)
            ),
        )


def load_witness(
    runs: Sequence[tuple[Sequence[WearReading], Sequence[float]]],
    limit_mm: float | WearLimits | None = None,
) -> LoadWitness:
    """Hold load against wear.

    Args:
        runs: of one trial, one drill and alike cutting data: the wear readings, and the peak load
            of every hole from the first, % of rating (not a number where a hole has none).
        limit_mm: limits of the kinds of wear, where they have their own.

    Returns:
        A witness that ``tracks`` only when at least four readings have load beside them, load rose
        clearly above its own scatter, it rose with wear from reading to reading, and wear foretold
        from the other readings is within a quarter of the largest wear.
    """
    pairs = [pair for readings, peaks in runs for pair in _pairs(readings, peaks, limit_mm)]
    count = len(pairs)
    if count < FEWEST_READINGS:
        return _no(count, f"only {count} wear readings have load beside them, and "
                   f"{FEWEST_READINGS} are needed")  # fmt: skip
    noise = median([_noise_pct(peaks) for _, peaks in runs if len(peaks) > _FRESH_HOLES] or [0.0])
    highest = max(rise for rise, _ in pairs)
    if highest <= _CLEAR_RISE * noise / math.sqrt(_AROUND):
        return _no(count, f"load rose by {max(highest, 0.0):.1f} %, no more than it scatters from "
                   f"hole to hole ({noise:.1f} %)")  # fmt: skip
    agree = _agreement(pairs)
    if agree < 0.7:
        return _no(count, "load did not rise with wear from reading to reading")
    errors = []
    for left_out, (rise, wear) in enumerate(pairs):
        slope = _slope([pair for place, pair in enumerate(pairs) if place != left_out])
        errors.append(wear - slope * rise)
    error = math.sqrt(sum(value**2 for value in errors) / (count - 1))
    largest = max(wear for _, wear in pairs)
    if error > _LARGEST_ERROR * largest:
        return _no(count, f"wear foretold from load was off by {error:.2f} mm, more than a quarter "
                   f"of the {largest:.2f} mm read")  # fmt: skip
    slope = _slope(pairs)
    return LoadWitness(
        True, count, slope, error,
        f"In this trial load tracked wear: {slope:.3g} mm for each per cent that the peak rose; it "
        f"would have foretold each reading from the others to within about {error:.2g} mm.",
    )  # fmt: skip


def _no(count: int, why: str) -> LoadWitness:
    return LoadWitness(False, count, None, None, f"Load is no witness here: {why}.")


def _pairs(
    readings: Sequence[WearReading], peaks_pct: Sequence[float],
    limit_mm: float | WearLimits | None,
) -> list[tuple[float, float]]:  # fmt: skip
    """(rise of load %, wear mm) at each reading."""
    found = []
    for point in wear_points(readings, limit_mm=limit_mm):
        rise = _rise_pct(peaks_pct, round(point.hole))
        if rise is not None:
            found.append((rise, point.wear_mm))
    return found


def _rise_pct(peaks_pct: Sequence[float], hole: int) -> float | None:
    """Median of the last five peaks up to ``hole`` over that of the first three, minus one, %."""
    fresh = [peak for peak in peaks_pct[:_FRESH_HOLES] if math.isfinite(peak)]
    now = [peak for peak in peaks_pct[max(hole - _AROUND, 0) : hole] if math.isfinite(peak)]
    if hole <= _FRESH_HOLES or hole > len(peaks_pct) or len(fresh) < 2 or len(now) < 2:
        return None
    base = median(fresh)
    return None if base <= 0 else 100.0 * (median(now) / base - 1.0)


def _noise_pct(peaks_pct: Sequence[float]) -> float:
    """Scatter of peaks from hole to hole, % of the fresh peak (median of steps, so trend-free)."""
    known = [peak for peak in peaks_pct if math.isfinite(peak)]
    steps = [abs(two - one) for one, two in pairwise(known)]
    base = median(known[:_FRESH_HOLES]) if known else 0.0
    # 0.954: a normal step's median over the deviation of one peak (√2 · 0.6745).
    return 100.0 * median(steps) / 0.954 / base if steps and base > 0 else 0.0


def _slope(pairs: Sequence[tuple[float, float]]) -> float:
    """Wear over rise, through nothing: a fresh edge has neither."""
    over = sum(rise * rise for rise, _ in pairs)
    return sum(rise * wear for rise, wear in pairs) / over if over > 0 else 0.0


def _agreement(pairs: Sequence[tuple[float, float]]) -> float:
    """Kendall's tau: pairs of readings ordered alike by load and wear, less those that are not."""
    alike = [
        math.copysign(1.0, (a[0] - b[0]) * (a[1] - b[1]))
        for place, a in enumerate(pairs)
        for b in pairs[:place]
        if a[0] != b[0] and a[1] != b[1]
    ]
    return sum(alike) / len(alike) if alike else 0.0

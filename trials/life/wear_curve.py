"""Wear against holes: run-in, steady and fast wear, fitted so that one odd reading does not rule.

Wear of an edge that drilled h holes is taken as

    a·(1 − e^(−h/τ))  +  r·h  +  q·max(0, h − o)²      with a, r, q ≥ 0,

which starts at nothing and never falls: run-in, steady wear, and wear that speeds up from hole o.
The three phases are the usual picture of flank wear (ISO 3685 for turning, from memory; for drills
common practice, no source). τ and o are searched on a grid, a, r and q by weighted least squares;
a phase comes in only where it lowers χ² by more than 2 for each number it adds (Akaike).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from trials.life.readings import WearPoint

Floats = NDArray[np.float64]

# Error of one reading: what a bench microscope resolves, and the unevenness of a wear land. How
# far readings of this run really scatter is found from them and drawn towards this with the
# weight of three readings. Common practice, no source.
_RESOLUTION_MM, _UNEVEN_SHARE, _PRIOR_READINGS = 0.01, 0.07, 3.0
# That wear stands still after run-in is against experience: it takes this much more χ².
_STANDSTILL = 4.0
_RUN_IN_SHARES = (0.04, 0.1, 0.2, 0.35)
_FAST_FROM_SHARES = (0.0, 0.2, 0.4, 0.55, 0.7, 0.85)


@dataclass(frozen=True, slots=True)
class WearCurve:
    """A fitted curve.

    Args:
        run_in_mm, run_in_holes: a and τ; 0 mm when the readings show no run-in.
        rate_mm_per_hole: r, the steady wear.
        fast_from_hole: o; None when the readings show no fast wear.
        fast_mm_per_hole2: q.
        scatter_mm: how far a reading scatters about the curve at its last point, mm.
        odd_holes: hole numbers of readings so far off that the fit gave them little weight.
    """

    run_in_mm: float
    run_in_holes: float
    rate_mm_per_hole: float
    fast_from_hole: float | None
    fast_mm_per_hole2: float
    scatter_mm: float
    odd_holes: tuple[int, ...] = ()

    def wear_mm(self, hole: float) -> float:
        """Wear after so many holes, mm."""
        fast = 0.0 if self.fast_from_hole is None else max(0.0, hole - self.fast_from_hole)
        return (
            self.run_in_mm * -math.expm1(-hole / self.run_in_holes)
            + self.rate_mm_per_hole * hole
            + self.fast_mm_per_hole2 * fast**2
        )


def fit_wear_curve(points: Sequence[WearPoint]) -> WearCurve | None:
    """The curve of a run's wear readings; None with fewer than three at different holes."""
    family = CurveFamily.of(points)
    if family is None:
        return None
    best = family.fitted
    a, r, q, tau, start = (float(best[i, 0]) for i in range(5))
    last = points[-1]
    return WearCurve(
        a, tau, r, start if q > 0 else None, q,
        float(family.scale * reading_error_mm(np.array([last.wear_mm]))[0]),
        tuple(
            round(point.hole)
            for point, weight in zip(points, family.robust, strict=True)
            if weight < 0.5
        ),
    )  # fmt: skip


def reading_error_mm(wear_mm: Floats) -> Floats:
    """Expected error of a reading of so much wear, mm."""
    return np.sqrt(_RESOLUTION_MM**2 + (_UNEVEN_SHARE * wear_mm) ** 2)


@dataclass(frozen=True, slots=True)
class CurveFamily:
    """Every curve that the grid offers for one set of readings, and the one that fits.

    ``fitted`` and what `refit` gives are arrays of rows a, r, q, τ, o and one column each curve.
    """

    holes: Floats
    wear: Floats
    error: Floats
    robust: Floats
    scale: float
    fitted: Floats

    @staticmethod
    def of(points: Sequence[WearPoint]) -> CurveFamily | None:
        """Fit robustly: readings far off the curve lose weight by Tukey's biweight."""
        if len({point.hole for point in points if point.hole > 0}) < 3:
            return None
        holes = np.array([point.hole for point in points], dtype=float)
        wear = np.array([point.wear_mm for point in points], dtype=float)
        own = np.array([point.error_mm or 0.0 for point in points], dtype=float)
        error = np.where(own > 0, own, reading_error_mm(wear))
        robust = np.ones(len(holes))
        scale = 1.0
        for _ in range(6):
            fitted = _best(holes, wear[:, None], error / np.sqrt(robust), scale)
            off = (wear - curve_mm(fitted, holes[:, None])[:, 0]) / error
            used = int((fitted[:3, 0] > 0).sum())
            spare = max(float(robust.sum()) - used, 0.0)
            chi = float((robust * off**2).sum())
            scale = math.sqrt((_PRIOR_READINGS + chi) / (_PRIOR_READINGS + spare))
            far = np.abs(off) / (4.685 * scale)
            new = np.where(far < 1.0, (1.0 - far**2) ** 2, 0.0)
            robust = np.maximum(new, 1e-3)
        return CurveFamily(holes, wear, error, robust, scale, fitted)

    def refit(self, wear: Floats) -> Floats:
        """Best curve for each column of other readings at the same holes."""
        return _best(self.holes, wear, self.error / np.sqrt(self.robust), self.scale)

    def resampled(self, count: int, generator: np.random.Generator) -> Floats:
        """Curves fitted to readings drawn about the fitted curve (parametric bootstrap)."""
        middle = curve_mm(self.fitted, self.holes[:, None])
        scatter = self.scale * self.error[:, None]
        return self.refit(middle + scatter * generator.standard_normal((len(self.holes), count)))


def curve_mm(curves: Floats, hole: Floats) -> Floats:
    """Wear of curves (rows a, r, q, τ, o) after ``hole`` holes; shapes are broadcast."""
    a, r, q, tau, start = curves
    return np.asarray(
        a * -np.expm1(-hole / tau) + r * hole + q * np.maximum(0.0, hole - start) ** 2
    )


def rate_mm_per_hole(curves: Floats, hole: Floats) -> Floats:
    """Wear that the next hole adds."""
    a, r, q, tau, start = curves
    return np.asarray(a / tau * np.exp(-hole / tau) + r + 2 * q * np.maximum(0.0, hole - start))


def _best(holes: Floats, wear: Floats, error: Floats, scale: float) -> Floats:
    """The best curve for each column of ``wear`` by χ² and two for each number used."""
    longest = float(holes.max())
    target = wear / error[:, None]
    best = np.full(wear.shape[1], np.inf)
    found = np.zeros((5, wear.shape[1]))
    found[3] = 0.1 * longest
    for places, shares in _choices():
        if len(places) > len(holes):
            continue
        tau, start = shares[:, 0] * longest, shares[:, 1] * longest
        phases = (
            -np.expm1(-holes / tau[:, None]),
            np.broadcast_to(holes, (len(shares), len(holes))),
            np.maximum(0.0, holes - start[:, None]) ** 2,
        )
        basis = np.stack([phases[place] for place in places], axis=2) / error[:, None]
        size = np.linalg.norm(basis, axis=1, keepdims=True)
        size[size == 0] = 1.0
        numbers = np.linalg.pinv(basis / size) @ target / size.transpose(0, 2, 1)
        misfit = ((target - basis @ numbers) ** 2).sum(axis=1) / scale**2
        misfit[(numbers < 0).any(axis=1)] = np.inf
        which = np.argmin(misfit, axis=0)
        columns = np.arange(wear.shape[1])
        height = misfit[which, columns] + 2.0 * len(places)
        height += 0.0 if 1 in places else _STANDSTILL
        better = height < best
        best = np.where(better, height, best)
        found[:3, better] = 0.0
        for row, place in enumerate(places):
            found[place, better] = numbers[which, row, columns][better]
        found[3, better], found[4, better] = tau[which][better], start[which][better]
    return found


def _choices() -> list[tuple[tuple[int, ...], Floats]]:
    """Phases used (0 run-in, 1 steady, 2 fast) with the grid of their τ and o, as shares."""
    no_run_in, no_fast = (0.1,), (0.0,)
    return [
        (places, np.array(list(product(run_ins, fasts))))
        for places, run_ins, fasts in (
            ((1,), no_run_in, no_fast),
            ((1, 0), _RUN_IN_SHARES, no_fast),
            ((1, 2), no_run_in, _FAST_FROM_SHARES),
            ((1, 0, 2), _RUN_IN_SHARES, _FAST_FROM_SHARES),
            ((0,), _RUN_IN_SHARES, no_fast),
            ((0, 2), _RUN_IN_SHARES, _FAST_FROM_SHARES),
        )
    ]

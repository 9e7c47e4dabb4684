"""Wear carried on to its limit, with a range that widens the further it has to go.

Curves are fitted to readings drawn about the fitted curve (parametric bootstrap), and each is
carried on through what no reading has shown yet: a fast phase that may begin near the limit, and
wear that goes a little quicker or slower than before. What these two add is common practice, no
source; the tests hold the ranges against published wear of sixteen cutters, cut short and
projected, and against simulated drills.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from trials.life.readings import WearPoint
from trials.life.wear_curve import CurveFamily, Floats, curve_mm, rate_mm_per_hole

DRAWS = 400
# A projection is offered from three readings on, once wear has come this far.
_PROJECT_FROM_SHARE = 0.4
# Fast wear begins at this share of the limit, anywhere between; then the rate grows by so much of
# itself for each tenth of the holes drilled until then.
_FAST_BEGINS = (0.7, 2.0)
_FAST_GROWS = (0.0, 0.5)
# Natural logarithm by which the remaining holes may go quicker or slower than the curve says.
_PACE = 0.25
_WIDEST = 6.0  # a range whose ends differ by more than this factor is no projection
_FURTHEST = 20.0  # times the holes drilled


@dataclass(frozen=True, slots=True)
class Projection:
    """Holes until the limit: 90 % range and middle, or a verdict why the readings carry none.

    ``draws`` are the single projections (infinite where the limit is never reached).
    """

    low: float
    middle: float
    high: float
    verdict: str
    draws: Floats

    @property
    def ok(self) -> bool:
        """Whether the readings carry a projection."""
        return not self.verdict


def project(
    points: Sequence[WearPoint], limit_mm: float, holes: float, *, seed: int = 0,
    draws: int = DRAWS, level: float = 0.9,
) -> Projection:  # fmt: skip
    """Carry the wear of ``points`` on to the limit.

    Args:
        points: readings below the limit.
        limit_mm: wear limit, mm.
        holes: holes drilled; the limit was not reached before.
        seed: the same readings give the same range.
        draws: how many curves are carried on.
        level: confidence of the range.
    """
    family = CurveFamily.of(points)
    if family is None:
        return _none(f"{len(points)} readings are too few: three at different holes are needed")
    last = points[-1]
    share = max(point.wear_mm for point in points) / limit_mm
    if share < _PROJECT_FROM_SHARE:
        return _none(
            f"wear has come only {100 * share:.0f} % of the way to its limit; from "
            f"{100 * _PROJECT_FROM_SHARE:.0f} % on it is projected"
        )
    generator = np.random.default_rng(seed)
    futures = Futures.of(family.resampled(draws, generator), limit_mm, last.hole, generator)
    found = np.maximum(futures.reached(), holes)
    tail = (1.0 - level) / 2.0
    low, middle, high = (
        float(value) for value in np.quantile(found, [tail, 0.5, 1 - tail], method="inverted_cdf")
    )
    if not np.isfinite(middle):
        return _none("wear does not grow from reading to reading", found)
    if high > _WIDEST * low:
        return _none(
            f"the limit may come anywhere between hole {low:.0f} and "
            + (f"hole {high:.0f}" if np.isfinite(high) else "never")
            + ", which is too wide to plan with",
            found,
        )
    return Projection(low, middle, high, "", found)


def _none(verdict: str, draws: Floats | None = None) -> Projection:
    return Projection(np.nan, np.nan, np.nan, verdict, np.array([]) if draws is None else draws)


@dataclass(frozen=True, slots=True)
class Futures:
    """Curves carried on from ``hole``, each with its own pace and its own fast phase to come.

    Args:
        curves: see `trials.life.wear_curve.CurveFamily`.
        limit_mm: wear limit, mm.
        hole: last hole with a reading.
        onset: hole at which the fast phase of each begins; ``extra`` is what it adds there, mm per
            hole squared.
        pace: factor on the holes after ``hole``.
    """

    curves: Floats
    limit_mm: float
    hole: float
    onset: Floats
    extra: Floats
    pace: Floats

    @staticmethod
    def of(curves: Floats, limit_mm: float, hole: float, generator: np.random.Generator) -> Futures:
        """Give each curve a future."""
        count = int(curves.shape[1])
        begins = limit_mm * generator.uniform(_FAST_BEGINS[0], _FAST_BEGINS[1], count)
        grows = generator.uniform(_FAST_GROWS[0], _FAST_GROWS[1], count)
        pace = np.exp(_PACE * generator.standard_normal(count))
        onset = _first(lambda at: curve_mm(curves, at), begins, np.full(count, hole))
        # A curve that is fast already needs no second fast phase; nor one that never gets there.
        none = (curves[2] > 0) | ~np.isfinite(onset)
        onset = np.where(none, hole, onset)
        extra = np.where(none, 0.0, 5.0 * grows * rate_mm_per_hole(curves, onset) / onset)
        return Futures(curves, limit_mm, hole, onset, extra, pace)

    def wear_mm(self, hole: float) -> Floats:
        """Wear of each after ``hole`` holes, at or after the last reading."""
        return self._unpaced(self.hole + (hole - self.hole) / self.pace)

    def reached(self) -> Floats:
        """Hole at which each reaches the limit; infinite where it never does."""
        target = np.full(len(self.pace), self.limit_mm)
        whole = _first(self._unpaced, target, np.full(len(target), self.hole))
        return np.asarray(self.hole + (whole - self.hole) * self.pace)

    def _unpaced(self, at: Floats) -> Floats:
        late = np.maximum(0.0, at - self.onset)
        return np.asarray(curve_mm(self.curves, at) + self.extra * late**2)


def _first(wear: Callable[[Floats], Floats], target: Floats, hole: Floats) -> Floats:
    """First hole from ``hole`` on at which the rising ``wear`` reaches its target."""
    low, high = hole, hole * _FURTHEST
    never = wear(high) < target
    for _ in range(45):
        middle = (low + high) / 2.0
        below = wear(middle) < target
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.where(never, np.inf, high)

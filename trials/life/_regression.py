"""Censored straight-line regression of log lives, by maximum likelihood.

y = X·β + σ·z with z normal or smallest extreme value about its median, so that X·β is the middle
life for both. The log-likelihood is concave in (β/σ, 1/σ) (Burridge 1981), so the climb has one
top. Intervals hold every value whose profile likelihood is within a limit of the highest; for few
lives that limit is r·log(1 + t²/(r − p)) / 2 with Student's t on r − p degrees of freedom (r ended
lives, p coefficients) instead of chi-square/2: exact for normal y without censoring, where the
likelihood ratio is that very function of t, and close otherwise (docs/life.md has the study).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from trials.life._likelihood import (
    Floats,
    LifeModel,
    log_between,
    log_density,
    log_survival,
    quantile_z,
)  # fmt: skip
from trials.life._profile import crossings

_MOST_STEPS = 100


@dataclass(frozen=True)
class Fitted:
    """Coefficients, scatter and height of the top."""

    beta: Floats
    sigma: float
    log_likelihood: float


@dataclass(frozen=True)
class CensoredRegression:
    """One set of responses with its columns; rows with ``low`` < ``high`` are censored.

    Args:
        low, high: response of each row; ``high`` infinite for a lower bound, ``low`` minus
            infinite for an upper one.
        columns: of shape (rows, coefficients), the first column ones.
        model: ``lognormal`` means normal responses, ``weibull`` smallest extreme values.
    """

    low: Floats
    high: Floats
    columns: Floats
    model: LifeModel

    @cached_property
    def ended(self) -> int:
        """Rows that are not mere lower bounds."""
        return int(np.isfinite(self.high).sum())

    @cached_property
    def middle(self) -> Floats:
        """One response for each row to start from: the middle of its bounds, or its bound."""
        low = np.where(np.isfinite(self.low), self.low, self.high)
        return np.where(np.isfinite(self.high), (low + self.high) / 2.0, low)

    def fit(self) -> Fitted:
        """Climb to the top of the likelihood by Newton's steps, halved where they overshoot."""
        count = self.columns.shape[1]
        beta = np.zeros(count)
        if count:
            beta += np.linalg.lstsq(self.columns, self.middle, rcond=None)[0]
        off = self.middle - self.columns @ beta
        omega = 1.0 / max(float(np.sqrt((off**2).mean())), 1e-6)
        at = np.append(beta * omega, omega)
        value, slope = self._climb(at[:-1], float(at[-1]))
        for _ in range(_MOST_STEPS):
            step = np.linalg.lstsq(-self._bend(at, slope), slope, rcond=None)[0]
            gain = float(step @ slope)
            share = 1.0 if at[-1] + step[-1] > 0 else -0.5 * float(at[-1] / step[-1])
            for _ in range(40):
                new = at + share * step
                higher, new_slope = self._climb(new[:-1], float(new[-1]))
                if higher >= value + 1e-4 * share * gain or gain < 1e-9:
                    break
                share /= 2.0
            at, value, slope = new, higher, new_slope
            if gain < 1e-9:  # twice what the likelihood can still rise
                break
        return Fitted(at[:-1] / at[-1], 1.0 / float(at[-1]), value)

    def _bend(self, at: Floats, slope: Floats) -> Floats:
        """Second derivatives, by differences of the slope."""
        rows = []
        for place in range(len(at)):
            moved = at.copy()
            moved[place] += 1e-6 * max(1.0, abs(float(at[place])))
            there = self._climb(moved[:-1], float(moved[-1]))[1]
            rows.append((there - slope) / (moved[place] - at[place]))
        bend = np.array(rows)
        return np.asarray((bend + bend.T) / 2.0)

    def _climb(self, gamma: Floats, omega: float) -> tuple[float, Floats]:
        """Log-likelihood at (β/σ, 1/σ) and its slope."""
        z0 = quantile_z(0.5, self.model)
        top = 500.0 if self.model == "weibull" else 1e8  # e^500 is still a number
        line = self.columns @ gamma
        exact, right = self.low == self.high, ~np.isfinite(self.high)
        between = ~exact & ~right
        value, slope = 0.0, np.zeros(len(gamma) + 1)
        for rows in (exact, right):
            if not rows.any():
                continue
            y = self.low[rows]
            z = np.clip(omega * y - line[rows] + z0, -1e8, top)
            if rows is exact:
                value += float(log_density(z, self.model).sum()) + len(y) * math.log(omega)
                pull = -z if self.model == "lognormal" else 1.0 - np.exp(z)
                slope[-1] += len(y) / omega
            else:
                value += float(log_survival(z, self.model).sum())
                pull = -np.exp(log_density(z, self.model) - log_survival(z, self.model))
            slope[:-1] -= self.columns[rows].T @ pull
            slope[-1] += float(pull @ y)
        if between.any():
            ends = [
                np.clip(omega * y[between] - line[between] + z0, -1e8, top)
                for y in (self.low, self.high)
            ]
            ends[0] = np.where(np.isfinite(self.low[between]), ends[0], -np.inf)
            each = log_between(ends[0], ends[1], self.model)
            value += float(each.sum())
            for z, y, sign in ((ends[0], self.low, -1.0), (ends[1], self.high, 1.0)):
                known = np.isfinite(y[between])
                density = log_density(np.where(known, z, 0.0), self.model)
                pull = np.where(known, sign * np.exp(np.minimum(density - each, 300.0)), 0.0)
                slope[:-1] -= self.columns[between].T @ pull
                slope[-1] += float(pull @ np.where(known, y[between], 0.0))
        return value, slope

    def interval(self, column: int, top: Fitted, level: float) -> tuple[float, float]:
        """Interval of one coefficient; infinite where the rows do not bound it."""
        spare = self.ended - self.columns.shape[1]
        if spare < 1:
            return -math.inf, math.inf
        limit = likelihood_limit(self.ended, spare, level)
        others = np.delete(self.columns, column, axis=1)

        def over(value: float) -> float:
            shift = self.columns[:, column] * value
            fixed = CensoredRegression(self.low - shift, self.high - shift, others, self.model)
            return fixed.fit().log_likelihood - top.log_likelihood + limit

        x = self.columns[:, column]
        near = others @ np.linalg.lstsq(others, x, rcond=None)[0] if others.size else 0.0
        spread = float(np.sqrt(((x - near) ** 2).sum()))
        return crossings(over, float(top.beta[column]), 0.7 * top.sigma / spread, most=200.0)

    def moved(self, place: Sequence[float]) -> CensoredRegression:
        """The same with its first coefficient meaning the response at ``place``."""
        columns = self.columns.copy()
        columns[:, 1:] -= np.asarray(place)
        return CensoredRegression(self.low, self.high, columns, self.model)


def likelihood_limit(ended: int, spare: int, level: float) -> float:
    """How far the profile log-likelihood may fall; see the top of this file."""
    from scipy.special import stdtrit

    t = float(stdtrit(spare, (1.0 + level) / 2.0))
    return ended * math.log1p(t * t / spare) / 2.0

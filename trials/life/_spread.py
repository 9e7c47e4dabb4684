"""What the lives leave open: the likelihood spread over a grid of (µ, σ), for intervals and draws.

The likelihood is integrated with equal weight for every µ and every log σ. For lives of one
location-and-scale family that are all known, or stopped together after the r-th end, intervals
from it cover with exactly their stated chance however few the lives are, which the chi-square
limit of the profile likelihood reaches only with many. Source: Lawless, Statistical Models and
Methods for Lifetime Data, 2nd ed. 2003, section 5.1 and appendix E (from memory): intervals given
the ancillary statistics. ``tests/benchmarks/coverage.py`` measures both.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from trials.life._likelihood import Floats, LifeModel, Likelihood, quantile_z
from trials.life.lives import Life

_ROWS, _COLUMNS = 121, 81
_DROP = 14.0  # the likelihood is followed until it has fallen to e^-14 of its top
# With lives known only between two looks the likelihood may not fall towards no scatter at all;
# then scatter below this is not believed (a Weibull shape above 50). Common practice, no source.
_LEAST_SIGMA = 0.02


@dataclass(frozen=True, slots=True)
class Spread:
    """Grid cells of (µ, σ) with their share of the integrated likelihood.

    Args:
        mu, log_sigma: of shape (rows, columns); ``log_sigma`` is the same along a row.
        weight: shares of the cells; they add up to 1.
        mu_step, log_sigma_step: sizes of a cell in each row, and of every row.
        closed_below: whether the smallest σ of the grid is where belief was cut off.
    """

    mu: Floats
    log_sigma: Floats
    weight: Floats
    mu_step: Floats
    log_sigma_step: float
    closed_below: bool

    def sigma_interval(self, level: float) -> tuple[float, float]:
        """Equal-tailed interval of σ; 0 where the lives set no lower bound."""
        share = self.weight.sum(axis=1)
        total = np.cumsum(share)
        edges = self.log_sigma[:, 0] + self.log_sigma_step / 2.0
        ends = [float(np.interp(p, total, edges)) for p in _tails(level)]
        low = 0.0 if self.closed_below and total[0] > _tails(level)[0] else math.exp(ends[0])
        return low, math.exp(ends[1])

    def quantile_interval(self, z: float, level: float) -> tuple[float, float]:
        """Equal-tailed interval of the life at standardised log life ``z``, holes."""
        return self.interval_of(np.exp(np.clip(self.mu + z * np.exp(self.log_sigma), -700, 700)),
                                level)  # fmt: skip

    def interval_of(self, values: Floats, level: float) -> tuple[float, float]:
        """Equal-tailed interval of anything computed for every cell."""
        low, high = self.at_shares(values, _tails(level))
        return low, high

    def at_shares(self, values: Floats, shares: Sequence[float]) -> list[float]:
        """Values below which these shares of the weight lie."""
        flat, weight = values.ravel(), self.weight.ravel()
        order = np.argsort(flat, kind="stable")
        middle = np.cumsum(weight[order]) - weight[order] / 2.0
        return [float(np.interp(share, middle, flat[order])) for share in shares]

    def draws(self, count: int, generator: np.random.Generator) -> tuple[Floats, Floats]:
        """Random (µ, σ), each array of length ``count``."""
        cells = generator.choice(self.weight.size, size=count, p=self.weight.ravel())
        rows = cells // self.weight.shape[1]
        jitter_mu, jitter_sigma = generator.uniform(-0.5, 0.5, (2, count))
        mu = self.mu.ravel()[cells] + jitter_mu * self.mu_step[rows]
        log_sigma = self.log_sigma.ravel()[cells] + jitter_sigma * self.log_sigma_step
        return mu, np.exp(log_sigma)


def _tails(level: float) -> tuple[float, float]:
    return (1.0 - level) / 2.0, (1.0 + level) / 2.0


@lru_cache(maxsize=128)
def spread_of(lives: tuple[Life, ...], model: LifeModel, log_sigma_top: float) -> Spread:
    """The spread of a fitted life; ``log_sigma_top`` is where its likelihood is highest.

    Prices and comparisons ask for the same life again and again, so the last ones are kept.
    """
    likelihood = Likelihood(lives, model)
    top = float(likelihood.profile(np.array([log_sigma_top]))[0])
    wide = log_sigma_top + np.linspace(-9.0, 9.0, 181)
    # Integrating over µ weighs a row by about σ as well.
    height = likelihood.profile(wide) + (wide - log_sigma_top)
    inside = wide[height > top - _DROP]
    low, high = float(inside[0]) - 0.1, float(inside[-1]) + 0.1
    closed = not likelihood.only_exact_and_right and low < math.log(_LEAST_SIGMA)
    if closed:
        low = min(math.log(_LEAST_SIGMA), log_sigma_top - 0.5)
    rows = np.linspace(low, high, _ROWS)
    sigma = np.exp(rows)
    best = likelihood.best_mu(sigma)
    floor = likelihood.at(best, sigma) - _DROP
    down = _reach(likelihood, best, sigma, floor, -1.0)
    up = _reach(likelihood, best, sigma, floor, 1.0)
    step = (down + up) / _COLUMNS
    mu = (best - down)[:, None] + step[:, None] * (np.arange(_COLUMNS) + 0.5)
    log_sigma = np.repeat(rows[:, None], _COLUMNS, axis=1)
    height = likelihood.at(mu, np.exp(log_sigma)) + np.log(step)[:, None]
    weight = np.exp(height - height.max())
    return Spread(mu, log_sigma, weight / weight.sum(), step, float(rows[1] - rows[0]), closed)


def _reach(
    likelihood: Likelihood, best: Floats, sigma: Floats, floor: Floats, sign: float
) -> Floats:
    """How far from the best µ of each σ the likelihood stays above its floor."""
    inside, outside = np.zeros_like(sigma), 4.0 * sigma
    for _ in range(12):
        above = likelihood.at(best + sign * outside, sigma) > floor
        if not above.any():
            break
        outside = np.where(above, outside * 2.0, outside)
    for _ in range(30):
        middle = (inside + outside) / 2.0
        above = likelihood.at(best + sign * middle, sigma) > floor
        inside, outside = np.where(above, middle, inside), np.where(above, outside, middle)
    return outside


def quantile_interval(
    lives: tuple[Life, ...], model: LifeModel, log_sigma_top: float, share: float, level: float
) -> tuple[float, float]:
    """Equal-tailed interval of the holes by which ``share`` of the edges have ended."""
    spread = spread_of(lives, model, log_sigma_top)
    return spread.quantile_interval(quantile_z(share, model), level)

"""Likelihood of lives that are known exactly, up to a bound, or between two bounds.

In logarithms both models are one family: log life = µ + σ·z, with z of the smallest extreme value
(Weibull: shape 1/σ, scale e^µ) or the normal distribution (lognormal: shape σ, scale e^µ, as
scipy names them). An exact life adds its density, a stopped one the chance of lasting longer, one
between two looks the chance of ending between them. Source: Meeker and Escobar, Statistical
Methods for Reliability Data, 1998, chapters 4, 7 and 8. The logarithm of this likelihood is
concave in (µ/σ, 1/σ) (Burridge, J. R. Statist. Soc. B 43, 1981), so it has one top.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from trials.life.lives import Life

LifeModel = Literal["weibull", "lognormal"]
Floats = NDArray[np.float64]

LOWEST = -1e300  # stands for the logarithm of zero, so that differences stay numbers
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
_LOG_ROOT_2_PI = 0.5 * math.log(2.0 * math.pi)


def log_survival(z: Floats, model: LifeModel) -> Floats:
    """Logarithm of the chance of lasting beyond the standardised log life ``z``."""
    if model == "weibull":
        return -np.exp(np.minimum(z, 600.0))
    from scipy.special import log_ndtr

    return np.asarray(log_ndtr(-z), dtype=float)


def log_density(z: Floats, model: LifeModel) -> Floats:
    """Logarithm of the density of the standardised log life."""
    if model == "weibull":
        return z - np.exp(np.minimum(z, 600.0))
    return np.asarray(-0.5 * np.minimum(z * z, 1e290) - _LOG_ROOT_2_PI, dtype=float)


def log_between(z_low: Floats, z_high: Floats, model: LifeModel) -> Floats:
    """Logarithm of the chance of ending between; ``z_low`` may be minus infinity."""
    if model == "weibull":
        return _log_difference(log_survival(z_low, model), log_survival(z_high, model))
    # In the upper half survivals, in the lower one their mirror: neither loses its digits.
    mirror = z_low + z_high < 0
    first = log_survival(np.where(mirror, -z_high, z_low), model)
    second = log_survival(np.where(mirror, -z_low, z_high), model)
    return _log_difference(first, second)


def _log_difference(larger: Floats, smaller: Floats) -> Floats:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(
            np.nan_to_num(
                larger + np.log(-np.expm1(np.minimum(smaller - larger, 0.0))),
                nan=LOWEST, neginf=LOWEST,
            )
        )  # fmt: skip


def quantile_z(share: float, model: LifeModel) -> float:
    """Standardised log life by which this share has ended."""
    if model == "weibull":
        return math.log(-math.log1p(-share))
    from statistics import NormalDist

    return NormalDist().inv_cdf(share)


class Likelihood:
    """Log-likelihood of (µ, σ) for one set of lives; arrays of µ and σ are broadcast."""

    def __init__(self, lives: Sequence[Life], model: LifeModel) -> None:
        self.model = model
        # Canonical order: the same lives give the same digits in whatever order they come.
        ordered = sorted(lives, key=lambda life: (life.low, life.high))
        self.exact = _logs(life.low for life in ordered if life.exact)
        self.right = _logs(life.low for life in ordered if not life.ended)
        between = [life for life in ordered if life.ended and not life.exact]
        self.low = _logs(life.low for life in between)
        self.high = _logs(life.high for life in between)
        self.failures = len(self.exact) + len(between)
        finite = np.concatenate([self.exact, self.right, self.low, self.high])
        finite = finite[np.isfinite(finite)]
        self.first, self.last = float(finite.min()), float(finite.max())
        self.only_exact_and_right = not between

    def at(self, mu: Floats | float, sigma: Floats | float) -> Floats:
        """Log-likelihood, with the density of holes (not of log holes)."""
        mu, sigma = np.broadcast_arrays(np.asarray(mu, dtype=float), np.asarray(sigma, float))
        total = np.zeros(mu.shape)
        if len(self.exact):
            z = (_tall(self.exact, mu) - mu) / sigma
            total += log_density(z, self.model).sum(axis=0)
            total -= len(self.exact) * np.log(sigma) + self.exact.sum()
        if len(self.right):
            total += log_survival((_tall(self.right, mu) - mu) / sigma, self.model).sum(axis=0)
        if len(self.low):
            z_low, z_high = ((_tall(end, mu) - mu) / sigma for end in (self.low, self.high))
            total += log_between(z_low, z_high, self.model).sum(axis=0)
        return np.maximum(total, LOWEST)

    def best_mu(self, sigma: Floats) -> Floats:
        """The µ of the highest likelihood at each σ."""
        if self.only_exact_and_right and self.model == "weibull":
            # e^(µ/σ) is the sum of t^(1/σ) over failures
            every = np.concatenate([self.exact, self.right])
            total = np.exp((_tall(every, sigma) - self.last) / sigma).sum(axis=0)
            return np.asarray(self.last + sigma * np.log(total / self.failures))
        reach = 6.0 * sigma + 1e-9
        return golden(
            lambda mu: self.at(mu, sigma), self.first - reach,
            self.last + reach + sigma * math.log(self.failures + len(self.right)),
        )  # fmt: skip

    def profile(self, log_sigma: Floats) -> Floats:
        """Highest log-likelihood at each log σ."""
        sigma = np.exp(log_sigma)
        return self.at(self.best_mu(sigma), sigma)


def _logs(values: Iterable[float]) -> Floats:
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(np.fromiter(values, dtype=float)))


def _tall(values: Floats, like: Floats) -> Floats:
    """Values along a new first axis, so that each meets every µ."""
    return values.reshape((-1,) + (1,) * np.ndim(like))


def golden(of: Callable[[Floats], Floats], low: Floats, high: Floats, steps: int = 64) -> Floats:
    """Where each of many one-topped functions is highest, by golden section side by side."""
    low, high = np.array(low, dtype=float), np.array(high, dtype=float)
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = of(left), of(right)
    for _ in range(steps):
        keep_left = at_left >= at_right
        low, high = np.where(keep_left, low, left), np.where(keep_left, right, high)
        new = np.where(keep_left, high - _GOLDEN * (high - low), low + _GOLDEN * (high - low))
        at_new = of(new)
        left, right = np.where(keep_left, new, right), np.where(keep_left, left, new)
        at_left, at_right = (
            np.where(keep_left, at_new, at_right), np.where(keep_left, at_left, at_new),
        )  # fmt: skip
    return np.asarray((low + high) / 2.0)


def highest(of: Callable[[Floats], Floats], low: float, high: float) -> tuple[float, float]:
    """Place and height of the top of a one-topped function of many values at once."""
    for _ in range(9):
        points = np.linspace(low, high, 41)
        top = int(np.argmax(of(points)))
        low, high = float(points[max(top - 1, 0)]), float(points[min(top + 1, 40)])
        if high - low < 1e-9:
            break
    middle = (low + high) / 2.0
    return middle, float(of(np.array([middle]))[0])

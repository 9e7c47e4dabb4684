"""A Gaussian process on top of known physics, fed with values, lower bounds and wild values.

y(x) = prior mean(x) + f(x) + noise, with f a straight line in the features (the uncertain
exponents) plus a smooth residual. The features are scaled so that every unknown slope has a prior
standard deviation of 1; so one dot-product kernel holds all of them.

Lower bounds enter by the chance of lasting longer (expectation propagation), values by a Student
likelihood (reweighting): each becomes a value with a variance, found by iteration, that
scikit-optimize's regressor takes as it is. Source: Rasmussen and Williams, Gaussian Processes for
Machine Learning, 2006, chapters 2 and 3. Residual and noise are averaged over a small table by
how well each pair explains the data, which keeps few runs from looking certain.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, log_ndtr
from skopt.learning import GaussianProcessRegressor
from skopt.learning.gaussian_process.kernels import ConstantKernel, DotProduct, Matern, Sum

Floats = NDArray[np.float64]

# Tails of the Student likelihood: one wild run among ten moves the rest little.
_STUDENT = 4.0
# Its 90 % interval is wider than a normal one of the same scale by this much (2.132 / 1.645).
_STUDENT_WIDTH = 1.296
_ITERATIONS, _SETTLED = 100, 1e-8
# Variance of a value that says nothing, and how much of each step of the iteration is taken.
_SAYS_NOTHING, _DAMPING = 1e8, 0.8
# Pairs of residual and noise that explain the data this much worse than the best are left out.
_LEAST_WEIGHT = 0.03


@dataclass(frozen=True, slots=True)
class Prior:
    """What is believed of one logarithmic quantity before any run.

    Args:
        level_sd: standard deviation of its level at the start.
        slopes_sd: of its exponents, one a feature.
        reach: change of each feature over which the residual forgets.
        residual_sd: standard deviations tried for what physics misses.
        noise_sd: standard deviations tried for the scatter from run to run.
        noise_expected: middle of the belief about the scatter.
    """

    level_sd: float
    slopes_sd: tuple[float, ...]
    reach: tuple[float, ...]
    residual_sd: tuple[float, ...]
    noise_sd: tuple[float, ...]
    noise_expected: float


@dataclass(frozen=True, slots=True)
class Observations:
    """Deviations from the prior mean, seen at features ``x`` of shape (runs, features).

    ``is_bound`` marks lower bounds; ``extra_sd`` is uncertainty of the single value beside the
    scatter; ``robust`` lets wild values count less.
    """

    x: Floats
    y: Floats
    is_bound: NDArray[np.bool_]
    extra_sd: Floats
    robust: bool

    def values_only(self) -> Observations:
        """Without the lower bounds."""
        keep = ~self.is_bound
        return Observations(
            self.x[keep], self.y[keep], self.is_bound[keep], self.extra_sd[keep], self.robust
        )


@dataclass(frozen=True, slots=True)
class _Member:
    regressor: GaussianProcessRegressor
    noise_sd: float
    weight: float


class LogProcess:
    """The belief about one logarithmic quantity, after the observations."""

    def __init__(self, prior: Prior, seen: Observations) -> None:
        self._slopes = np.asarray(prior.slopes_sd)
        self._tails = _STUDENT_WIDTH if seen.robust else 1.0
        fitted = []
        for residual_sd, noise_sd in itertools.product(prior.residual_sd, prior.noise_sd):
            kernel = DotProduct(prior.level_sd, "fixed") + ConstantKernel(
                residual_sd**2, "fixed"
            ) * Matern(np.asarray(prior.reach) * self._slopes, "fixed", nu=2.5)
            # Only values weigh the pairs: a lower bound may raise what is expected, and must not
            # lower it by the way of another residual.
            regressor, evidence = _fit(kernel, seen.values_only(), self._slopes, noise_sd)
            if seen.is_bound.any():
                regressor, _ = _fit(kernel, seen, self._slopes, noise_sd)
            evidence -= 0.5 * (math.log(noise_sd / prior.noise_expected) / 0.6) ** 2
            fitted.append((regressor, noise_sd, evidence))
        best = max(evidence for *_, evidence in fitted)
        members = [
            _Member(regressor, noise_sd, math.exp(evidence - best))
            for regressor, noise_sd, evidence in fitted
            if math.exp(evidence - best) >= _LEAST_WEIGHT
        ]
        total = sum(member.weight for member in members)
        self._members = members
        self._weights = [member.weight / total for member in members]

    def at(self, x: Floats) -> tuple[Floats, Floats, float]:
        """Mean deviation and its standard deviation at features ``x``; scatter from run to run."""
        scaled = x * self._slopes
        means, variances = [], []
        for member in self._members:
            mean, sd = (
                member.regressor.predict(scaled, return_std=True)
                if len(x)  # scikit-learn refuses to predict nothing
                else (np.zeros(0), np.zeros(0))
            )
            means.append(mean)
            variances.append(sd**2)
        mean = sum((w * m for w, m in zip(self._weights, means, strict=True)), np.zeros(len(x)))
        square = sum(
            (
                w * (v + (m - mean) ** 2)
                for w, v, m in zip(self._weights, variances, means, strict=True)
            ),
            np.zeros(len(x)),
        )
        noise = math.sqrt(
            sum(w * m.noise_sd**2 for w, m in zip(self._weights, self._members, strict=True))
        )
        return mean, np.sqrt(square), noise * self._tails


def _fit(
    kernel: Sum, seen: Observations, slopes: Floats, noise_sd: float
) -> tuple[GaussianProcessRegressor, float]:
    """The regressor with its sites settled, and the logarithm of the evidence."""
    count = len(seen.y)
    if count == 0:
        return GaussianProcessRegressor(kernel=kernel, optimizer=None), 0.0
    x = seen.x * slopes
    base = noise_sd**2 + seen.extra_sd**2
    target = seen.y.copy()
    variance = np.where(seen.is_bound, _SAYS_NOTHING, base)
    covariance = kernel(x)
    f = np.full(count, np.inf)
    for _ in range(_ITERATIONS):
        before = f
        weights = np.linalg.solve(covariance + np.diag(variance), covariance).T
        f = weights @ target
        if float(np.max(np.abs(f - before))) < _SETTLED:
            break
        if seen.robust:
            wild = (_STUDENT * base + (seen.y - f) ** 2) / (_STUDENT + 1.0)
            variance = np.where(seen.is_bound, variance, wild)
        if seen.is_bound.any():
            spread = np.diag(covariance) - np.einsum("ij,ij->i", weights, covariance)
            target, variance = _bounds(f, spread, target, variance, seen, base)
    regressor = GaussianProcessRegressor(kernel=kernel, alpha=variance, optimizer=None)
    regressor.fit(x, target)
    evidence = float(regressor.log_marginal_likelihood_value_)
    if seen.robust:
        evidence += float(
            (_log_student(seen.y - f, base) - _log_normal(target - f, variance)).sum()
        )
    return regressor, evidence


def _bounds(
    f: Floats, spread: Floats, target: Floats, variance: Floats, seen: Observations, base: Floats
) -> tuple[Floats, Floats]:
    """Lower bounds as values with a variance: one step of expectation propagation.

    What is believed without a bound (its cavity) and the chance of lasting longer are combined
    exactly in mean and variance; the value that does the same to the cavity stands for the bound.
    Source: Rasmussen and Williams 2006, section 3.6, with Φ((f − bound)/σ).
    """
    bound = seen.is_bound
    precision = np.maximum(1.0 / np.maximum(spread, 1e-12) - 1.0 / variance, 1e-9)[bound]
    cavity_variance = 1.0 / precision
    cavity = cavity_variance * (f / np.maximum(spread, 1e-12) - target / variance)[bound]
    total = np.sqrt(base[bound] + cavity_variance)
    z = (cavity - seen.y[bound]) / total
    ratio = np.exp(-0.5 * z**2 - log_ndtr(z)) / math.sqrt(2.0 * math.pi)
    mean = cavity + cavity_variance * ratio / total
    shrink = np.clip(cavity_variance * ratio * (z + ratio) / total**2, 0.0, 1.0 - 1e-9)
    # Precision of the stand-in from v = c·(1 − shrink): 1/v − 1/c = shrink / (c·(1 − shrink)).
    site = np.maximum(shrink / (1.0 - shrink) * precision, 1.0 / _SAYS_NOTHING)
    pull = mean * (precision + site) - cavity * precision
    before, pull_before = 1.0 / variance[bound], target[bound] / variance[bound]
    site = _DAMPING * site + (1.0 - _DAMPING) * before
    pull = _DAMPING * pull + (1.0 - _DAMPING) * pull_before
    target, variance = target.copy(), variance.copy()
    target[bound], variance[bound] = pull / site, 1.0 / site
    return target, variance


def _log_student(difference: Floats, scale_squared: Floats) -> Floats:
    half = (_STUDENT + 1.0) / 2.0
    result: Floats = (
        gammaln(half)
        - gammaln(_STUDENT / 2.0)
        - 0.5 * np.log(_STUDENT * math.pi * scale_squared)
        - half * np.log1p(difference**2 / scale_squared / _STUDENT)
    )
    return result


def _log_normal(difference: Floats, variance: Floats) -> Floats:
    result: Floats = -0.5 * (difference**2 / variance + np.log(2.0 * math.pi * variance))
    return result


def observations(
    x: Sequence[Floats], y: Sequence[float], *, is_bound: Sequence[bool] | None = None,
    extra_sd: Sequence[float] | None = None, robust: bool = False, features: int = 0,
) -> Observations:  # fmt: skip
    """Pack lists of single observations; ``features`` is needed when there are none."""
    count = len(y)
    return Observations(
        x=np.asarray(x, dtype=float).reshape(count, -1) if count else np.zeros((0, features)),
        y=np.asarray(y, dtype=float),
        is_bound=np.asarray(is_bound if is_bound is not None else [False] * count, dtype=bool),
        extra_sd=np.asarray(extra_sd if extra_sd is not None else [0.0] * count, dtype=float),
        robust=robust,
    )

"""Weibull and lognormal lives with right censoring, by maximum likelihood; verdicts when few.

In logarithms both are one family: log life = µ + σ·z with z of the smallest extreme value
(Weibull: shape 1/σ, scale e^µ) or the normal distribution (lognormal: shape σ, scale e^µ, as
scipy names them). An ended life adds its density to the likelihood, a stopped one the chance of
lasting longer. Intervals hold every value whose profile likelihood is within the chi-square limit
of the highest. Source: Meeker and Escobar, Statistical Methods for Reliability Data, 1998,
chapters 4 and 8. scipy fits the same censored likelihood but gives no intervals.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq, minimize_scalar
from scipy.stats import chi2, norm

from trials.errors import require

LifeModel = Literal["weibull", "lognormal"]
Floats = NDArray[np.float64]

FEWEST_FAILURES = 3
# Where log σ is searched: from lives equal to a ten-thousandth to lives without any pattern.
_LOG_SIGMA = (math.log(1e-4), math.log(20.0))


@dataclass(frozen=True, slots=True)
class LifeFit:
    """A fitted life, or the reason why there is none: then ``ok`` is false and numbers are None.

    Args:
        model: ``weibull`` or ``lognormal``.
        lives: edges in the data; ``failures`` of them ended, the others were stopped.
        failures: see above.
        verdict: empty when there is a fit; else what is missing, in one sentence.
        shape: Weibull shape, or the standard deviation of log life of a lognormal.
        scale: holes by which 63.2 % (Weibull) or 50 % (lognormal) of edges have ended.
        log_likelihood: natural logarithm, with the density of holes (not of log holes).
        intervals: ``{"shape": (low, high), "scale": (low, high)}`` at ``level``, by profile
            likelihood; empty without a fit.
        level: confidence of the intervals.
        note: what to keep in mind when reading the numbers.
    """

    model: LifeModel
    lives: int
    failures: int
    verdict: str = ""
    shape: float | None = None
    scale: float | None = None
    log_likelihood: float | None = None
    intervals: dict[str, tuple[float, float]] = field(default_factory=dict)
    level: float = 0.9
    note: str = ""

    @property
    def ok(self) -> bool:
        """Whether there is a fit."""
        return not self.verdict

    @property
    def aic(self) -> float | None:
        """Akaike's criterion, 4 − 2 · log-likelihood; None without a fit."""
        return None if self.log_likelihood is None else 4.0 - 2.0 * self.log_likelihood

    def holes_at(self, ended_share: float) -> float | None:
        """Holes by which this share of edges has ended (0.1 → B10); None without a fit.

        Raises:
            InputError: the share is not between 0 and 1.
        """
        require(0 < ended_share < 1, "share of edges that have ended", ended_share,
                "between 0 and 1")  # fmt: skip
        if self.shape is None or self.scale is None:
            return None
        if self.model == "weibull":
            return float(self.scale * (-math.log1p(-ended_share)) ** (1.0 / self.shape))
        return float(self.scale * math.exp(self.shape * float(norm.ppf(ended_share))))

    def __str__(self) -> str:
        if self.shape is None or self.scale is None:
            return self.verdict
        low, high = self.intervals["scale"]
        return (
            f"{self.model} life from {self.failures} ended of {self.lives} edges: shape "
            f"{self.shape:.3g}, scale {self.scale:.4g} holes ({low:.4g} to {high:.4g}). {self.note}"
        ).strip()


def fit_life(
    holes: Sequence[float], ended: Sequence[bool], model: LifeModel = "weibull", *,
    level: float = 0.9,
) -> LifeFit:  # fmt: skip
    """Fit the life of edges that drilled ``holes`` each.

    Args:
        holes: holes of each edge, more than 0.
        ended: True where the edge's life ended there, False where it was stopped (censored).
        model: ``weibull`` or ``lognormal``.
        level: confidence of the intervals, between 0.5 and 1.

    Returns:
        The fit, or a verdict "not enough failures" when fewer than three lives ended, or when the
        lives do not scatter so that no shape can be found. Maximum likelihood finds too high a
        Weibull shape from few failures; the note says so below ten.

    Raises:
        InputError: lengths differ, a life is not a number above 0, or the model is unknown.
    """
    require(model in get_args(LifeModel), "model of the life", model,
            "one of " + ", ".join(get_args(LifeModel)))  # fmt: skip
    require(0.5 <= level < 1, "level of the intervals", level, "0.5 up to but not 1")
    require(len(holes) == len(ended), "lives and their ends", f"{len(holes)} and {len(ended)}",
            "one end for each life")  # fmt: skip
    times = np.asarray(holes, dtype=float)
    for number, value in enumerate(times.tolist(), start=1):
        require(0 < value < math.inf, f"life {number}", value, "a number of holes above 0")
    failed = np.asarray(ended, dtype=bool)
    failures = int(failed.sum())
    if failures < FEWEST_FAILURES:
        return LifeFit(
            model, len(times), failures, level=level,
            verdict=f"not enough failures: {failures} of {len(times)} edges came to their end, "
            f"and a life cannot be fitted to fewer than {FEWEST_FAILURES}. Let more edges wear "
            "out, or judge by the lower bounds.",
        )  # fmt: skip
    # Canonical order: the same lives give the same digits in whatever order they come.
    order = np.lexsort((~failed, times))
    return _fit(_Likelihood(np.log(times[order]), failed[order], model), level)


def _fit(likelihood: _Likelihood, level: float) -> LifeFit:
    found = minimize_scalar(
        lambda s: -likelihood.at(likelihood.best_mu(s), s),
        bounds=_LOG_SIGMA, method="bounded", options={"xatol": 1e-10},
    )  # fmt: skip
    log_sigma = float(found.x)
    model, lives, failures = likelihood.model, len(likelihood.y), likelihood.failures
    if log_sigma < _LOG_SIGMA[0] + 0.7:
        return LifeFit(
            model, lives, failures, level=level,
            verdict=f"not enough scatter: the {failures} lives that ended are the same, so no "
            "shape can be found. Were they all stopped at the same hole?",
        )  # fmt: skip
    mu = likelihood.best_mu(log_sigma)
    top = likelihood.at(mu, log_sigma)
    floor = top - float(chi2.ppf(level, 1)) / 2.0

    def over_sigma(s: float) -> float:
        return likelihood.at(likelihood.best_mu(s), s) - floor

    def over_mu(m: float) -> float:
        best = minimize_scalar(
            lambda s: -likelihood.at(m, s), bounds=_LOG_SIGMA, method="bounded",
            options={"xatol": 1e-8},
        )  # fmt: skip
        return -float(best.fun) - floor

    sigma = math.exp(log_sigma)
    log_sigmas = _crossings(over_sigma, log_sigma, 0.2, _LOG_SIGMA)
    mus = _crossings(over_mu, mu, 0.2 * sigma, (mu - 50.0, mu + 50.0))
    sigmas = (math.exp(log_sigmas[0]), math.exp(log_sigmas[1]))
    shape, shapes = (
        (1.0 / sigma, (1.0 / sigmas[1], 1.0 / sigmas[0])) if model == "weibull" else (sigma, sigmas)
    )
    return LifeFit(
        model, lives, failures, shape=shape, scale=math.exp(mu), log_likelihood=top,
        intervals={"shape": shapes, "scale": (math.exp(mus[0]), math.exp(mus[1]))}, level=level,
        note=""
        if failures >= 10
        else f"From only {failures} failures the scatter comes out too small on average.",
    )  # fmt: skip


def _crossings(
    over: Callable[[float], float], middle: float, step: float, bounds: tuple[float, float]
) -> tuple[float, float]:
    """Where ``over`` falls to zero left and right of ``middle``; a bound where it does not."""
    ends = []
    for sign, bound in ((-1.0, bounds[0]), (1.0, bounds[1])):
        reach = step
        while True:
            at = middle + sign * reach
            if (at - bound) * sign >= 0:
                at = bound
            if over(at) < 0:
                ends.append(float(brentq(over, middle, at, xtol=1e-9)))
                break
            if at == bound:
                ends.append(bound)
                break
            reach *= 2.0
    return ends[0], ends[1]


class _Likelihood:
    """Log-likelihood of (µ, log σ) of log lives ``y``, some of them censored."""

    def __init__(self, y: Floats, failed: NDArray[np.bool_], model: LifeModel) -> None:
        self.y = y
        self.failed = failed
        self.failures = int(failed.sum())
        self.model = model

    def at(self, mu: float, log_sigma: float) -> float:
        z = (self.y - mu) / math.exp(log_sigma)
        if self.model == "weibull":
            survived = -np.exp(np.minimum(z, 700.0))
            density = z + survived
        else:
            survived = norm.logsf(z)
            density = norm.logpdf(z)
        each = np.where(self.failed, density - log_sigma - self.y, survived)
        return float(each.sum())

    def best_mu(self, log_sigma: float) -> float:
        """The µ of the highest likelihood at this σ."""
        sigma = math.exp(log_sigma)
        if self.model == "weibull":  # closed form: e^(µ/σ) is the mean of t^(1/σ) over failures
            highest = float(self.y.max())
            total = float(np.exp((self.y - highest) / sigma).sum())
            return highest + sigma * math.log(total / self.failures)

        def score(mu: float) -> float:
            z = (self.y - mu) / sigma
            hazard = np.exp(norm.logpdf(z) - norm.logsf(z))
            return float(np.where(self.failed, z, hazard).sum())

        low = high = float(self.y[self.failed].mean())
        while score(high) > 0:
            high += sigma
        return low if low == high else float(brentq(score, low, high, xtol=1e-12))

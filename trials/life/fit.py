"""The life of a drill type at given cutting data, from few edges; verdicts when too few ended."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import get_args

import numpy as np

from trials.errors import require
from trials.life._likelihood import (
    Floats,
    LifeModel,
    Likelihood,
    highest,
    log_survival,
    quantile_z,
)  # fmt: skip
from trials.life._spread import Spread, spread_of
from trials.life.lives import Life, lives_of

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
        intervals: ``{"shape": (low, high), "scale": ..., "b10": ...}`` at ``level``, by integrated
            likelihood (see `interval_at`); empty without a fit. A shape may be unbounded above
            (infinite) when lives are known between looks only.
        level: confidence of the intervals.
        note: what to keep in mind when reading the numbers.
        data: the lives it was fitted to.
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
    data: tuple[Life, ...] = field(default=(), repr=False)

    @property
    def ok(self) -> bool:
        """Whether there is a fit."""
        return not self.verdict

    @property
    def aic(self) -> float | None:
        """Akaike's criterion, 4 − 2 · log-likelihood; None without a fit."""
        return None if self.log_likelihood is None else 4.0 - 2.0 * self.log_likelihood

    @property
    def b10(self) -> float | None:
        """Holes by which one edge in ten has ended; None without a fit."""
        return self.holes_at(0.1)

    @property
    def mean(self) -> float | None:
        """Mean life of an edge, holes; None without a fit."""
        if self.shape is None or self.scale is None:
            return None
        if self.model == "weibull":
            return self.scale * math.exp(math.lgamma(1.0 + 1.0 / self.shape))
        return self.scale * math.exp(self.shape**2 / 2.0)

    @property
    def shape_bias(self) -> float | None:
        """Factor by which this shape comes out too high (Weibull) or low on average.

        Weibull: 1 + 1.37/(r − 1.92)·√(n/r) with r of n edges ended, Ross, IEEE Transactions on
        Dielectrics and Electrical Insulation 3(1), 1996 (from memory; the tests simulate it).
        Lognormal: √(2/r)·Γ(r/2)/Γ((r − 1)/2), exact when all r ended (chi distribution).
        """
        if self.shape is None:
            return None
        r = self.failures
        if self.model == "weibull":
            return 1.0 + 1.37 / (r - 1.92) * math.sqrt(self.lives / r)
        return math.sqrt(2.0 / r) * math.exp(math.lgamma(r / 2.0) - math.lgamma((r - 1.0) / 2.0))

    def holes_at(self, ended_share: float) -> float | None:
        """Holes by which this share of edges has ended (0.1 → B10); None without a fit.

        Raises:
            InputError: the share is not between 0 and 1.
        """
        _require_share(ended_share)
        if self.shape is None or self.scale is None:
            return None
        return self.scale * math.exp(self._sigma * quantile_z(ended_share, self.model))

    def interval_at(self, ended_share: float, level: float | None = None) -> tuple[float, float]:
        """Holes between which this share of edges has ended, by integrated likelihood.

        Equal-tailed; covers with its stated chance also for three lives (see docs/life.md).

        Raises:
            InputError: the share or the level is not possible, or there is no fit.
        """
        _require_share(ended_share)
        chosen = self.level if level is None else level
        _require_level(chosen)
        return self._spread().quantile_interval(quantile_z(ended_share, self.model), chosen)

    def profile_interval(self, of: float | str, level: float | None = None) -> tuple[float, float]:
        """The usual large-sample interval: values whose profile likelihood is within chi-square.

        It is too narrow for fewer than about ten failures; ``intervals`` and `interval_at` are
        the ones to decide by. Source: Meeker and Escobar 1998, section 8.3.

        Args:
            of: ``"shape"``, ``"scale"``, or the share of edges ended (0.1 → B10).
            level: confidence; that of the fit when left out.
        """
        from trials.life._profile import profile_interval

        chosen = self.level if level is None else level
        _require_level(chosen)
        require(self.ok, "interval of a life", "no fit", "a fit", self.verdict)
        likelihood = Likelihood(self.data, self.model)
        if of == "shape":
            sigmas = profile_interval(likelihood, math.log(self._sigma), None, chosen)
            return (1.0 / sigmas[1], 1.0 / sigmas[0]) if self.model == "weibull" else sigmas
        share = (1.0 - math.exp(-1.0) if self.model == "weibull" else 0.5) if of == "scale" else of
        require(isinstance(share, float), "interval of a life", of, "shape, scale, or a share")
        _require_share(float(share))
        z = quantile_z(float(share), self.model)
        return profile_interval(likelihood, math.log(self._sigma), z, chosen)

    def lasting(self, holes: float) -> tuple[float, float, float]:
        """Chance that an edge lasts more than so many holes: low, best, high.

        Raises:
            InputError: holes are not above 0, or there is no fit.
        """
        require(0 < holes < math.inf, "holes", holes, "more than 0")
        spread = self._spread()
        assert self.scale is not None  # noqa: S101 - a spread exists only with a fit
        best = (math.log(holes) - math.log(self.scale)) / self._sigma
        each = np.exp(
            log_survival((math.log(holes) - spread.mu) / np.exp(spread.log_sigma), self.model)
        )
        low, high = spread.interval_of(each, self.level)
        return low, float(np.exp(log_survival(np.array(best), self.model))), high

    def draws(self, count: int, seed: int = 0) -> tuple[Floats, Floats]:
        """Random (shape, scale) that the lives allow, for carrying the uncertainty on.

        Raises:
            InputError: there is no fit.
        """
        mu, sigma = self._spread().draws(count, np.random.default_rng(seed))
        shape = 1.0 / sigma if self.model == "weibull" else sigma
        return shape, np.exp(np.clip(mu, -700, 700))

    @property
    def _sigma(self) -> float:
        assert self.shape is not None  # noqa: S101 - callers have looked
        return 1.0 / self.shape if self.model == "weibull" else self.shape

    def _spread(self) -> Spread:
        require(self.ok, "interval of a life", "no fit", "a fit", self.verdict)
        return spread_of(self.data, self.model, math.log(self._sigma))

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
        Weibull shape from few failures; the note says by how much.

    Raises:
        InputError: lengths differ, a life is not a number above 0, or the model is unknown.
    """
    return fit_lives(lives_of(holes, ended), model, level=level)


def fit_lives(
    lives: Sequence[Life], model: LifeModel = "weibull", *, level: float = 0.9
) -> LifeFit:
    """Fit lives that ended at a known hole, were stopped, or ended between two looks.

    See `fit_life` for what comes back.

    Raises:
        InputError: a life does not end above 0 holes, or the model or level is unknown.
    """
    require(model in get_args(LifeModel), "model of the life", model,
            "one of " + ", ".join(get_args(LifeModel)))  # fmt: skip
    _require_level(level)
    for number, life in enumerate(lives, start=1):
        require(life.low > 0 or life.ended, f"life {number}", life.low, "a number of holes above 0")
    data = tuple(sorted(lives, key=lambda life: (life.low, life.high, life.mode or "")))
    failures = sum(life.ended for life in data)

    def no_fit(why: str) -> LifeFit:
        return LifeFit(model, len(data), failures, level=level, data=data, verdict=why)

    if failures < FEWEST_FAILURES:
        return no_fit(
            f"not enough failures: {failures} of {len(data)} edges came to their end, "
            f"and a life cannot be fitted to fewer than {FEWEST_FAILURES}. Let more edges wear "
            "out, or judge by the lower bounds."
        )
    likelihood = Likelihood(data, model)
    log_sigma, top = highest(likelihood.profile, *_LOG_SIGMA)
    # One number of holes that every life allows leaves the scatter free to be nothing.
    same = max(life.low for life in data) <= min(life.high for life in data)
    if log_sigma < _LOG_SIGMA[0] + 0.7 or same:
        return no_fit(
            f"not enough scatter: the {failures} lives that ended may all be the same, so "
            "no shape can be found. Were they all stopped at the same hole, or looked at too "
            "seldom?"
        )
    if log_sigma > _LOG_SIGMA[1] - 0.01:
        return no_fit(
            f"no bound on the scatter: the {failures} lives that ended may be however "
            "short, so no shape can be found. Look at edges more often, so that it is known after "
            "which hole they still cut."
        )
    return _fitted(data, likelihood, log_sigma, top, level)


def _fitted(
    data: tuple[Life, ...], likelihood: Likelihood, log_sigma: float, top: float, level: float
) -> LifeFit:
    model, sigma = likelihood.model, math.exp(log_sigma)
    scale = math.exp(float(likelihood.best_mu(np.array([sigma]))[0]))
    spread = spread_of(data, model, log_sigma)
    sigmas = spread.sigma_interval(level)
    shapes = (
        (1.0 / sigmas[1], math.inf if sigmas[0] == 0 else 1.0 / sigmas[0])
        if model == "weibull"
        else sigmas
    )
    failures = likelihood.failures
    return LifeFit(
        model, len(data), failures, level=level, data=data,
        shape=1.0 / sigma if model == "weibull" else sigma, scale=scale, log_likelihood=top,
        intervals={
            "shape": shapes,
            "scale": spread.quantile_interval(0.0, level),
            "b10": spread.quantile_interval(quantile_z(0.1, model), level),
        },
        note=_bias_note(model, failures, len(data)),
    )  # fmt: skip


def _bias_note(model: LifeModel, failures: int, lives: int) -> str:
    if failures >= 10:
        return ""
    bias = LifeFit(model, lives, failures, shape=1.0).shape_bias or 1.0
    off = f"about {100 * abs(bias - 1):.0f} %"
    return (
        f"From only {failures} failures the scatter comes out too small: the shape is on average "
        f"{off} too {'high' if model == 'weibull' else 'low'}. The ranges allow for it."
    )


def _require_share(share: float) -> None:
    require(0 < share < 1, "share of edges that have ended", share, "between 0 and 1")


def _require_level(level: float) -> None:
    require(0.5 <= level < 1, "level of the intervals", level, "0.5 up to but not 1")

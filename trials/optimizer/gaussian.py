"""A Gaussian process on top of known physics, fed with values, lower bounds and wild values.

y(x) = prior mean(x) + f(x) + noise, with f a straight line in the features (the uncertain
exponents) plus a smooth residual. The features are scaled so that every unknown slope has a prior
standard deviation of 1; so one dot-product kernel holds all of them.

Lower bounds enter by the chance of lasting longer (expectation propagation), values by a Student
likelihood (reweighting): each becomes a value with a variance, found by iteration. Covariances are
those of scikit-optimize's kernels; the regression is solved here, because all members of the table
share them. Source: Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, chapters
2 and 3. Residual and noise are averaged over a small table by how well each pair explains the
data, which keeps few runs from looking certain.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, log_ndtr
from skopt.learning.gaussian_process.kernels import DotProduct, Matern

Floats = NDArray[np.float64]
Shape = Callable[[Floats], Floats]

# Tails of the Student likelihood: one wild run among ten moves the rest little.
_STUDENT = 4.0
# Its 90 % interval is wider than a normal one of the same scale by this much (2.132 / 1.645).
_STUDENT_WIDTH = 1.296
_ITERATIONS, _SETTLED = 100, 1e-8
# Variance of a value that says nothing, and how much of each step of the iteration is taken.
_SAYS_NOTHING, _DAMPING = 1e8, 0.8
# Pairs of residual and noise that explain the data this much worse than the best are left out.
_LEAST_WEIGHT = 0.05
# So much the less for shapes that only a look ahead asks for.
_LEAST_TO_LOOK_AHEAD = 0.01


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
        shapes: what physics may add to the mean, each with the belief in it; what is missing to 1
            is the belief in none of them.
    """

    level_sd: float
    slopes_sd: tuple[float, ...]
    reach: tuple[float, ...]
    residual_sd: tuple[float, ...]
    noise_sd: tuple[float, ...]
    noise_expected: float
    shapes: tuple[tuple[float, Shape], ...] = ()


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
class _Fit:
    """One member of the table, settled: mean at x is k·``pull``, variance k·``inverse``·k less."""

    residual_sd: float
    noise_sd: float
    pull: Floats
    inverse: Floats
    evidence: float


@dataclass(frozen=True, slots=True)
class Joint:
    """What one explanation expects at two sets of places together; ``weight`` is its belief.

    Means and their standard deviations, without scatter, and the covariance between the sets.
    """

    weight: float
    mean: Floats
    known_sd: Floats
    others_mean: Floats
    others_known_sd: Floats
    covariance: Floats


class LogProcess:
    """The belief about one logarithmic quantity, after the observations."""

    def __init__(self, prior: Prior, seen: Observations) -> None:
        self._slopes = np.asarray(prior.slopes_sd)
        self._tails = _STUDENT_WIDTH if seen.robust else 1.0
        self._line = DotProduct(prior.level_sd, "fixed")
        self._smooth = Matern(np.asarray(prior.reach) * self._slopes, "fixed", nu=2.5)
        self._x = seen.x * self._slopes
        table = list(itertools.product(prior.residual_sd, prior.noise_sd))
        belief = [1.0 - sum(share for share, _ in prior.shapes)]
        belief += [share for share, _ in prior.shapes]
        self._shapes: list[Shape] = [_no_shape, *(shape for _, shape in prior.shapes)]
        # Only values weigh the table: a lower bound may raise what is expected, and must not lower
        # it by the way of another residual. Pairs are weighed without a shape, shapes with the
        # best pair, which is nearly as good as all with all.
        values, which = seen.values_only(), ~seen.is_bound
        plain = self._fit(values, which, [(0, pair) for pair in table])
        pairs = _weights([
            fit.evidence - 0.5 * (math.log(fit.noise_sd / prior.noise_expected) / 0.6) ** 2
            for fit in plain
        ])  # fmt: skip
        likeliest = int(np.argmax(pairs))
        best = table[likeliest]
        shaped = self._fit(values, which, [(index, best) for index in range(1, len(self._shapes))])
        told = [
            math.log(share) + fit.evidence
            for share, fit in zip(belief, [plain[likeliest], *shaped], strict=True)
        ]
        shapes = _weights(told)
        members = [
            (pair * shape, index, table[i])
            for i, pair in enumerate(pairs)
            for index, shape in enumerate(shapes)
            if pair > 0 and shape > 0
        ]
        heaviest = max(weight for weight, *_ in members)
        members = [member for member in members if member[0] >= _LEAST_WEIGHT * heaviest]
        kept = [(index, pair) for _, index, pair in members]
        everything = np.ones(len(seen.y), dtype=bool)
        fits = self._fit(seen, everything, kept)
        self._fits = [(index, fit) for (index, _), fit in zip(kept, fits, strict=True)]
        weights = np.asarray([weight for weight, *_ in members])
        self._weights = weights / weights.sum()
        self._seen, self._told, self._best = seen, told, best

    @cached_property
    def _also(self) -> list[tuple[float, int, _Fit]]:
        """Little believed shapes, each with the best pair: only a look ahead asks for them."""
        everything = np.ones(len(self._seen.y), dtype=bool)
        weights = _weights(self._told, _LEAST_TO_LOOK_AHEAD).tolist()
        kept = {index for index, _ in self._fits}
        left = [index for index, weight in enumerate(weights) if weight > 0 and index not in kept]
        fits = self._fit(self._seen, everything, [(index, self._best) for index in left])
        return [(weights[index], index, fit) for index, fit in zip(left, fits, strict=True)]

    def _fit(
        self,
        seen: Observations,
        which: NDArray[np.bool_],
        members: Sequence[tuple[int, tuple[float, float]]],
    ) -> list[_Fit]:
        """One fit for each shape, by its index, with a pair of residual and noise."""
        x = self._x[which]
        if not members or not len(x):
            return [_Fit(*pair, np.zeros(0), np.zeros((0, 0)), 0.0) for _, pair in members]
        residual, noise = np.asarray([pair for _, pair in members]).T
        line, smooth = self._line(x), self._smooth(x)
        shapes = {index: self._shapes[index](seen.x) for index in {index for index, _ in members}}
        y = seen.y - np.asarray([shapes[index] for index, _ in members])
        return _settled(line + residual[:, None, None] ** 2 * smooth, y, seen, residual, noise)

    def at(self, x: Floats) -> tuple[Floats, Floats, float]:
        """Mean deviation and its standard deviation at features ``x``; scatter from run to run."""
        scaled = x * self._slopes
        mean, square = np.zeros(len(x)), np.zeros(len(x))
        noise = float(self._weights @ [fit.noise_sd**2 for _, fit in self._fits])
        if len(x) == 0:
            return mean, square, math.sqrt(noise) * self._tails
        bare = self._line.diag(scaled)
        shapes = {index: self._shapes[index](x) for index in {index for index, _ in self._fits}}
        if len(self._x):
            line, smooth = self._line(scaled, self._x), self._smooth(scaled, self._x)
        found = []
        for index, fit in self._fits:
            one, variance = shapes[index], bare + fit.residual_sd**2
            if len(self._x):
                to_runs = line + fit.residual_sd**2 * smooth
                one = one + to_runs @ fit.pull
                variance = variance - ((to_runs @ fit.inverse) * to_runs).sum(axis=1)
            found.append((one, np.maximum(variance, 0.0)))
        for weight, (one, _) in zip(self._weights, found, strict=True):
            mean += weight * one
        for weight, (one, variance) in zip(self._weights, found, strict=True):
            square += weight * (variance + (one - mean) ** 2)
        return mean, np.sqrt(square), math.sqrt(noise) * self._tails

    def explanations(self, x: Floats, others: Floats) -> list[Joint]:
        """What each shape, and none, lets expect at features ``x`` and ``others``.

        Weights sum to 1; pairs of residual and noise with the same shape are one explanation.
        """
        left = 1.0 - sum(weight for weight, *_ in self._also)
        members = [
            *((left * w, i, fit) for w, (i, fit) in zip(self._weights, self._fits, strict=True)),
            *self._also,
        ]
        together = np.vstack([x, others])
        scaled, count = together * self._slopes, len(x)
        bare = self._line.diag(scaled)
        line, smooth = (k(scaled[:count], scaled[count:]) for k in (self._line, self._smooth))
        runs_line, runs_smooth = np.zeros((2, len(together), 0))
        if len(self._x):
            runs_line, runs_smooth = self._line(scaled, self._x), self._smooth(scaled, self._x)
        found = []
        for index in sorted({index for _, index, _ in members}):
            own = [(weight, fit) for weight, of, fit in members if of == index]
            total = sum(weight for weight, _ in own)
            shares = np.asarray([weight / total for weight, _ in own])
            mean = np.tile(self._shapes[index](together), (len(own), 1))
            variance, covariance = np.zeros(len(together)), np.zeros(line.shape)
            for place, (share, (_, fit)) in enumerate(zip(shares, own, strict=True)):
                square = fit.residual_sd**2
                to_runs = runs_line + square * runs_smooth
                half = to_runs @ fit.inverse
                mean[place] += to_runs @ fit.pull
                variance += share * np.maximum(bare + square - (half * to_runs).sum(axis=1), 0.0)
                covariance += share * (line + square * smooth - half[:count] @ to_runs[count:].T)
            # What the pairs differ in counts as doubt that they share.
            middle = shares @ mean
            apart = mean - middle
            sd = np.sqrt(variance + shares @ apart**2)
            covariance += (apart[:, :count] * shares[:, None]).T @ apart[:, count:]
            found.append(
                Joint(
                    float(total), middle[:count], sd[:count], middle[count:], sd[count:], covariance
                )
            )
        return found

    def difference(self, above: Floats, below: Floats) -> tuple[float, float]:
        """Expected difference between two points, features of shape (1, n), and its doubt."""
        pair = np.vstack([above, below]) * self._slopes
        line, smooth = self._line(pair), self._smooth(pair)
        to_line, to_smooth = np.zeros((2, 0)), np.zeros((2, 0))
        if len(self._x):
            to_line, to_smooth = self._line(pair, self._x), self._smooth(pair, self._x)
        means, squares = [], []
        for index, fit in self._fits:
            shape = self._shapes[index]
            bare = line + fit.residual_sd**2 * smooth
            to_runs = to_line + fit.residual_sd**2 * to_smooth
            step = to_runs[0] - to_runs[1]
            means.append(float(shape(above)[0] - shape(below)[0] + step @ fit.pull))
            variance = bare[0, 0] + bare[1, 1] - 2 * bare[0, 1] - step @ fit.inverse @ step
            squares.append(max(float(variance), 0.0))
        mean = float(self._weights @ means)
        spread = self._weights @ (np.asarray(squares) + (np.asarray(means) - mean) ** 2)
        return mean, math.sqrt(float(spread))


def _no_shape(x: Floats) -> Floats:
    return np.zeros(len(x))


def _weights(evidence: Sequence[float], least: float = _LEAST_WEIGHT) -> Floats:
    """Weights that sum to 1; the hopeless ones are 0."""
    weights: Floats = np.exp(np.asarray(evidence) - max(evidence))
    weights = np.where(weights >= least, weights, 0.0)
    result: Floats = weights / weights.sum()
    return result


def _settled(
    covariance: Floats, y: Floats, seen: Observations, residual_sd: Floats, noise_sd: Floats
) -> list[_Fit]:  # fmt: skip
    """Iterate until values and bounds stand for themselves; with the logarithm of the evidence.

    All members of a table at once: ``covariance`` of shape (members, runs, runs) and the values
    ``y`` they explain of shape (members, runs) take the place of those in ``seen``.
    """
    base = noise_sd[:, None] ** 2 + seen.extra_sd**2
    target = y.copy()
    variance = np.where(seen.is_bound, _SAYS_NOTHING, base)
    f = np.full(y.shape, np.inf)
    moving = np.arange(len(y))
    for _ in range(_ITERATIONS):
        k = covariance[moving]
        to_f = k @ _inverse(*_scaled(k, variance[moving]))
        before, now = f[moving], _times(to_f, target[moving])
        f[moving] = now
        unsettled = np.abs(now - before).max(axis=1) >= _SETTLED
        if not (seen.robust or seen.is_bound.any()) or not unsettled.any():
            break
        moving, k, to_f, now = (one[unsettled] for one in (moving, k, to_f, now))
        if seen.robust:
            own = base[moving]
            wild = (_STUDENT * own + (y[moving] - now) ** 2) / (_STUDENT + 1.0)
            variance[moving] = np.where(seen.is_bound, variance[moving], wild)
        if seen.is_bound.any():
            spread = np.diagonal(k, axis1=1, axis2=2) - (to_f * k).sum(axis=2)
            target[moving], variance[moving] = _bounds(
                now, spread, target[moving], variance[moving], y[moving], base[moving],
                seen.is_bound,
            )  # fmt: skip
    scaled, root = _scaled(covariance, variance)
    inverse = _inverse(scaled, root)
    half_log_det = 0.5 * np.linalg.slogdet(scaled).logabsdet - np.log(root).sum(axis=1)
    pull = _times(inverse, target)
    evidence = -0.5 * (target * pull).sum(axis=1) - half_log_det
    evidence -= 0.5 * len(seen.y) * math.log(2.0 * math.pi)
    if seen.robust:
        f = _times(covariance, pull)
        evidence += (_log_student(y - f, base) - _log_normal(target - f, variance)).sum(axis=1)
    return [
        _Fit(*member)
        for member in zip(residual_sd.tolist(), noise_sd.tolist(), pull, inverse,
                          evidence.tolist(), strict=True)
    ]  # fmt: skip


def _scaled(covariance: Floats, variance: Floats) -> tuple[Floats, Floats]:
    """``covariance`` with ``variance`` on its diagonal, scaled by the latter, and what scaled it.

    One variance that says nothing stands beside small ones. Source: Rasmussen and Williams 2006,
    section 3.4.3.
    """
    root = 1.0 / np.sqrt(variance)
    scaled = covariance * root[:, :, None] * root[:, None, :] + np.eye(variance.shape[1])
    return scaled, root


def _inverse(scaled: Floats, root: Floats) -> Floats:
    """Inverses of the matrices before they were scaled."""
    result: Floats = np.linalg.inv(scaled) * root[:, :, None] * root[:, None, :]
    return result


def _times(matrices: Floats, vectors: Floats) -> Floats:
    result: Floats = (matrices @ vectors[:, :, None])[:, :, 0]
    return result


def _bounds(
    f: Floats, spread: Floats, target: Floats, variance: Floats, y: Floats, base: Floats,
    bound: NDArray[np.bool_],
) -> tuple[Floats, Floats]:  # fmt: skip
    """Lower bounds as values with a variance: one step of expectation propagation.

    What is believed without a bound (its cavity) and the chance of lasting longer are combined
    exactly in mean and variance; the value that does the same to the cavity stands for the bound.
    Source: Rasmussen and Williams 2006, section 3.6, with Φ((f − bound)/σ).
    """
    own = np.maximum(spread[:, bound], 1e-12)
    before, pull_before = 1.0 / variance[:, bound], target[:, bound] / variance[:, bound]
    precision = np.maximum(1.0 / own - before, 1e-9)
    cavity_variance = 1.0 / precision
    cavity = cavity_variance * (f[:, bound] / own - pull_before)
    total = np.sqrt(base[:, bound] + cavity_variance)
    z = (cavity - y[:, bound]) / total
    ratio = np.exp(-0.5 * z**2 - log_ndtr(z)) / math.sqrt(2.0 * math.pi)
    mean = cavity + cavity_variance * ratio / total
    shrink = np.clip(cavity_variance * ratio * (z + ratio) / total**2, 0.0, 1.0 - 1e-9)
    # Precision of the stand-in from v = c·(1 − shrink): 1/v − 1/c = shrink / (c·(1 − shrink)).
    site = np.maximum(shrink / (1.0 - shrink) * precision, 1.0 / _SAYS_NOTHING)
    pull = mean * (precision + site) - cavity * precision
    site = _DAMPING * site + (1.0 - _DAMPING) * before
    pull = _DAMPING * pull + (1.0 - _DAMPING) * pull_before
    target, variance = target.copy(), variance.copy()
    target[:, bound], variance[:, bound] = pull / site, 1.0 / site
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

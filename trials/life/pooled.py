"""Lives of edges from many trials at once: what is the drill, the trial, the batch, the machine.

log life = level of the drill − x·log(speed) − y·log(feed) + trial + batch + machine + edge, where
trial, batch, machine and edge scatter normally about nothing and each scatter is found from the
lives. Lives that were stopped, or ended between two looks, are filled in within what is known of
them. Draws come from Gibbs sampling: Tanner and Wong 1987 for what is filled in; Gelman et al.,
Bayesian Data Analysis, chapters 5 and 15, for the scatters (both from memory).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, get_args

import numpy as np

from trials.errors import require
from trials.life._likelihood import Floats
from trials.life.lives import Life

Share = Literal["trial", "batch", "machine"]
SHARES: tuple[Share, ...] = get_args(Share)
# Before any life: scatter between edges of about a third, and of what edges share of about a
# fifth, counted as one edge and as three batches; exponents of holes against speed and feed. From
# memory.
_EDGE, _EDGES, _SHARED, _GROUPS = 0.35, 1.0, 0.2, 3.0
EXPONENTS_BEFORE = {"speed": (2.0, 1.5), "feed": (0.5, 1.0)}
_LEAST_FREEDOM = 3
_CHAINS, _BURN_IN, _KEPT = 24, 30, 50
_LEVEL_SD = 3.0  # of log life about the mean of all: a factor of twenty and more either way
LEVEL = 0.9


@dataclass(frozen=True, slots=True)
class PooledPoint:
    """One edge.

    Args:
        life: in holes, or in any other measure of what was cut, the same for all.
        drill: what kind of drill; trial, batch, machine: what it shares with others, or empty.
        speed_m_per_min, feed_xd: of its cutting; the feed in drill diameters a revolution.
    """

    life: Life
    drill: str
    trial: str = ""
    batch: str = ""
    machine: str = ""
    speed_m_per_min: float = 1.0
    feed_xd: float = 1.0


@dataclass(frozen=True, slots=True)
class SharedScatter:
    """How much lives differ from one batch, machine or trial to the next.

    Args:
        share: which; groups: of two edges or more; edges: in them.
        low, middle, high: standard deviation of log life with 90 % range; None with a verdict.
        verdict: empty, or what is missing.
    """

    share: Share
    groups: int
    edges: int
    low: float | None = None
    middle: float | None = None
    high: float | None = None
    verdict: str = ""

    @property
    def factor(self) -> float | None:
        """One in three batches lies further off than this factor; None with a verdict."""
        return None if self.middle is None else math.exp(self.middle)


@dataclass(frozen=True, slots=True)
class Pooled:
    """What lives of many trials say together, or why they say nothing (``ok`` is false).

    Args:
        verdict: empty when there is something.
        edges, failures: edges, and those that came to their end.
        drills: names in the order of ``level``.
        level: draws of log life of the middle edge at the reference cutting data, shape
            (drills, draws).
        edge: draws of the scatter between edges of a kind; shared: of each share, of draws.
        exponents: draws of the exponents of speed and feed, shape (2, draws); of holes.
        reference: speed, m/min, and feed in diameters that ``level`` is at.
        scatters: what can be said of each share.
        effects: for each share its groups with the middle of their effect on log life.
    """

    edges: int
    failures: int
    verdict: str = ""
    drills: tuple[str, ...] = ()
    level: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    edge: Floats = field(default_factory=lambda: np.zeros(0))
    shared: dict[Share, Floats] = field(default_factory=dict)
    exponents: Floats = field(default_factory=lambda: np.zeros((2, 0)))
    reference: tuple[float, float] = (1.0, 1.0)
    scatters: tuple[SharedScatter, ...] = ()
    effects: dict[Share, dict[str, float]] = field(default_factory=dict)

    @property
    def ok(self) -> bool:
        """Whether there is something."""
        return not self.verdict

    def level_of(self, drill: str) -> Floats:
        """Draws of log life of the middle edge of a drill at the reference cutting data."""
        return np.asarray(self.level[self.drills.index(drill)])

    def next_trial(
        self, drill: str, speed_m_per_min: float, feed_xd: float, seed: int = 0
    ) -> Floats:
        """Draws of the middle life of a drill in a trial to come, at these cutting data."""
        rng = np.random.default_rng(seed)
        logs = self.level_of(drill).copy()
        steps = (math.log(speed_m_per_min / self.reference[0]),
                 math.log(feed_xd / self.reference[1]))  # fmt: skip
        for exponent, step in zip(self.exponents, steps, strict=True):
            logs = logs - exponent * step
        for drawn in self.shared.values():
            logs = logs + drawn * rng.standard_normal(len(logs))
        return np.exp(logs)


def span(drawn: Floats, level: float = LEVEL) -> tuple[float, float, float]:
    """Low, middle and high of draws."""
    low, middle, high = np.quantile(drawn, (0.5 - level / 2, 0.5, 0.5 + level / 2))
    return float(low), float(middle), float(high)


def fit_pooled(points: Sequence[PooledPoint], *, exponents: bool = True, seed: int = 0) -> Pooled:
    """Fit lives of many trials together; see the top of this file.

    A drill without an edge that came to its end is left out: nothing bounds its life.

    Args:
        points: the edges.
        exponents: whether speed and feed count; otherwise lives are taken as they are.
        seed: the same one gives the same numbers.
    """
    known = {point.drill for point in points if point.life.ended}
    used = [point for point in points if point.drill in known]
    failures = sum(point.life.ended for point in used)
    if failures < 3:
        return Pooled(
            len(points), failures,
            verdict=f"not enough failures: {failures} of {len(points)} edges came to their end; "
            "3 or more are needed.",
        )  # fmt: skip
    for point in used:
        require(point.speed_m_per_min > 0 and point.feed_xd > 0, "cutting data of an edge",
                (point.speed_m_per_min, point.feed_xd), "above 0")  # fmt: skip
    return _Sampler(used, exponents).draw(np.random.default_rng(seed), len(points))


class _Sampler:
    """Fills in lives, draws levels with the effects of trials, then the others, then scatters."""

    def __init__(self, points: Sequence[PooledPoint], exponents: bool) -> None:
        from scipy.sparse import csr_array

        self.points = points
        self.drills = tuple(sorted({point.drill for point in points}))
        logs = np.log([[point.speed_m_per_min, point.feed_xd] for point in points])
        self.reference = np.exp(logs.mean(axis=0))
        steps = -(logs - logs.mean(axis=0))[:, : 2 if exponents else 0]
        marks = _marks([point.drill for point in points], self.drills)
        self.fixed = np.hstack([marks, steps])
        self.low = np.log([max(point.life.low, 0.5) for point in points])
        self.high = np.log([point.life.high for point in points])
        self.before = np.zeros(self.fixed.shape[1])
        self.before[: len(self.drills)] = float(np.mean(self._middles()))
        self.precision = np.full(self.fixed.shape[1], _LEVEL_SD**-2)
        if exponents:
            self.before[len(self.drills) :] = [mean for mean, _ in EXPONENTS_BEFORE.values()]
            self.precision[len(self.drills) :] = [sd**-2 for _, sd in EXPONENTS_BEFORE.values()]
        self.groups: dict[Share, list[str]] = {}
        self.of: dict[Share, Any] = {}
        for share in SHARES:
            named = [getattr(point, share).casefold() for point in points]
            names = sorted(n for n, count in Counter(named).items() if n and count > 1)
            names = names if len(names) > 1 else []  # one alone is the level of its drills
            self.groups[share] = names
            self.of[share] = csr_array(_marks(named, names))

    def _middles(self) -> Floats:
        middle = (self.low + self.high) / 2.0
        return np.where(np.isfinite(self.high), middle, self.low)

    def draw(self, rng: np.random.Generator, asked: int) -> Pooled:
        self.life = np.repeat(self._middles()[:, None], _CHAINS, axis=1)
        self.edge = np.full(_CHAINS, _EDGE)
        self.tau = {share: np.full(_CHAINS, _SHARED) for share in SHARES}
        self.effect = {share: np.zeros((len(self.groups[share]), _CHAINS)) for share in SHARES}
        kept: dict[str, list[Floats]] = {name: [] for name in ("beta", "edge")}
        taus: dict[Share, list[Floats]] = {share: [] for share in SHARES}
        effects: dict[Share, list[Floats]] = {share: [] for share in SHARES}
        free = bool((self.low < self.high).any())
        for sweep in range(_BURN_IN + _KEPT):
            self._levels(rng)
            for share in SHARES:
                self._effects(share, rng)
            line = self._line()
            if free:
                self._fill_in(line, rng)
            self._edge_scatter(line, rng)
            if sweep >= _BURN_IN:
                kept["beta"].append(self.beta.copy())
                kept["edge"].append(self.edge)
                for share in SHARES:
                    taus[share].append(self.tau[share])
                    effects[share].append(self.effect[share])
        beta = np.concatenate(kept["beta"], axis=1)
        drawn: dict[Share, Floats] = {
            share: np.concatenate(taus[share]) for share in SHARES if self.groups[share]
        }
        slopes = beta[len(self.drills) :]
        return Pooled(
            asked, int(np.isfinite(self.high).sum()), "", self.drills, beta[: len(self.drills)],
            np.concatenate(kept["edge"]), drawn,
            slopes if len(slopes) else np.zeros((2, beta.shape[1])),
            (float(self.reference[0]), float(self.reference[1])),
            tuple(self._said(drawn)),
            {
                share: dict(zip(self.groups[share], np.median(np.concatenate(effects[share],
                                axis=1), axis=1).tolist(), strict=True))
                for share in SHARES if self.groups[share]
            },
        )  # fmt: skip

    def _line(self, without: Share | None = None, *, levels: bool = True) -> Floats:
        """What is expected of every edge's log life, without one share of it."""
        line = self.fixed @ self.beta if levels else np.zeros_like(self.life)
        for share in SHARES:
            if share != without and self.groups[share]:
                line = line + self.of[share] @ self.effect[share]
        return np.asarray(line)

    def _levels(self, rng: np.random.Generator) -> None:
        """Levels and exponents, whatever the effects of the trials: those are drawn after them.

        A trial's edges share its effect, so their covariance is σ² on the diagonal and τ² off it;
        its inverse is (1 − c·11ᵀ)/σ² with c = τ²/(σ² + n·τ²).
        """
        of = self.of["trial"]
        rest = self.life - self._line("trial", levels=False)
        counts = np.asarray(of.sum(axis=0)).ravel()
        sums = of.T @ self.fixed
        tau2, edge2 = self.tau["trial"] ** 2, self.edge**2
        c = tau2 / (edge2 + counts[:, None] * tau2)  # (trials, chains)
        matrix = (self.fixed.T @ self.fixed)[None] - np.einsum("gp,gc,gq->cpq", sums, c, sums)
        matrix = matrix / edge2[:, None, None]
        own = np.arange(len(self.before))
        matrix[:, own, own] += self.precision
        target = (self.fixed.T @ rest - sums.T @ (c * (of.T @ rest))) / edge2
        target = target + (self.precision * self.before)[:, None]
        lower = np.linalg.cholesky(matrix)
        half = np.linalg.solve(lower, target.T[:, :, None])
        half += rng.standard_normal(half.shape)
        self.beta = np.linalg.solve(np.swapaxes(lower, 1, 2), half)[:, :, 0].T

    def _effects(self, share: Share, rng: np.random.Generator) -> None:
        """Effects of one share given all else, then how much they scatter."""
        names, of = self.groups[share], self.of[share]
        if not names:
            return
        rest = self.life - self._line(share)
        counts = np.asarray(of.sum(axis=0)).ravel()[:, None]
        precision = counts / self.edge**2 + self.tau[share] ** -2
        mean = (of.T @ rest) / self.edge**2 / precision
        effect = mean + rng.standard_normal(mean.shape) / np.sqrt(precision)
        if counts.sum() == len(self.points):
            # All levels up and all effects down changes no life, and by itself moves slowly.
            spread = self.tau[share] / math.sqrt(len(names))
            shift = effect.mean(axis=0) + spread * rng.standard_normal(_CHAINS)
            effect = effect - shift
            self.beta[: len(self.drills)] += shift
        self.effect[share] = effect
        square = _GROUPS * _SHARED**2 + (effect**2).sum(axis=0)
        self.tau[share] = np.sqrt(square / rng.chisquare(_GROUPS + len(names), size=_CHAINS))

    def _fill_in(self, line: Floats, rng: np.random.Generator) -> None:
        """Lives known between bounds: normal, cut off at both."""
        from scipy.special import ndtr, ndtri

        rows = np.flatnonzero(self.low < self.high)
        below = (self.low[rows, None] - line[rows]) / self.edge
        above = (self.high[rows, None] - line[rows]) / self.edge
        # In the upper half its mirror, so that no digits are lost far out.
        flip = np.where(below > 0, -1.0, 1.0)
        start, end = np.where(flip > 0, below, -above), np.where(flip > 0, above, -below)
        a, b = ndtr(start), ndtr(end)
        drawn = flip * ndtri(np.maximum(a + rng.uniform(size=a.shape) * (b - a), 1e-300))
        self.life[rows] = line[rows] + self.edge * np.clip(drawn, below, above)

    def _edge_scatter(self, line: Floats, rng: np.random.Generator) -> None:
        square = _EDGES * _EDGE**2 + ((self.life - line) ** 2).sum(axis=0)
        freedom = _EDGES + len(self.points)
        self.edge = np.sqrt(square / rng.chisquare(freedom, size=_CHAINS))

    def _said(self, drawn: dict[Share, Floats]) -> list[SharedScatter]:
        """The scatter of each share, if there is more to it than to what it comes together with."""
        ended = np.isfinite(self.high)
        blocks = {share: self.of[share].toarray()[ended] for share in SHARES}
        whole = _rank([self.fixed[ended], *blocks.values()])
        found = []
        for share in SHARES:
            names, edges = self.groups[share], int(blocks[share].sum())
            others = [block for other, block in blocks.items() if other != share]
            freedom = whole - _rank([self.fixed[ended], *others])
            if share in drawn and freedom >= _LEAST_FREEDOM:
                found.append(SharedScatter(share, len(names), edges, *span(drawn[share])))
                continue
            words = {"trial": "trials", "batch": "batches", "machine": "machines"}[share]
            together = (
                f", and only {max(freedom, 0)} differences between them stand by themselves"
                if len(names) > _LEAST_FREEDOM else ""
            )  # fmt: skip
            do = "" if share == "trial" else f" Note the {share} of every run, and"
            found.append(SharedScatter(
                share, len(names), edges,
                verdict=f"too little: {len(names)} {words} with two edges or more{together}."
                f"{do or ' To'} drill the same way in {_LEAST_FREEDOM + 1} {words} or more"
                f"{' to see it' if do else ' would show it'}.",
            ))  # fmt: skip
        return found


def _marks(named: Sequence[str], names: Sequence[str]) -> Floats:
    """A column for each name, 1 where it is meant."""
    place = {name: number for number, name in enumerate(names)}
    marks = np.zeros((len(named), len(names)))
    for row, name in enumerate(named):
        if name in place:
            marks[row, place[name]] = 1.0
    return marks


def _rank(blocks: Sequence[Floats]) -> int:
    """Rank of columns side by side, by the eigenvalues of their products."""
    columns = np.hstack(blocks)
    values = np.linalg.eigvalsh(columns.T @ columns)
    return int((values > 1e-9 * max(float(values[-1]), 1.0)).sum())

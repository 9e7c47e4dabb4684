"""What few lives say about the next ones: draws from all lives that agree with the runs.

Lives of edges of one drill at one cutting data scatter lognormally about their middle. Runs that
share a workpiece batch or a machine share an effect, so that a hard batch is not held against the
drill that happened to meet it. Stopped edges last longer than they drilled, and no more is said of
them. Draws come from Gibbs sampling with the stopped lives filled in (data augmentation: Tanner
and Wong 1987; block effects and scaled inverse chi-square variances as in Gelman et al., Bayesian
Data Analysis, chapters 2, 3 and 15; both from memory).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from trials.errors import require

Floats = NDArray[np.float64]
OnProgress = Callable[[float], None]

# Scatter of the natural logarithm of life between edges of one kind at one cutting data: from
# memory, about a third. It counts as much as this many edges, until runs say otherwise.
SCATTER = 0.35
SCATTER_EDGES = 4.0
# The same for what runs of one batch or machine have in common: from memory, a fifth.
_SHARED = 0.2
_SHARED_EDGES = 4.0
_CHAINS_PER_DRAW = 1 / 8
_BURN_IN = 60
_APART = 4


@dataclass(frozen=True, slots=True)
class Edges:
    """Edges of one drill at one cutting data.

    Args:
        name: of the drill.
        holes: holes of each edge, in lives of a new edge where it was reground.
        stopped: whether each was stopped before its end.
        shared: what each shares with others, such as its workpiece batch; empty for nothing.
    """

    name: str
    holes: tuple[float, ...]
    stopped: tuple[bool, ...]
    shared: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        require(len(self.holes) == len(self.stopped), f"lives and their ends of {self.name}",
                f"{len(self.holes)} and {len(self.stopped)}", "one end for each life")  # fmt: skip
        require(len(self.shared) in (0, len(self.holes)), f"batches of the runs of {self.name}",
                len(self.shared), "one for each life, or none")  # fmt: skip
        for holes in self.holes:
            require(0 < holes < math.inf, f"life of an edge of {self.name}", holes,
                    "a number of holes above 0")  # fmt: skip
        require(not all(self.stopped), f"edges of {self.name} that came to their end", 0,
                "1 or more",
                "Lives that were all stopped have no upper end: let one wear out.")  # fmt: skip


@dataclass(frozen=True, slots=True)
class LifeDraws:
    """Draws, one row for each kind of edge: middle of log life, and its scatter."""

    middle: Floats
    scatter: Floats


def draw_lives(
    kinds: Sequence[Edges], draws: int, rng: np.random.Generator,
    on_progress: OnProgress | None = None,
) -> LifeDraws:  # fmt: skip
    """Draw middles and scatters of log life that agree with the edges seen.

    Args:
        kinds: one entry for each drill; each with at least one edge that came to its end.
        draws: how many.
        rng: where chance comes from.
        on_progress: told the share that is done, for many edges that were stopped or share.

    Raises:
        InputError: no kinds, or fewer than 100 draws.
    """
    require(len(kinds) > 0, "drills", 0, "1 or more")
    require(draws >= 100, "draws", draws, "100 or more")
    sampler = _Sampler(kinds, rng)
    if sampler.exact:
        sampler.start(draws)
        sampler.sweep()
        return LifeDraws(sampler.middle, sampler.scatter)
    chains = max(math.ceil(draws * _CHAINS_PER_DRAW), 200)
    kept = math.ceil(draws / chains)
    sampler.start(chains)
    total = _BURN_IN + kept * _APART
    middles, scatters = [], []
    for sweep in range(1, total + 1):
        sampler.sweep()
        if sweep > _BURN_IN and (sweep - _BURN_IN) % _APART == 0:
            middles.append(sampler.middle)
            scatters.append(sampler.scatter)
        if on_progress is not None:
            on_progress(sweep / total)
    return LifeDraws(
        np.concatenate(middles, axis=1)[:, :draws], np.concatenate(scatters, axis=1)[:, :draws]
    )


class _Sampler:
    """One sweep draws stopped lives, scatters, middles and shared effects in turn."""

    def __init__(self, kinds: Sequence[Edges], rng: np.random.Generator) -> None:
        self.rng = rng
        self.kind = np.concatenate([np.full(len(one.holes), i) for i, one in enumerate(kinds)])
        self.at_least = np.log(np.concatenate([np.array(one.holes, float) for one in kinds]))
        self.stopped = np.concatenate([np.array(one.stopped, bool) for one in kinds])
        self.edges = np.bincount(self.kind, minlength=len(kinds)).astype(float)
        self.of_kind = np.eye(len(kinds))[self.kind]
        self.of_block = _blocks(kinds)
        self.exact = not self.stopped.any() and self.of_block.shape[1] == 0

    def start(self, chains: int) -> None:
        ended = ~self.stopped
        first = (self.of_kind[ended].T @ self.at_least[ended]) / self.of_kind[ended].sum(axis=0)
        self.middle = np.repeat(first[:, None], chains, axis=1)
        self.scatter = np.full_like(self.middle, SCATTER)
        self.block = np.zeros((self.of_block.shape[1], chains))
        self.block_scatter = np.full(chains, _SHARED)
        self.life = np.repeat(self.at_least[:, None], chains, axis=1)

    def sweep(self) -> None:
        if self.stopped.any():
            self._fill_in()
        if self.of_block.shape[1]:
            self._shared_effects()
        else:
            self._alone()

    def _fill_in(self) -> None:
        """Lives of stopped edges: normal, cut off below where they were stopped."""
        of = self.stopped
        middle = (self.of_kind[of] @ self.middle) + self.of_block[of] @ self.block
        scatter = self.of_kind[of] @ self.scatter
        beyond = ndtr((middle - self.at_least[of, None]) / scatter)
        drawn = -ndtri(np.maximum(self.rng.uniform(size=beyond.shape) * beyond, 1e-300))
        self.life[of] = np.maximum(middle + scatter * drawn, self.at_least[of, None])

    def _alone(self) -> None:
        mean = (self.of_kind.T @ self.life) / self.edges[:, None]
        square = self.of_kind.T @ (self.life - self.of_kind @ mean) ** 2
        freedom = SCATTER_EDGES + self.edges[:, None] - 1.0
        chi = self.rng.chisquare(np.broadcast_to(freedom, square.shape))
        self.scatter = np.sqrt((SCATTER_EDGES * SCATTER**2 + square) / chi)
        noise = self.rng.standard_normal(square.shape)
        self.middle = mean + self.scatter / np.sqrt(self.edges[:, None]) * noise

    def _shared_effects(self) -> None:
        """Middles and shared effects together, which one by one would move slowly."""
        kinds, blocks = len(self.middle), len(self.block)
        design = np.hstack([self.of_kind, self.of_block])
        weight = (self.of_kind @ self.scatter) ** -2
        # Products of columns once, so that every chain is a row of one matrix product.
        size = kinds + blocks
        products = (design[:, :, None] * design[:, None, :]).reshape(len(design), size * size)
        precision = (weight.T @ products).reshape(-1, size, size)
        own = np.arange(kinds, kinds + blocks)
        precision[:, own, own] += self.block_scatter[:, None] ** -2
        target = (weight * self.life).T @ design
        lower = np.linalg.cholesky(precision)
        noise = self.rng.standard_normal(target.shape)
        upper = np.swapaxes(lower, 1, 2)
        half = np.linalg.solve(lower, target[:, :, None]) + noise[:, :, None]
        both = np.linalg.solve(upper, half)[:, :, 0].T
        self.middle, self.block = both[:kinds], both[kinds:]
        square = self.of_kind.T @ (self.life - design @ both) ** 2
        freedom = np.broadcast_to(SCATTER_EDGES + self.edges[:, None], square.shape)
        self.scatter = np.sqrt((SCATTER_EDGES * SCATTER**2 + square) / self.rng.chisquare(freedom))
        shared = _SHARED_EDGES * _SHARED**2 + (self.block**2).sum(axis=0)
        chi = self.rng.chisquare(_SHARED_EDGES + blocks, size=shared.shape)
        self.block_scatter = np.sqrt(shared / chi)


def _blocks(kinds: Sequence[Edges]) -> Floats:
    """A column for each batch that two edges or more share; one edge alone says nothing of it."""
    named = [name for one in kinds for name in (one.shared or ("",) * len(one.holes))]
    names = sorted(name for name, count in Counter(named).items() if name and count > 1)
    return np.array([[float(name == one) for one in names] for name in named]).reshape(
        len(named), len(names)
    )


def middle_of_log_life(holes: Sequence[float], stopped: Sequence[bool]) -> float:
    """The most likely middle of log life; stopped edges are lower bounds.

    Expectation and maximisation: a stopped edge stands in with the life expected beyond its stop.
    """
    logs = [math.log(value) for value in holes]
    ended = [value for value, cut in zip(logs, stopped, strict=True) if not cut]
    middle = sum(ended) / len(ended)
    square = sum((value - middle) ** 2 for value in ended)
    scatter = math.sqrt((SCATTER_EDGES * SCATTER**2 + square) / (SCATTER_EDGES + len(ended) - 1))
    for _ in range(200):
        expected = [
            _beyond(value, middle, scatter) if cut else value
            for value, cut in zip(logs, stopped, strict=True)
        ]
        middle, before = sum(expected) / len(expected), middle
        if abs(middle - before) < 1e-10:
            break
    return middle


def _beyond(stop: float, middle: float, scatter: float) -> float:
    """Mean of a normal value that is known to lie beyond ``stop``."""
    z = (stop - middle) / scatter
    if z > 8.0:  # the ratio below loses its digits out there; its limit is z + 1/z
        return middle + scatter * (z + 1.0 / z)
    density = math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    beyond = 0.5 * math.erfc(z / math.sqrt(2.0))
    return middle + scatter * density / beyond

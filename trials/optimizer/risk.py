"""The share of edges that chip or break before they are worn, learned as a cliff or as bad luck.

Edges fail now and then anywhere (bad luck), and most of them beyond a cliff: too much feed twists a
drill off, too much heat or packed chips break its corner. Where the cliff stands, how steep it is,
and which way of getting harsher leads to it are not known; so all of it is averaged over a grid of
possibilities by how well each explains the runs (Bayes' rule). One broken drill then counts as bad
luck where others came through, and as the edge of a cliff where nothing harsher ever did. Shapes of
the priors: from memory; their figures: those that foresee best which of many tests of the benchmark
fail (decisions 0037 and 0039), rounded.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from trials.model import End
from trials.optimizer.gaussian import Floats
from trials.optimizer.problem import RunResult

FAILED: tuple[End, ...] = ("chipped", "broken")


@dataclass(frozen=True, slots=True)
class _Way:
    """A way to a cliff in the features speed, feed, re-entries and chip column.

    ``belief`` is the share of all cliffs; a cliff is expected around ``place`` on the way, from the
    start on, give or take ``spread``.
    """

    direction: tuple[float, float, float, float]
    belief: float
    place: float
    spread: float


# A person's start keeps room: what twists a drill off is about 2.6 times its feed, what packs twice
# its column of chips.
_WAYS = (
    _Way((0.0, 1.0, 0.0, 0.0), 0.42, 0.95, 0.25),  # feed alone: twisting off
    _Way((0.5, 1.0, 0.0, 0.0), 0.06, 0.95, 0.25),  # heat
    _Way((0.0, 0.5, 0.0, 1.0), 0.16, 0.75, 0.25),  # chips that pack
    _Way((1.0, 0.3, 0.0, 0.0), 0.11, 0.8, 0.35),  # speed
    # Thin chips at speed: a point that is not steadied whips, an edge that rubs melts or hardens
    # the work.
    _Way((1.0, -0.8, 0.0, 0.0), 0.08, 0.4, 0.45),
    # Too slow with too little feed: a feed that sticks and slips, work that welds on and tears.
    _Way((-0.5, -1.0, 0.0, 0.0), 0.09, 0.3, 0.5),
    # Thin chips do not break: strings wind and pack, the longer a drill stays in.
    _Way((0.0, -0.5, -0.7, 0.7), 0.08, 0.8, 0.4),
)
_DIRECTIONS = np.asarray([way.direction for way in _WAYS])
_TWISTING, _CHIPS_THAT_PACK = 0, 2  # of the ways
# A maker keeps room too: what twists a drill off is about 1.3 times the highest feed that is given
# for it, and that is known better than how far a person's start is from it.
_BEYOND_THE_MAKERS, _BEYOND_THE_MAKERS_SD = 0.24, 0.2
# Places on a way. This much, against the likeliest place, is believed of those far from it, and
# hardly any of that before the start: a person's start is hardly ever beyond a cliff.
_PLACES = np.arange(-0.4, 2.41, 0.1)
_ANYWHERE, _BEFORE_THE_START = 0.03, 0.02
# From a wall to a slope; three edges in ten come through beyond either.
_WIDTHS = np.asarray([0.15, 0.35])
_FAILING_BEYOND = 0.7
_NO_CLIFF = 0.25
# Whoever starts with full retracts has a reason: chips would not come out by themselves. So much
# belief goes to chips that pack far from that start, where it is given up, wherever between these
# places of its way (common practice, no source).
_PACKED_FAR, _FAR_FROM, _FAR_TO = 0.4, 0.5, 1.4
# Share of the life to wear that an edge lost by bad luck, or beyond a cliff, has not drilled.
_LOST_BY_LUCK, _LOST_BEYOND = 0.5, 0.75
# Bad luck, and the belief in each share.
_LUCK = np.asarray([0.01, 0.03, 0.06, 0.12])
_BELIEF_IN_LUCK = np.asarray([0.3, 0.4, 0.25, 0.05])
# Bad luck chips as often as it breaks; an overloaded edge mostly breaks.
_SHARE_OF: dict[End, tuple[float, float]] = {"chipped": (0.5, 0.15), "broken": (0.5, 0.85)}
# Possibilities less likely than this are left out: nearly half of them after a few runs.
_LEAST_LIKELY = 1e-7
# Of the edges that fail, this share breaks rather than chips, counted as this many edges.
_BREAKING, _COUNTED_AS = 0.5, 4.0


@dataclass(frozen=True, slots=True)
class Failing:
    """What failing does at many cutting data.

    Args:
        p_fail: expected share of edges that chip or break.
        edges: edges used for one life to wear, expected.
        breaks: breakages for one life to wear, expected.
        luck, luck_breaks: the shares where no cliff is near.
    """

    p_fail: Floats
    edges: Floats
    breaks: Floats
    luck: float
    luck_breaks: float


@dataclass(frozen=True, slots=True)
class AfterATest:
    """What failing does once a test has ended: ``edges`` and ``breaks`` as in `Failing`.

    Arrays of shape (places, tests); ``own_…`` at the tested places themselves. ``survives`` is the
    chance that the edge comes through, ``breaks`` that it breaks because a cliff is near.
    """

    survives: Floats
    breaks: Floats
    edges_survived: Floats
    breaks_survived: Floats
    edges_failed: Floats
    breaks_failed: Floats
    own_edges_survived: Floats
    own_breaks_survived: Floats


class Risk:
    """Shares of edges that fail, and that break, at any features, given the runs."""

    def __init__(
        self, x: Floats, runs: Sequence[RunResult], life: Floats, *,
        retracts: bool = False, maker_feed: float | None = None,
    ) -> None:  # fmt: skip
        """Runs with their features (rows of ``x``) and the life to wear expected of each.

        ``retracts`` says that a person started with full retracts; ``maker_feed`` is the logarithm
        of the highest feed that the maker gives over that of the start, where one is given.
        """
        prior = _prior(retracts, maker_feed)
        # One row a cliff, one column a share of bad luck.
        log = np.log(prior)[:, None] + np.log(_BELIEF_IN_LUCK)
        beyond = _beyond(x, np.ones(len(prior), dtype=bool))
        for failing, run, expected in zip(beyond, runs, life.tolist(), strict=True):
            share = min(max(run.holes, 0.5) / expected, 1.0)
            if run.end in FAILED:
                # Bad luck comes any time, an overloaded edge soon fails: density 3·(1 − share)².
                soon = failing * 3.0 * (1.0 - share) ** 2
                by_luck, by_load = _SHARE_OF[run.end]
                log = log + np.log(by_luck * _LUCK + by_load * (1.0 - _LUCK) * soon[:, None])
            else:
                lived = 1.0 if run.end != "stopped" else share
                soon = 1.0 - (1.0 - lived) ** 3
                log = log + np.log1p(-lived * _LUCK) + np.log1p(-soon * failing)[:, None]
        weight = np.exp(log - log.max())
        weight /= weight.sum()
        self._kept = weight.sum(axis=1) >= _LEAST_LIKELY
        self._weight = weight[self._kept] / weight[self._kept].sum()
        failed = sum(run.end in FAILED for run in runs)
        broken = sum(run.end == "broken" for run in runs)
        self._breaking = (_BREAKING * _COUNTED_AS + broken) / (_COUNTED_AS + failed)

    def at(self, x: Floats) -> Failing:
        """What to expect at features ``x``."""
        beyond = _beyond(x, self._kept)
        came_through = (1.0 - beyond) @ self._weight @ (1.0 - _LUCK)
        luck = float(self._weight.sum(axis=0) @ _LUCK)
        edges, breaks = self._expected(self._for_a_life(beyond))
        return Failing(
            p_fail=1.0 - came_through,
            edges=edges,
            breaks=breaks,
            luck=luck,
            luck_breaks=luck * self._breaking,
        )

    def _for_a_life(self, beyond: Floats) -> list[Floats]:
        """Edges used for one life to wear under each possibility, one array a share of bad luck.

        An edge lost by bad luck has drilled half its life, beyond a cliff a quarter. Cost goes with
        1 / holes, so its expectation is over the possibilities, not at their mean.
        """
        return [
            1.0 / (1.0 - _LOST_BY_LUCK * luck - _LOST_BEYOND * (1.0 - luck) * beyond)
            for luck in _LUCK.tolist()
        ]

    def _expected(self, used: list[Floats]) -> tuple[Floats, Floats]:
        """Edges used and drills broken for one life to wear, over all possibilities."""
        edges, breaks = np.zeros((2, len(used[0])))
        for k, of_each in enumerate(used):
            weight = self._weight[:, k]
            of_all = of_each @ weight
            edges += of_all
            breaks += self._breaks(k, of_all, float(weight.sum()))
        return edges, breaks

    def _breaks(self, k: int, edges: Floats, belief: Floats | float) -> Floats:
        """Drills broken for one life to wear, by edges used for it, both weighed by ``belief``.

        In the long run those that break are the share of those that fail that the runs show. Each
        edge fails by luck, or beyond a cliff with what is left: luck + (1 − luck)·beyond, and edges
        used are 1 / (1 − lost by luck − lost beyond·(1 − luck)·beyond); so one tells the other.
        """
        luck = float(_LUCK[k])
        failing = luck + (1.0 - _LOST_BY_LUCK * luck) / _LOST_BEYOND
        result: Floats = self._breaking * (failing * edges - belief / _LOST_BEYOND)
        return result

    def after(
        self, x: Floats, tests: Floats, shares: Floats, times: Sequence[int]
    ) -> list[AfterATest]:
        """What to expect at ``x`` once edges came through, or one failed, at ``tests``.

        ``shares`` are the shares of the life that the tests may drill. One answer for each of
        ``times``: so many edges all come through, or one of them fails.
        """
        beyond, tested = _beyond(x, self._kept), _beyond(tests, self._kept)
        here, there = self._for_a_life(beyond), self._for_a_life(tested)
        through = 1.0 - (1.0 - (1.0 - shares[:, None]) ** 3) * tested
        lucky = 1.0 - shares[:, None] * _LUCK
        today = self._expected(here)
        return [self._after(today, here, there, through**n, lucky**n) for n in times]

    def _after(
        self,
        today: tuple[Floats, Floats],
        here: list[Floats],
        there: list[Floats],
        through: Floats,
        lucky: Floats,
    ) -> AfterATest:
        """`after` from what is expected today, edges used, and shares past cliffs and bad luck."""
        count = len(through)
        survives, own_edges, own_breaks = np.zeros((3, count))
        edges, breaks = np.zeros((2, len(here[0]), count))
        # One matrix a share of bad luck: tests by possibilities.
        for k, (used, own_used) in enumerate(zip(here, there, strict=True)):
            together = through * lucky[:, k, None] * self._weight[:, k]
            came_through = together.sum(axis=1)
            survives += came_through
            of_these = used @ together.T
            edges += of_these
            breaks += self._breaks(k, of_these, came_through)
            of_own = (own_used * together).sum(axis=1)
            own_edges += of_own
            own_breaks += self._breaks(k, of_own, came_through)
        fails = np.maximum(1.0 - survives, 1e-12)
        all_edges, all_breaks = (of_all[:, None] for of_all in today)
        by_a_cliff = lucky @ self._weight.sum(axis=0) - survives
        return AfterATest(
            survives, _SHARE_OF["broken"][1] * by_a_cliff, edges / survives, breaks / survives,
            (all_edges - edges) / fails, (all_breaks - breaks) / fails,
            own_edges / survives, own_breaks / survives,
        )  # fmt: skip


def _prior(retracts: bool, maker_feed: float | None) -> Floats:
    """Belief in each cliff, by way, place and width, and last that there is none."""
    beliefs = np.asarray([way.belief for way in _WAYS])
    middles, spreads = np.asarray([(way.place, way.spread) for way in _WAYS]).T[:, :, None]
    if maker_feed is not None:
        of_both = np.asarray([spreads[_TWISTING, 0], _BEYOND_THE_MAKERS_SD]) ** -2
        told = np.asarray([middles[_TWISTING, 0], maker_feed + _BEYOND_THE_MAKERS])
        middles[_TWISTING] = of_both @ told / of_both.sum()
        spreads[_TWISTING] = of_both.sum() ** -0.5
    places = _ANYWHERE + np.exp(-0.5 * ((_PLACES - middles) / spreads) ** 2)
    places *= np.where(_PLACES < 0, _BEFORE_THE_START, 1.0)
    places *= beliefs[:, None] / places.sum(axis=1, keepdims=True)
    all_of_them = (len(_WAYS), len(_PLACES), len(_WIDTHS))
    cliffs = np.broadcast_to(places[:, :, None] / len(_WIDTHS), all_of_them)
    prior = np.append((1.0 - _NO_CLIFF) * cliffs.ravel(), _NO_CLIFF)
    if retracts:
        far = (_PLACES > _FAR_FROM - 1e-9) & (_PLACES < _FAR_TO + 1e-9)
        packed = np.zeros(all_of_them)
        packed[_CHIPS_THAT_PACK, far, :] = 1.0 / far.sum() / len(_WIDTHS)
        prior = (1.0 - _PACKED_FAR) * prior + _PACKED_FAR * np.append(packed.ravel(), 0.0)
    return prior


def _beyond(x: Floats, kept: NDArray[np.bool_]) -> Floats:
    """Share that fails because of each possibility that is kept, shape (len(x), kept).

    The last of all possibilities is that there is no cliff.
    """
    along = x[:, :4] @ _DIRECTIONS.T
    past = (along[:, :, None] - _PLACES)[:, :, :, None] / _WIDTHS
    share = _FAILING_BEYOND * ndtr(past.reshape(len(x), len(kept) - 1)[:, kept[:-1]])
    nowhere = np.zeros((len(x), int(kept[-1])))
    result: Floats = np.column_stack([share, nowhere])
    return result

"""Features of the holes of a run against the hole number: steady, or since which hole not.

A run's feature is compared with one straight line (slow, even wear is the normal life of a drill)
and with every line that has one sudden step or one bend in it. How sure a change is comes from the
weight of the data for all lines with a change against the one without, by the Bayesian information
criterion (G. Schwarz, Estimating the dimension of a model, Annals of Statistics 6, 1978) with a
chance of one in ten, before looking, that there is a change at all (common practice, no source).
Where one change is found, the holes before and after it are looked at again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from trials.errors import require

Verdict = Literal["too few holes", "steady", "rising fast", "falling fast", "sudden step"]
TREND_FEATURES: tuple[str, ...] = ("peak_pct", "mean_pct", "area_pct_s", "cut_s")
LEAST_HOLES = 12
SURE = 0.99
_RUN_IN = 4  # a fresh edge settles over its first holes
_PRIOR = 0.1
_LEAST_BEFORE, _LEAST_AFTER_STEP, _LEAST_AFTER_BEND = 4, 3, 5
_LEAST_STEP, _LEAST_BEND = 0.03, 0.05  # of the level: what a person would call a change
_LEAST_STEP_SCATTERS = 2.0
_EVEN_FAST = 0.01  # of the level for each hole
_CLIP_SCATTERS = 3.0
_LEAST_SCATTER = 0.003
_MOST_POINTS = 400
_LEFT_OUT = frozenset({"cut off", "gap", "starts in a gap", "ends in a gap"})
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Change:
    """One change.

    Args:
        kind: what began.
        since_hole: number of the first hole of it; since_low, since_high: its 90 % range.
        sure: 0 to 1, how sure it is that there is a change at all.
        change_pct: size of a step, or the rise from the bend to the last hole looked at, % of the
            level before.
    """

    kind: Verdict
    since_hole: int
    since_low: int
    since_high: int
    sure: float
    change_pct: float


@dataclass(frozen=True, slots=True)
class FeatureTrend:
    """How one feature goes over a run.

    Args:
        feature: its name in the holes, such as ``peak_pct``.
        verdict: of the newest change; ``steady`` without one; ``too few holes`` below 12.
        holes: how many holes it rests on.
        changes: every change that was found, the first one first.
        slope_pct_per_100: even rise before the first change, % of the level for 100 holes; None
            with too few holes.
        sure: how sure the verdict is: of the newest change, or that there is none.
    """

    feature: str
    verdict: Verdict
    holes: int
    changes: tuple[Change, ...] = ()
    slope_pct_per_100: float | None = None
    sure: float | None = None

    @property
    def newest(self) -> Change | None:
        """The change that the verdict is about."""
        return self.changes[-1] if self.changes else None

    @property
    def since_hole(self) -> int | None:
        """First hole of the newest change."""
        return self.changes[-1].since_hole if self.changes else None

    @property
    def words(self) -> str:
        """The verdict as a sentence."""
        if self.verdict == "too few holes":
            return f"too few holes to say: {self.holes} of {LEAST_HOLES}"
        change = self.newest
        if change is None:
            slope = self.slope_pct_per_100 or 0.0
            return f"steady ({slope:+.0f} % in 100 holes)"
        low, high = change.since_low, change.since_high
        between = "" if low == high else f" (between {low} and {high})"
        share = "over 99 %" if change.sure > 0.99 else f"{100 * change.sure:.0f} %"
        return (
            f"{change.kind} since hole {change.since_hole}{between}, {change.change_pct:+.0f} %, "
            f"sure to {share}"
        )


def feature_trends(holes: pd.DataFrame) -> tuple[FeatureTrend, ...]:
    """The trend of peak, mean, area above idle and cutting time of a run.

    Holes with samples missing, and one that the trace cuts off, are left out.

    Args:
        holes: columns as `trials.holes.find_holes` gives them.
    """
    whole = np.array(
        [not _LEFT_OUT.intersection(str(flags).split("; ")) for flags in holes["flags"]], np.bool_
    )
    used = holes[whole] if len(holes) else holes
    return tuple(
        feature_trend(used["number"].to_numpy(), used[name].to_numpy(dtype=float), name)
        for name in TREND_FEATURES
    )


def feature_trend(
    numbers: ArrayLike, values: ArrayLike, feature: str = "peak_pct", *, least_sure: float = SURE
) -> FeatureTrend:
    """The trend of one feature.

    Args:
        numbers: numbers of the holes, rising, shape (n,).
        values: the feature of each, shape (n,); values that are not finite are left out.
        feature: its name, for the answer.
        least_sure: how sure a change has to be to be told.

    Raises:
        InputError: numbers and values differ in count.
    """
    number, value = np.asarray(numbers, dtype=float), np.asarray(values, dtype=float)
    require(number.shape == value.shape and number.ndim == 1, "trend of a feature",
            f"{number.size} holes and {value.size} values", "as many holes as values")  # fmt: skip
    good = np.isfinite(value)
    number, value = number[good], value[good]
    count = len(value)
    level = float(np.median(np.abs(value))) if count else 0.0
    if count < LEAST_HOLES or level <= 0.0:
        return FeatureTrend(feature, "too few holes", count)
    kept = min(_RUN_IN, count - LEAST_HOLES)
    x, y = _blocks(number[kept:], _without_odd_ones(value[kept:] / level))
    changes = tuple(_changes(x, y, least_sure, depth=0))
    first = len(y) if not changes else int(np.searchsorted(x, changes[0].since_hole))
    slope = _line(x[: max(first, 3)], y[: max(first, 3)])
    if changes:
        newest = changes[-1]
        return FeatureTrend(feature, newest.kind, count, changes, 1e4 * slope, newest.sure)
    even = _even_and_fast(x, y)
    if even is not None:
        return FeatureTrend(feature, even.kind, count, (even,), 1e4 * slope, even.sure)
    best = _best(x, y)
    sure = 1.0 if best is None or not best.material else 1.0 - best.sure
    return FeatureTrend(feature, "steady", count, (), 1e4 * slope, sure)


@dataclass(frozen=True, slots=True)
class _Best:
    """The most likely change: first point of it, its 90 % range, and its size."""

    kind: Verdict
    at: int
    low: int
    high: int
    sure: float
    size: float
    material: bool


def _changes(x: Floats, y: Floats, least_sure: float, depth: int) -> list[Change]:
    """Every change, in order: the clearest one first, then what lies before and after it."""
    found = _best(x, y)
    if (
        found is None
        or not found.material
        or found.sure < least_sure
        or not _stands_without_the_last(x, y, found)
    ):
        return _in_a_part(x, y, least_sure) if depth == 0 else []
    before = _changes(x[: found.at], y[: found.at], least_sure, depth + 1) if depth < 3 else []
    after = _changes(x[found.at :], y[found.at :], least_sure, depth + 1) if depth < 3 else []
    here = Change(
        found.kind, round(x[found.at]), round(x[found.low]), round(x[found.high]), found.sure,
        100.0 * found.size,
    )  # fmt: skip
    return [*before, here, *after]


def _in_a_part(x: Floats, y: Floats, least_sure: float) -> list[Change]:
    """Changes in the last two thirds, else the first: several even steps look like one line."""
    third = len(y) // 3
    if third < LEAST_HOLES:
        return []
    later = _changes(x[third:], y[third:], least_sure, depth=1)
    if not later:
        return _changes(x[:-third], y[:-third], least_sure, depth=1)
    first = int(np.searchsorted(x, later[0].since_hole))
    return [*_changes(x[:first], y[:first], least_sure, depth=1), *later]


def _stands_without_the_last(x: Floats, y: Floats, found: _Best) -> bool:
    """Whether the hole before told the same already: one odd newest hole is no change."""
    earlier = _best(x[:-1], y[:-1])
    return earlier is not None and earlier.sure >= 0.5 and earlier.size * found.size > 0


def _best(x: Floats, y: Floats) -> _Best | None:
    """Weigh every step and every bend against the straight line."""
    n = len(y)
    if n < LEAST_HOLES:
        return None
    steps = np.arange(_LEAST_BEFORE, n - _LEAST_AFTER_STEP + 1)
    bends = np.arange(_LEAST_BEFORE, n - _LEAST_AFTER_BEND + 1)
    basis = np.hstack(
        [(np.arange(n)[:, None] >= steps).astype(float),
         np.maximum(0.0, x[:, None] - x[bends - 1])]
    )  # fmt: skip
    line, _ = np.linalg.qr(np.column_stack([np.ones(n), x]))
    rest = y - line @ (line.T @ y)
    basis -= line @ (line.T @ basis)
    power = np.maximum((basis**2).sum(axis=0), 1e-12)
    size = (basis.T @ rest) / power
    scatter = _scatter(y)
    floor = n * (0.3 * scatter) ** 2  # a line through few points must not look perfect
    straight = float(rest @ rest) + floor
    with_change = np.maximum(straight - size**2 * power, floor)
    best = int(np.argmin(with_change))
    alike = _alike(rest - basis[:, best] * size[best], y, scatter)
    weight = 0.5 * alike * n * np.log(straight / with_change) - 0.5 * np.log(alike * n)
    weight += np.log(_PRIOR / 2 / np.repeat([len(steps), len(bends)], [len(steps), len(bends)]))
    top = float(weight.max())
    chance = np.exp(weight - top)
    sure = float(chance.sum() / (chance.sum() + (1.0 - _PRIOR) * np.exp(-top)))
    by_kind = (chance[: len(steps)].sum(), chance[len(steps) :].sum())
    stepped = bool(by_kind[0] >= by_kind[1])
    part = slice(0, len(steps)) if stepped else slice(len(steps), None)
    at, own = (steps if stepped else bends), chance[part] / chance[part].sum()
    i = int(np.argmax(own))
    within = np.minimum(np.searchsorted(own.cumsum(), (0.05, 0.95)), len(at) - 1)
    low, high = int(at[within[0]]), int(at[within[1]])
    first, amount = int(at[i]), float(size[part][i])
    level = abs(float(np.median(y[max(0, first - 10) : first]))) or 1.0
    if stepped:
        relative = amount / level
        kind: Verdict = "sudden step"
        material = abs(relative) >= _LEAST_STEP and abs(amount) >= _LEAST_STEP_SCATTERS * scatter
    else:
        relative = amount * float(x[-1] - x[first - 1]) / level
        kind = "rising fast" if amount > 0 else "falling fast"
        after = _line(x[first - 1 :], y[first - 1 :])
        material = abs(relative) >= _LEAST_BEND and after * amount > 0
    return _Best(kind, first, low, high, sure, relative, material)


def _even_and_fast(x: Floats, y: Floats) -> Change | None:
    """An even rise from the first hole on that is too fast to be called steady."""
    slope = _line(x, y)
    rest = y - np.median(y) - slope * (x - np.median(x))
    error = float(rest.std()) / max(1e-12, float(np.sqrt(((x - x.mean()) ** 2).sum())))
    total = slope * float(x[-1] - x[0])
    if abs(slope) < _EVEN_FAST or abs(slope) < 6.0 * error or abs(total) < 0.1:
        return None
    first = round(x[0])
    kind: Verdict = "rising fast" if slope > 0 else "falling fast"
    return Change(kind, first, first, first, 0.99, 100.0 * total / max(1e-9, y[0]))


def _blocks(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Medians of neighbouring holes where a run is so long that single ones do not matter."""
    size = -(-len(y) // _MOST_POINTS)
    if size == 1:
        return x, y
    starts = np.arange(0, len(y) - size + 1, size)
    return x[starts], np.array([np.median(y[a : a + size]) for a in starts])


def _without_odd_ones(y: Floats) -> Floats:
    """Odd holes replaced by the median of the five around them."""
    medians = np.median(np.lib.stride_tricks.sliding_window_view(y, 5), axis=1)
    around = medians[np.clip(np.arange(len(y)) - 2, 0, len(medians) - 1)]
    reach = _CLIP_SCATTERS * _scatter(y)
    return np.asarray(np.where(np.abs(y - around) > reach, around, y))


def _scatter(y: Floats) -> float:
    """Scatter from hole to hole, from the differences, so that no trend or step is in it."""
    steps = np.diff(y)
    spread = float(np.median(np.abs(steps - np.median(steps)))) * 1.4826 / np.sqrt(2.0)
    return float(max(spread, _LEAST_SCATTER))


def _alike(rest: Floats, y: Floats, scatter: float) -> float:
    """Share of the holes that count as looks of their own, where neighbours scatter alike.

    Likeness is taken from what a line leaves and from the steps from hole to hole, and the smaller
    counts: further changes make the first large, but not the second.
    """
    power = float(rest @ rest)
    if power <= 0.0:
        return 1.0
    left = float(rest[1:] @ rest[:-1]) / power
    steps = np.diff(y)
    steps = np.clip(steps - np.median(steps), -4.0 * scatter, 4.0 * scatter)
    stepped = float(steps @ steps)
    stepwise = 1.0 + 2.0 * float(steps[1:] @ steps[:-1]) / stepped if stepped > 0.0 else 0.0
    same = min(0.8, max(0.0, min(left, stepwise)))
    return (1.0 - same) / (1.0 + same)


def _line(x: Floats, y: Floats) -> float:
    """Slope of the straight line through points."""
    away = x - x.mean()
    return float((away @ y) / max(1e-12, float(away @ away)))


def newest_change(trends: Sequence[FeatureTrend]) -> tuple[FeatureTrend, Change] | None:
    """The change that began last of all features, the surest of those; None without one."""
    found = [(trend, trend.newest) for trend in trends if trend.newest is not None]
    if not found:
        return None
    trend, change = max(found, key=lambda one: (one[1].since_hole, one[1].sure))
    return trend, change

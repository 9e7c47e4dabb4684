"""Stretches under load: where each begins and ends, how high it is, and the dips within."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import uniform_filter1d

from trials.holes.edges import find_edges
from trials.holes.grid import Grid
from trials.holes.levels import Levels
from trials.holes.middle import middle
from trials.holes.rows import Ints, blocks, middles_of_sorted, reduced
from trials.holes.samples import Floats

_SURE = 5.0
_DETAIL_S = 0.06
_SHALLOW = 0.08  # least depth of a dip, share of the cut's height
# Where the levels beside a cut are read: how far, how near, how far off, how long at least.
_BESIDE_S, _NEAR_S, _BESIDE_AWAY_S, _BESIDE_LEAST_S = 2.0, 0.75, 0.15, 0.3
_LOW, _HIGH = 0.2, 0.3  # hysteresis, shares of the cut's own height


@dataclass(frozen=True, slots=True)
class Dip:
    """A dip within a cut: its lowest place, depth as share of the load around it, width."""

    at: float
    depth: float
    width: int


@dataclass(slots=True)
class Cut:
    """One stretch under load. Places are grid points (floats where they lie between two).

    Args:
        start, end: where it begins and ends.
        height: its level above idle: median of its upper part.
        idle: idle level next to it.
        samples: how many samples it is made of.
        flatness: mean over highest, above idle; near 1 for a cut, low for a switch-on spike.
        top_at: where its highest point lies, 0 at the start, 1 at the end.
        dips: places where the load falls and rises again within it.
        missing: grid points within it whose samples are missing.
        noise_ratio: height over noise after smoothing.
        before, after: level on either side, NaN where other cuts leave no room.
        near_before, near_after: the same, only right next to it.
        level_noise: scatter of those levels.
    """

    start: float
    end: float
    height: float
    idle: float
    samples: int
    flatness: float
    top_at: float
    dips: tuple[Dip, ...]
    missing: int
    noise_ratio: float
    before: float = np.nan
    after: float = np.nan
    near_before: float = np.nan
    near_after: float = np.nan
    level_noise: float = np.inf

    @property
    def length(self) -> float:
        return self.end - self.start


def find_cuts(
    grid: Grid, value: Floats, missing: np.ndarray, count: np.ndarray, levels: Levels, dips: bool
) -> list[Cut]:  # fmt: skip
    """All stretches that stand out of the idle level, spikes and other tools' included.

    ``dips`` tells whether dips within them are looked for.
    """
    begins, ends = _runs(levels.coarse > _SURE * levels.coarse_noise)
    if len(begins) == 0:
        return []
    # Smooth no more than the fainter cuts need.
    tallest = _coarse_heights(levels.coarse, begins, ends)
    typical = float(np.quantile(tallest, 0.25))
    per_sample = max(1.0, grid.sample_s / grid.step_s)
    wanted = (2.0 * _SURE * levels.noise / max(typical, 1e-12)) ** 2 * per_sample
    width = int(np.clip(wanted, 1, max(1.0, (2 * levels.reach + 1) * levels.every))) | 1
    above = value - levels.idle
    fine = uniform_filter1d(value, width, mode="nearest") - levels.idle if width > 1 else above
    noise = levels.noise / np.sqrt(max(1.0, width / per_sample))
    low, high = _limits(len(value), levels, begins, ends, tallest, noise)
    begins, ends = _runs(fine > low)
    if len(begins) == 0:
        return []
    real = reduced(np.maximum, fine, begins, ends) >= high[begins]
    begins, ends = begins[real], ends[real]
    if len(begins) == 0:
        return []
    detail_width = int(np.clip(round(_DETAIL_S / grid.step_s), 1, width)) | 1
    detail = fine if detail_width >= width else (
        uniform_filter1d(value, detail_width, mode="nearest") - levels.idle
    )  # fmt: skip
    detail_noise = levels.noise / np.sqrt(max(1.0, detail_width / per_sample))
    height, flatness, top_at = _heights(fine, begins, ends, grid.sample_s / grid.step_s)
    length = ends - begins
    common = _weighted_middle(length)
    usual = (length > 0.5 * common) & (length < 2.0 * common)
    usual &= (height > 0.5 * np.median(height[usual])) & (height < 2.0 * np.median(height[usual]))
    first, last = find_edges(
        above, fine, begins, ends, usual, levels.noise, noise, width, grid.step_s,
        per_sample,
    )  # fmt: skip
    first = np.clip(first + grid.centre, 0.0, float(len(value)))
    last = np.clip(last + grid.centre, 0.0, float(len(value)))
    turned = last <= first
    first, last = np.where(turned, begins, first), np.where(turned, ends, last)
    samples, lost = (np.concatenate([[0], np.cumsum(each)]) for each in (count, missing))
    found = _dips(detail, begins, ends, detail_noise, height) if dips else [()] * len(begins)
    cuts = [
        Cut(*each)
        for each in zip(
            first.tolist(), last.tolist(), height.tolist(), levels.idle[begins].tolist(),
            (samples[ends] - samples[begins]).tolist(), flatness.tolist(), top_at.tolist(), found,
            (lost[ends] - lost[begins]).tolist(), (height / max(noise, 1e-12)).tolist(),
            strict=True,
        )
    ]  # fmt: skip
    for cut, following in itertools.pairwise(cuts):
        if cut.end > following.start - 1:
            between = 0.5 * (max(cut.end, cut.start + 1) + following.start)
            cut.end = max(cut.start + 0.5, between - 0.5)
            following.start = min(following.end - 0.5, max(cut.end, between + 0.5))
    _look_beside(cuts, value, levels.noise, per_sample, grid.step_s)
    for cut in cuts:
        if cut.dips:
            cut.dips = tuple(dip for dip in cut.dips if cut.start + 1 < dip.at < cut.end - 1)
    return cuts


def _coarse_heights(coarse: Floats, begins: Ints, ends: Ints) -> Floats:
    """Level of each stretch on the coarse grid: median of what is not far below its top."""
    out = np.zeros(len(begins))
    for which, rows, own in blocks(coarse, begins, ends):
        rows.sort(axis=1)
        top = rows[np.arange(len(rows)), (0.9 * (own - 1)).astype(np.int64)]
        upper = np.minimum((rows <= 0.4 * top[:, None]).sum(axis=1), own - 1)
        out[which] = np.where(top > 0, middles_of_sorted(rows, upper, own), 0.0)
    return out


def _limits(
    length: int, levels: Levels, begins: Ints, ends: Ints, tallest: Floats, noise: float
) -> tuple[Floats, Floats]:
    """Where a cut may begin and what it has to reach, grid point by grid point."""
    grow = levels.reach + 1
    between = (ends[:-1] + begins[1:]) // 2
    left, right = begins - grow, ends + grow
    left[1:] = np.maximum(left[1:], between)
    right[:-1] = np.minimum(right[:-1], (ends[:-1] + begins[1:] + 1) // 2)
    low = np.full(length, np.inf)
    high = np.full(length, np.inf)
    own_low = np.minimum(np.maximum(_LOW * tallest, 3.5 * noise), 0.5 * tallest)
    own_high = np.maximum(_HIGH * tallest, np.minimum(_SURE * noise, 0.55 * tallest))
    for a, b, one, two in zip(
        np.maximum(0, left * levels.every).tolist(),
        np.minimum(length, right * levels.every).tolist(), own_low.tolist(), own_high.tolist(),
        strict=True,
    ):  # fmt: skip
        low[a:b] = one
        high[a:b] = two
    return low, high


def _heights(
    fine: Floats, begins: Ints, ends: Ints, per_sample: float
) -> tuple[Floats, Floats, Floats]:
    """Height of each cut (a spike does not lift it), its flatness, and where its top lies."""
    height, flatness, top_at = np.empty((3, len(begins)))
    for which, rows, own in blocks(fine, begins, ends, -np.inf):
        top_at[which] = rows.argmax(axis=1) / own
        rows[np.isneginf(rows)] = np.inf
        rows.sort(axis=1)
        most = (0.97 * (own - 1)).astype(np.int64)
        # Of long ones, two samples mean nothing.
        long = own > 12 * per_sample
        most = np.where(long, np.minimum(most, own - 1 - int(np.ceil(3 * per_sample))), most)
        plateau = rows[np.arange(len(rows)), most]
        half = 0.5 * middles_of_sorted(rows, np.zeros_like(own), own)
        upper = np.minimum((rows <= half[:, None]).sum(axis=1), own - 1)
        height[which] = middles_of_sorted(rows, upper, own)
        flatness[which] = plateau
    flatness = reduced(np.add, fine, begins, ends) / (ends - begins) / flatness
    return height, flatness, top_at


def _weighted_middle(length: Ints) -> float:
    """Median of the lengths, each weighted by itself."""
    order = np.sort(length)
    total = np.cumsum(order)
    return float(order[int(np.searchsorted(total, 0.5 * total[-1]))])


def _look_beside(
    cuts: list[Cut], value: Floats, noise: float, per_sample: float, step_s: float
) -> None:
    """Fill in the levels before and after each cut."""
    if not cuts:
        return
    total = np.concatenate([[0.0], np.cumsum(value)])
    start, end = np.array([c.start for c in cuts]), np.array([c.end for c in cuts])
    height = np.array([c.height for c in cuts])
    large = np.flatnonzero((height > 0.2 * middle(height)) & (end - start > 0.15 / step_s))
    away, apart = _BESIDE_AWAY_S / step_s, 0.1 / step_s
    ends = np.concatenate([[-np.inf], end[large]])[np.searchsorted(large, np.arange(len(cuts)))]
    begins = np.concatenate([start[large], [np.inf]])[
        np.searchsorted(large, np.arange(len(cuts)), side="right")
    ]
    found, points = [], []
    for reach in (_BESIDE_S / step_s, _NEAR_S / step_s):
        for a, b in (
            (np.maximum(start - reach, ends + apart), start - away),
            (end + away, np.minimum(end + reach, begins - apart)),
        ):
            first = np.clip(np.ceil(a), 0, len(value)).astype(np.int64)
            last = np.clip(np.floor(b), 0, len(value)).astype(np.int64)
            number = last - first
            mean = (total[np.maximum(last, first)] - total[first]) / np.maximum(number, 1)
            enough = number >= max(2.0 * per_sample, _BESIDE_LEAST_S / step_s)
            found.append(np.where(enough, mean, np.nan))
            points.append(np.where(enough, number, np.iinfo(np.int64).max))
    fewest = np.maximum(1.0, np.minimum(points[0], points[1]) / per_sample)
    for i, cut in enumerate(cuts):
        cut.before, cut.after, cut.near_before, cut.near_after = (float(f[i]) for f in found)
        cut.level_noise = noise / float(fewest[i]) ** 0.5


def _dips(
    detail: Floats, begins: Ints, ends: Ints, noise: float, height: Floats
) -> list[tuple[Dip, ...]]:
    """Places where the load falls and rises again: below what it reaches on both sides."""
    out: list[tuple[Dip, ...]] = [()] * len(begins)
    for which, rows, own in blocks(detail, begins, ends, -np.inf):
        left = np.maximum.accumulate(rows, axis=1)
        right = np.maximum.accumulate(rows[:, ::-1], axis=1)[:, ::-1]
        ceiling = np.minimum(left, right, out=left)
        with np.errstate(invalid="ignore"):
            depth = ceiling - rows  # not a number in the filling
        least = np.maximum(7.0 * noise, _SHALLOW * height[which])
        for row in np.flatnonzero((depth >= least[:, None]).any(axis=1)).tolist():
            number = int(which[row])
            part = slice(0, int(own[row]))
            out[number] = _dips_of(
                depth[row, part], ceiling[row, part], int(begins[number]), float(least[row])
            )
    return out


def _dips_of(depth: Floats, ceiling: Floats, begin: int, least: float) -> tuple[Dip, ...]:
    dips = []
    for a, b in zip(*(each.tolist() for each in _runs(depth > 0.5 * least)), strict=True):
        lowest = int(np.argmax(depth[a:b])) + a
        if depth[lowest] >= least:
            share = float(depth[lowest] / max(ceiling[lowest], 1e-12))
            width = int((depth[a:b] > 0.5 * depth[lowest]).sum())
            dips.append(Dip(float(begin + lowest), share, width))
    return tuple(dips)


def _runs(mask: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """First and one-past-last index of each run of true."""
    edges = np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8))
    return np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)

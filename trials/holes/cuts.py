"""Stretches under load: where each begins and ends, how high it is, and the dips within."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import uniform_filter1d

from trials.holes.edges import Edge, find_edge, is_filtered, place, reach_points, usual_width
from trials.holes.grid import Grid
from trials.holes.levels import Levels
from trials.holes.middle import middle, middle_of_sorted
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
    lengths = len(value)
    high = levels.coarse > _SURE * levels.coarse_noise
    begins, ends = _runs(high)
    if len(begins) == 0:
        return []
    limit_low = np.full(lengths, np.inf)
    limit_high = np.full(lengths, np.inf)
    tallest = []
    for begin, end in zip(begins, ends, strict=True):
        part = levels.coarse[begin:end]
        top = float(np.partition(part, int(0.9 * (len(part) - 1)))[int(0.9 * (len(part) - 1))])
        tallest.append(middle(part[part > 0.4 * top]) if top > 0 else 0.0)
    # Smooth no more than the fainter cuts need.
    typical = float(np.quantile(tallest, 0.25))
    per_sample = max(1.0, grid.sample_s / grid.step_s)
    wanted = (2.0 * _SURE * levels.noise / max(typical, 1e-12)) ** 2 * per_sample
    width = int(np.clip(wanted, 1, max(1.0, (2 * levels.reach + 1) * levels.every))) | 1
    fine = uniform_filter1d(value, width, mode="nearest") - levels.idle
    noise = levels.noise / np.sqrt(max(1.0, width / per_sample))
    grow = levels.reach + 1
    for number, (begin, end) in enumerate(zip(begins, ends, strict=True)):
        left = begin - grow if number == 0 else max(begin - grow, (ends[number - 1] + begin) // 2)
        right = end + grow
        if number + 1 < len(begins):
            right = min(right, (end + begins[number + 1] + 1) // 2)
        a, b = max(0, left * levels.every), min(lengths, right * levels.every)
        tall = tallest[number]
        limit_low[a:b] = min(max(_LOW * tall, 3.5 * noise), 0.5 * tall)
        limit_high[a:b] = max(_HIGH * tall, min(_SURE * noise, 0.55 * tall))
    cuts: list[Cut] = []
    starts: list[Edge] = []
    stops: list[Edge] = []
    reach = reach_points(grid.step_s)
    run_begins, run_ends = _runs(fine > limit_low)
    if len(run_begins) == 0:
        return []
    detail_width = int(np.clip(round(_DETAIL_S / grid.step_s), 1, width)) | 1
    detail = fine if detail_width >= width else (
        uniform_filter1d(value, detail_width, mode="nearest") - levels.idle
    )  # fmt: skip
    detail_noise = levels.noise / np.sqrt(max(1.0, detail_width / per_sample))
    sampled = np.concatenate([[0], np.cumsum(count)])
    lost = np.concatenate([[0], np.cumsum(missing)])
    limits = np.stack([run_begins, run_ends], axis=1).ravel()[:-1]
    tops = np.maximum.reduceat(fine[: run_ends[-1]], limits)[::2]
    for begin, end, top in zip(
        run_begins.tolist(), run_ends.tolist(), tops.tolist(), strict=True
    ):  # fmt: skip
        if top < limit_high[begin]:
            continue
        part = fine[begin:end]
        starts.append(find_edge(fine, begin, end, True, noise, reach))
        stops.append(find_edge(fine, begin, end, False, noise, reach))
        order = part.copy()
        order.sort()
        most = int(0.97 * (len(part) - 1))
        if len(part) > 12 * per_sample:
            most = min(most, len(part) - 1 - int(3 * per_sample))  # two samples mean nothing
        plateau = float(order[most])
        upper = int(order.searchsorted(0.5 * middle_of_sorted(order), side="right"))
        height = middle_of_sorted(order[min(upper, len(order) - 1) :])  # a spike lifts the top
        cuts.append(
            Cut(
                start=float(begin), end=float(end), height=height,
                idle=float(levels.idle[begin]), samples=int(sampled[end] - sampled[begin]),
                flatness=float(part.sum()) / len(part) / plateau,
                top_at=float(part.argmax()) / len(part),
                dips=_dips(detail[begin:end], begin, detail_noise, height) if dips else (),
                missing=int(lost[end] - lost[begin]),
                noise_ratio=height / max(noise, 1e-12),
            )
        )  # fmt: skip
    filtered = is_filtered(starts, stops, grid.step_s)
    widths = usual_width(starts), usual_width(stops)
    for cut, start, stop in zip(cuts, starts, stops, strict=True):
        first = place(start, -1, filtered, widths[0], width, grid.step_s) + grid.centre
        last = place(stop, 1, filtered, widths[1], width, grid.step_s) + grid.centre
        if last > first:
            cut.start, cut.end = max(0.0, first), min(float(lengths), last)
    for cut, following in itertools.pairwise(cuts):
        if cut.end > following.start - 1:
            between = 0.5 * (max(cut.end, cut.start + 1) + following.start)
            cut.end = max(cut.start + 0.5, between - 0.5)
            following.start = min(following.end - 0.5, max(cut.end, between + 0.5))
    _look_beside(cuts, value, levels.noise, per_sample, grid.step_s)
    for cut in cuts:
        cut.dips = tuple(dip for dip in cut.dips if cut.start + 1 < dip.at < cut.end - 1)
    return cuts


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


def _dips(part: Floats, begin: int, noise: float, height: float) -> tuple[Dip, ...]:
    """Places where the load falls and rises again: below what it reaches on both sides."""
    ceiling = np.minimum(np.maximum.accumulate(part), np.maximum.accumulate(part[::-1])[::-1])
    depth = ceiling - part
    least = max(7.0 * noise, _SHALLOW * height)
    starts, stops = _runs(depth > 0.5 * least)
    dips = []
    for a, b in zip(starts, stops, strict=True):
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

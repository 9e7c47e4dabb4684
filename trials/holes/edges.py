"""Where cuts begin and end, between the grid points."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from trials.holes.rows import Ints, medians
from trials.holes.samples import Floats

_LOW, _HALF, _HIGH = 0.2, 0.5, 0.8  # shares of the level next to the edge
_OUTWARD_S, _INWARD_S = 1.2, 4.0
_CLEAR, _SURE = 0.03, 0.12  # noise over level
_SLOW = 0.04  # of the cut: an edge wider than this
_BEHIND = {1: 4.0, -1: 1.7}  # widths inward from half-way, where even a slow edge is over
_FOOT = 0.04  # lowest share of the level at which the shape of an edge is read
_FILTER_BENT = 0.8  # an exponential fall has 0.51 here, a straight one 1
_FILTER_LEAST_S = 0.05
_SOONER = (1.15, 1.35)  # a foot this much further out is not of the cut: from no to yes
_ODD_SHAPE = 3.2  # foot beyond the half-way point, in widths, at most


@dataclass(frozen=True, slots=True)
class Side:
    """All beginnings, or all ends, of the cuts of a window; places are grid points.

    Args:
        sign: which way the cut lies: 1 at its beginning, -1 at its end.
        half: where the load passes half of ``level``, the load next to the edge.
        width: from there outward to a fifth of it; 0 where noise hides that.
        clear: noise blurs nothing of this edge.
        inward, outward: how far the edge can reach, up to the middle of the cut and to the next.
    """

    sign: int
    half: Floats
    level: Floats
    width: Floats
    clear: NDArray[np.bool_]
    inward: Floats
    outward: Floats


@dataclass(frozen=True, slots=True)
class Shape:
    """What the edges of one side look like on the average.

    Distances are grid points outward from half-way: of the ``foot``, of a fifth (``low``), and of
    four fifths (``high``, negative).
    """

    foot: float
    low: float
    high: float


def find_edges(
    above: Floats, fine: Floats, begins: Ints, ends: Ints, usual: NDArray[np.bool_],
    noise: float, fine_noise: float, smoothing: int, step_s: float, per_sample: float,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Grid points, with fractions, where each cut begins and ends.

    Without filter in the drive that is the foot of the ramp, where the point of the drill touches
    or leaves. A filter shows by falls that bend like an exponential; then places are later than
    the drill's by the filter's delay, and by no more.

    Args:
        above, noise: load above idle and its scatter; ``fine``, ``fine_noise``: the same smoothed
            over ``smoothing`` grid points.
        begins, ends: first and one-past-last grid point of each cut, roughly.
        usual: which cuts are alike; the shape of the edges is learnt from them.
        per_sample: grid points for each sample, 1 or more.
    """
    middle = 0.5 * (ends[:-1] + begins[1:])
    inward = np.asarray(0.45 * (ends - begins), dtype=np.float64)
    before = np.asarray(begins - np.concatenate([[-np.inf], middle]), dtype=np.float64)
    after = np.asarray(np.concatenate([middle, [np.inf]]) - ends, dtype=np.float64)
    sides = []
    for sign, outward in ((1, before), (-1, after)):
        sides.append(
            _find_side(above, fine, begins, ends, sign, inward, outward, noise, fine_noise, step_s)
        )
    shapes = [_shape(above, side, usual, noise, step_s, per_sample) for side in sides]
    feet = _filtered(shapes[0], shapes[1], step_s)
    places = []
    for side, shape, foot in zip(sides, shapes, feet, strict=True):
        blur = (_HALF - _LOW) * smoothing
        own = np.sqrt(np.maximum(0.0, side.width**2 - blur**2 * (smoothing > 1)))
        ratio = foot / shape.low if shape.low > 0.5 else (0.5 / (_HALF - _LOW))
        far = np.where(side.clear, ratio * own, foot)
        places.append(side.half - side.sign * np.minimum(far, side.outward))
    return places[0], places[1]


def _find_side(
    above: Floats, fine: Floats, begins: Ints, ends: Ints, sign: int, inward: Floats,
    outward: Floats, noise: float, fine_noise: float, step_s: float,
) -> Side:  # fmt: skip
    length = ends - begins
    a, b = (0.1, 0.35) if sign > 0 else (0.8, 0.95)
    near = begins + (a * length).astype(np.int64)
    level = medians(fine, near, np.maximum(near + 1, begins + (b * length).astype(np.int64)))
    outside = begins if sign > 0 else ends - 1
    reach, depth = _extent(length, step_s)
    at = outside[:, None] + sign * np.arange(-reach, depth)
    load = np.take(fine, at, mode="clip")
    half, low = _crossings(load, reach, level)
    slow = (low >= 0) & (half - low > _SLOW * length)
    if slow.any():
        # So slow that the level was read on the edge itself: read it again behind it.
        behind = outside + sign * (half - reach + _BEHIND[sign] * (half - low))
        one = np.clip(behind, begins, ends - 1).astype(np.int64)
        two = np.clip(behind + sign * 0.15 * length, begins, ends - 1).astype(np.int64)
        again = medians(fine, np.minimum(one, two), np.maximum(one, two) + 1)
        level = np.where(slow, np.maximum(again, level), level)
        half, low = _crossings(load, reach, level)
    found = half >= 0
    # Where noise is large, the place that parts low from high best (the likeliest for one step).
    noisy = noise > _SURE * level
    if noisy.any():
        raw = np.take(above, at[noisy], mode="clip") - _HALF * level[noisy, None]
        away = np.arange(-reach, depth)
        raw[(away < -outward[noisy, None]) | (away > np.maximum(2.0, inward[noisy, None]))] = 0.0
        total = np.cumsum(raw, axis=1)
        # The sum is lowest at the last grid point before the step.
        half[noisy] = total.shape[1] - 0.5 - total[:, ::-1].argmin(axis=1)
        found |= noisy
    half = np.where(found, half, float(reach))
    place = outside + sign * (half - reach)
    sure = found & (fine_noise < _SURE * level) & (low >= 0) & ~noisy
    return Side(
        sign, place, level, np.where(sure, half - low, 0.0),
        sure & (fine_noise < _CLEAR * level), inward, outward,
    )  # fmt: skip


def _crossings(load: Floats, reach: int, level: Floats) -> tuple[Floats, Floats]:
    """Columns where the load passes half and a fifth of the level; -1 where it does not."""
    # From the outermost part of the cut that reaches half: what lies behind may be a dip.
    reaching = load >= _HALF * level[:, None]
    reaching[:, :reach] = False
    inner = np.where(reaching.any(axis=1), reaching.argmax(axis=1), reach)
    return _last_below(load, inner, _HALF * level), _last_below(load, inner, _LOW * level)


def _extent(length: Ints, step_s: float) -> tuple[int, int]:
    """How far outward and inward of the rough edge the load is looked at, grid points."""
    most = min(float(length.max()), 3.0 * float(np.median(length)) + 1.0)
    return max(2, int(_OUTWARD_S / step_s)), max(3, int(min(0.5 * most, _INWARD_S / step_s)))


def _last_below(rows: Floats, end: Ints, level: Floats) -> Floats:
    """Where each row rises through its level for the last time up to ``end``; -1 if never."""
    number = np.arange(len(rows))
    width = rows.shape[1]
    below = rows < level[:, None]
    below[np.arange(width) > end[:, None]] = False
    at = width - 1 - below[:, ::-1].argmax(axis=1)
    one, two = rows[number, at], rows[number, np.minimum(at + 1, width - 1)]
    rising = (at < end) & (two > one)
    place = at + np.where(rising, (level - one) / np.where(rising, two - one, 1.0), 0.0)
    return np.where(below.any(axis=1), place, -1.0)


def _shape(
    above: Floats, side: Side, usual: NDArray[np.bool_], noise: float, step_s: float,
    per_sample: float,
) -> Shape:  # fmt: skip
    """The mean of the edges laid on each other, and its foot.

    What is lowest may begin softly (the cone of the point) or sharply: with three heights that
    double from one to the next, any power of time has its foot where it belongs.
    """
    alike = usual & (side.level > 0)
    wide = side.width[alike & (side.width > 0)]
    if 2 * len(wide) > alike.sum():
        # The first peck's edge is the point's; the later ones are steep, and more.
        alike &= side.width > 0.6 * float(np.quantile(wide, 0.9))
    chosen = np.flatnonzero(alike)
    if len(chosen) == 0:
        return Shape(0.0, 0.0, 0.0)
    half, level = side.half[chosen], side.level[chosen]
    reach, depth = _extent(np.ceil(2.2 * side.inward[chosen]).astype(np.int64), step_s)
    away = np.arange(-reach, depth)
    place = half[:, None] + side.sign * away
    first = np.floor(place).astype(np.int64)
    share = place - first
    load = (1.0 - share) * np.take(above, first, mode="clip")
    load += share * np.take(above, first + 1, mode="clip")
    load /= level[:, None]
    there = (away >= -side.outward[chosen, None]) & (away <= side.inward[chosen, None])
    there &= (place >= 0) & (place <= len(above) - 1)
    number = there.sum(axis=0)
    mean = np.where(there, load, 0.0).sum(axis=0) / np.maximum(number, 1)
    good = np.flatnonzero(number >= max(1, 0.3 * len(chosen)))
    if len(good) < 4 or good[0] >= reach or good[-1] <= reach:
        return Shape(0.0, 0.0, 0.0)
    begin, end = int(good[0]), int(good[-1]) + 1
    scatter = noise / float(np.median(level)) / len(chosen) ** 0.5

    def crossing(height: float) -> float:
        """Grid points outward from half-way."""
        if height > _HALF:
            over = np.flatnonzero(mean[reach:end] >= height)
            stop = reach + int(over[0]) if len(over) else end - 1
        else:
            stop = reach + 1
        below = np.flatnonzero(mean[begin : stop + 1] < height)
        if len(below) == 0:
            return float(reach - begin)
        at = begin + int(below[-1])
        one, two = float(mean[at]), float(mean[min(at + 1, end - 1)])
        return reach - (at + (height - one) / (two - one) if two > one else float(at))

    low, high = crossing(_LOW), crossing(_HIGH)
    lowest = max(_FOOT, 4.0 * scatter)
    if 4.0 * lowest > 0.6:
        foot = _ramp(mean[begin:end], reach - begin)
        return Shape(foot, foot * (_HALF - _LOW) / _HALF, -foot * (_HALF - _LOW) / _HALF)
    if low < 4.0 * per_sample:
        return Shape(_HALF / (_HALF - _LOW) * low, low, high)
    feet = [_foot(*(crossing(k * start) for k in (1, 2, 4))) for start in (lowest, 0.25 * _HALF)]
    # What lies below is not of the cut where it begins much sooner: a pump, an axis. In between one
    # shades into the other, so that a breath of noise does not tip it.
    foot = feet[0]
    if feet[1] > 0:
        sooner = float(np.interp(feet[0] / feet[1], _SOONER, (0.0, 1.0)))
        foot += sooner * (feet[1] - feet[0])
    return Shape(float(np.clip(foot, 0.0, _ODD_SHAPE * low)), low, high)


def _foot(one: float, two: float, four: float) -> float:
    """Foot of an edge that passes some height, double and fourfold at these distances outward."""
    doubling = float(np.clip((two - four) / max(one - two, 1e-9), 1.2, 4.5))
    return one + (one - two) / (doubling - 1.0)


def _ramp(mean: Floats, half: int) -> float:
    """Half the length of the straight ramp, its middle at ``half``, that fits a noisy edge best."""
    away = np.arange(len(mean)) - half
    longest = max(2.0, 2.0 * min(half, len(mean) - half))
    lengths = np.geomspace(1.0, longest, 24)
    fits = np.clip(away / lengths[:, None] + 0.5, 0.0, 1.0)
    return 0.5 * float(lengths[int(((mean - fits) ** 2).sum(axis=1).argmin())])


def _filtered(rise: Shape, fall: Shape, step_s: float) -> tuple[float, float]:
    """How far the feet lie outward from half-way, for rises and falls.

    Behind a low-pass filter of first order a ramp of the length R becomes an exponential tail; the
    widths from four fifths to half and from half to a fifth tell both R and the filter's time
    constant. A rise begins where the delayed ramp has its foot. A fall ends in the middle of its
    delayed ramp: a filter of higher order behind a steep fall looks like a ramp too.
    """
    bend = -fall.high / fall.low if fall.low > 0 else 1.0
    if fall.low * step_s < _FILTER_LEAST_S or bend > _FILTER_BENT:
        return rise.foot, fall.foot
    ratio, first, half, last = _ramp_behind_filter()
    shape = min(int(np.searchsorted((half - first) / (last - half), bend)), len(ratio) - 1)
    tau = fall.low / float((last - half)[shape])
    if rise.low < 0.4 * tau:
        return rise.foot, fall.foot  # a filter would have made the rises as slow
    ends = (0.5 * float(ratio[shape]) + 1.0 - float(half[shape])) * tau
    # A rise passes a fifth where a fall passes four fifths.
    wide = min(int(np.searchsorted(half - first, rise.low / tau)), len(ratio) - 1)
    begins = (float(half[wide]) - 1.0) * tau
    return begins, ends


@cache
def _ramp_behind_filter() -> tuple[Floats, Floats, Floats, Floats]:
    """Ramp lengths, and when a fall passes 0.8, 0.5 and 0.2, all over the time constant."""
    ratio = np.concatenate([[1e-3], np.geomspace(0.05, 60.0, 160)])
    time = np.linspace(0.0, 66.0, 13_201)
    rows = []
    for length in ratio:
        on_ramp = 1.0 - (time - (1.0 - np.exp(-time))) / length
        after = -np.expm1(-length) / length * np.exp(-np.maximum(time - length, 0.0))
        load = np.where(time <= length, on_ramp, after)
        rows.append([np.interp(-share, -load, time) for share in (_HIGH, _HALF, _LOW)])
    first, half, last = np.array(rows).T
    return ratio, first, half, last

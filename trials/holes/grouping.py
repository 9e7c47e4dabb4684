"""Which cuts make one hole: by the cutting data when known, by what repeats when not."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

import numpy as np

from trials.holes.cuts import Cut
from trials.holes.expected import ExpectedTimes
from trials.holes.grid import Floats

_MOST_PECKS = 60
_LONGEST_PECK_GAP_S = 12.0


@dataclass(slots=True)
class Group:
    """Cuts that make one hole; ``unsure`` when they could be read in another way."""

    cuts: list[Cut]
    unsure: bool = False
    cost: float = 0.0
    flags: list[str] = field(default_factory=list)


def real_cuts(cuts: list[Cut], step_s: float, expected: ExpectedTimes | None) -> list[Cut]:
    """Leave out what is no cut: spikes of the spindle, air cuts, another tool's load."""
    if not cuts:
        return []
    length = np.array([c.length for c in cuts]) * step_s
    height = np.array([c.height for c in cuts])
    flat = np.array([c.flatness for c in cuts])
    samples = np.array([c.samples for c in cuts])
    solid = (flat > 0.5) & (samples >= 2)
    if not solid.any():
        return []
    usual_s = _usual(length[solid])
    if expected is not None:
        usual_s = float(np.clip(usual_s, 0.5 * expected.last_peck_s, 1.5 * expected.cut_s))
        longest_s = 2.2 * expected.cut_s + 1.0
    else:
        longest_s = 3.0 * usual_s
    near = solid & (length > 0.4 * usual_s) & (length < 2.5 * usual_s)
    keep = samples >= 2 if int(np.median(samples[solid])) >= 4 else np.ones(len(cuts), np.bool_)
    keep &= ~((flat < 0.55) & (length < 0.6 * usual_s))
    keep &= length > 0.12 * usual_s
    local = _running(height, near)
    keep &= height > 0.15 * local
    keep &= ~((length < 0.45 * usual_s) & ((height > 1.8 * local) | (height < 0.4 * local)))
    if expected is not None or (length[solid] > longest_s).sum() < 0.34 * solid.sum():
        keep &= length <= longest_s
    return [cut for cut, kept in zip(cuts, keep, strict=True) if kept]


def group_cuts(
    cuts: list[Cut], step_s: float, expected: ExpectedTimes | None
) -> list[Group]:  # fmt: skip
    """Cuts into holes, in order of time."""
    if not cuts:
        return []
    length = np.array([c.length for c in cuts]) * step_s
    gaps = np.array([(b.start - a.end) * step_s for a, b in itertools.pairwise(cuts)])
    if expected is not None:
        return _by_cutting_data(cuts, length, gaps, expected)
    return _by_repetition(cuts, length, gaps)


def _by_cutting_data(
    cuts: list[Cut], length: Floats, gaps: Floats, expected: ExpectedTimes
) -> list[Group]:
    """Cheapest way to split the cuts into holes of the expected cutting time and pecks."""
    number = len(cuts)
    full = expected.peck_mode == "full_retract" and expected.pecks > 1
    most = min(_MOST_PECKS, 2 * expected.pecks + 3) if full else 4 + expected.pecks
    peck_gap = _short_gap(gaps) if full else 0.0
    total = np.concatenate([[0.0], np.cumsum(length)])
    scale = _scale(length, expected, full)
    best = np.full(number + 1, np.inf)
    best[0] = 0.0
    came = np.zeros(number + 1, np.int64)
    for end in range(1, number + 1):
        cost_gaps = 0.0
        for begin in range(end - 1, max(-1, end - 1 - most), -1):
            if begin < end - 1:
                gap = float(gaps[begin])
                if gap > _LONGEST_PECK_GAP_S:
                    break
                if full:
                    cost_gaps += 0.15 * max(0.0, gap / max(peck_gap, 0.2) - 1.5)
                else:
                    cost_gaps += 0.3 + 0.8 * gap
            cost = best[begin] + cost_gaps + _misfit(
                float(total[end] - total[begin]) / scale, end - begin, expected, full
            )  # fmt: skip
            if cost < best[end]:
                best[end], came[end] = cost, begin
    groups: list[Group] = []
    end = number
    while end > 0:
        begin = int(came[end])
        groups.append(Group(cuts[begin:end], cost=float(best[end] - best[begin])))
        end = begin
    return groups[::-1]


def _misfit(cut_s: float, count: int, expected: ExpectedTimes, full: bool) -> float:
    off = abs(float(np.log(max(cut_s, 1e-3) / expected.cut_s)))
    cost = 3.0 * max(0.0, off - 0.08)
    if full:
        cost += 0.35 * abs(count - expected.pecks)
    return min(cost, 4.0)


def _scale(length: Floats, expected: ExpectedTimes, full: bool) -> float:
    """How much longer than the cutting data say the cuts are on this machine, 0.7 to 1.4."""
    if full or len(length) < 5:
        return 1.0
    near = length[(length > 0.6 * expected.cut_s) & (length < 1.6 * expected.cut_s)]
    if len(near) < 5:
        return 1.0
    return float(np.clip(np.median(near) / expected.cut_s, 0.7, 1.4))


def _short_gap(gaps: Floats) -> float:
    """Usual gap between pecks: the lower half of the gaps."""
    if len(gaps) == 0:
        return 1.0
    return float(np.quantile(gaps, 0.4))


def _by_repetition(cuts: list[Cut], length: Floats, gaps: Floats) -> list[Group]:
    """Try each clear jump in the sorted gaps as the limit between peck and hole."""
    best_limit, best_score = 0.0, _likeness(length, gaps, 0.0)
    near = np.sort(gaps[gaps < _LONGEST_PECK_GAP_S])
    for low, high in itertools.pairwise(near):
        if high < 1.35 * low or high - low < 0.08:
            continue
        limit = float(np.sqrt(low * high))
        score = _likeness(length, gaps, limit)
        if score > best_score + 0.02 or (score > best_score - 0.05 and best_limit == 0.0):
            best_limit, best_score = limit, score
    groups = [Group([cuts[0]])]
    for gap, cut in zip(gaps, cuts[1:], strict=True):
        if gap < best_limit:
            groups[-1].cuts.append(cut)
        else:
            groups.append(Group([cut]))
    return groups


def _likeness(length: Floats, gaps: Floats, limit: float) -> float:
    """How alike the holes come out when gaps below ``limit`` lie between pecks, 0 to 1."""
    first = np.concatenate([[True], gaps >= limit])
    starts = np.flatnonzero(first)
    totals = np.add.reduceat(length, starts)
    counts = np.diff(np.concatenate([starts, [len(length)]]))
    if len(totals) < 2 and limit > 0:
        return 0.0
    middle = float(np.median(totals))
    usual = int(np.median(counts))
    alike = (np.abs(totals - middle) < 0.15 * middle) & (counts == usual)
    return float(totals[alike].sum() / totals.sum())


def _usual(values: Floats) -> float:
    """Middle of the values with each weighted by itself: short scraps weigh little."""
    order = np.sort(values)
    weight = np.cumsum(order)
    return float(order[np.searchsorted(weight, 0.5 * weight[-1])])


def _running(height: Floats, near: np.ndarray, reach: int = 9) -> Floats:
    """Median height of the usual cuts around each cut."""
    which = np.flatnonzero(near)
    if len(which) == 0:
        return np.asarray(height)
    out = np.empty(len(height))
    for i in range(len(height)):
        at = int(np.searchsorted(which, i))
        part = which[max(0, at - reach) : at + reach]
        out[i] = np.median(height[part])
    return out

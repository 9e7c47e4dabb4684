"""Which cuts make one hole: by the cutting data when known, by what repeats when not."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from trials.holes.cuts import Cut
from trials.holes.expected import ExpectedTimes
from trials.holes.middle import middle
from trials.holes.patterns import by_pattern, repeats
from trials.holes.samples import Floats

_MOST_PECKS = 60
_LONGEST_PECK_GAP_S = 12.0
_SOONEST_NEXT_S = 0.35
_LONGEST_DIP_S = 1.5
_UNSURE = 1.0  # cost of a hole that fits neither the expected time nor the expected pecks
_ODD_TIME = 0.25  # natural logarithm of cutting time over the usual one
_CHIP_BREAK = 0.25  # usual depth of chip breaks, share of the load, is more
_STACK = 1.2  # loads of two pecks differ by less, those of two materials by more


@dataclass(slots=True)
class Group:
    """Cuts that make one hole; ``unsure`` when they could be read in another way."""

    cuts: list[Cut]
    pecks: int = 1
    unsure: bool = False
    cost: float = 0.0
    flags: list[str] = field(default_factory=list)


def group_cuts(
    cuts: list[Cut], step_s: float, sample_s: float, expected: ExpectedTimes | None,
    settled: float = 0.0, first: NDArray[np.bool_] | None = None,
) -> list[Group]:  # fmt: skip
    """Cuts into holes, in order of time.

    Cuts before ``settled`` belong to holes that are known; they only show what repeats. ``first``
    tells which cuts begin a hole, where that is known.
    """
    if first is not None:
        starts = [*np.flatnonzero(first).tolist(), len(cuts)]
        known = [cuts[a:b] for a, b in itertools.pairwise(starts)]
        return [Group(part) for part in known if part[0].start >= settled]
    if expected is not None:
        cuts = [cut for cut in cuts if cut.start >= settled]
    if not cuts or cuts[-1].start < settled:
        return []
    length = np.array([max(c.length, 0.5) for c in cuts]) * step_s
    gaps = np.array([max((b.start - a.end) * step_s, 1e-3) for a, b in itertools.pairwise(cuts)])
    if expected is not None:
        return _by_cutting_data(cuts, length, gaps, expected)
    groups = _by_repetition(cuts, length, gaps, sample_s)
    for group in groups:
        group.cuts = [cut for cut in group.cuts if cut.start >= settled]
    return [group for group in groups if group.cuts]


def choose_dips(
    groups: list[Group], expected: ExpectedTimes | None, step_s: float, sample_s: float
) -> None:
    """Keep the dips that are chip breaks; drop scatter of the load and the gap of a stack."""
    if expected is not None and expected.peck_mode != "chip_break":
        for group in groups:
            for cut in group.cuts:
                cut.dips = ()
        return
    deepest = [max((d.depth for d in cut.dips), default=0.0) for g in groups for cut in g.cuts]
    usual = middle([d for d in deepest if d > 0]) if any(deepest) else 0.0
    for group in groups:
        for cut in group.cuts:
            cut.dips = tuple(
                d for d in cut.dips if d.depth > 0.45 * usual and d.width * step_s < _LONGEST_DIP_S
            )
    if expected is not None:
        most = expected.pecks - 1
        for group in groups:
            if len(group.cuts) == 1 and len(group.cuts[0].dips) > most:
                cut = group.cuts[0]
                deep = sorted(cut.dips, key=lambda d: -d.depth)[:most]
                cut.dips = tuple(sorted(deep, key=lambda d: d.at))
    elif not _are_chip_breaks(groups, step_s, sample_s):
        for group in groups:
            for cut in group.cuts:
                cut.dips = ()


def _are_chip_breaks(groups: list[Group], step_s: float, sample_s: float) -> bool:
    """Whether the dips come at the same depths in hole after hole, as a control makes them.

    Packed chips, chatter and noise make dips too, but anywhere. Of one or two holes the dips must
    lie evenly.
    """
    depths = [d.depth for g in groups for cut in g.cuts for d in cut.dips]
    if not depths or middle(depths) < _CHIP_BREAK:
        return False
    marks = []
    for group in groups:
        start = group.cuts[0].start
        at = [d.at - start for cut in group.cuts for d in cut.dips]
        at += [0.5 * (a.end + b.start) - start for a, b in itertools.pairwise(group.cuts)]
        marks.append(np.sort(at) * step_s)
    counts = [len(m) for m in marks]
    usual = max(set(counts), key=counts.count)
    with_most = [m for m in marks if len(m) == usual]
    if usual == 0 or len(with_most) < 0.4 * len(marks):
        return False
    places = np.median(np.array(with_most), axis=0)
    between = np.diff(places, prepend=0.0)
    near = max(0.15 * float(between.min()), 1.5 * sample_s)
    if len(with_most) < 3:
        return bool(np.ptp(between) < 2.0 * near)
    alike = [bool((np.abs(m - places) < near).all()) for m in with_most]
    return sum(alike) >= 0.6 * len(with_most)


def count_pecks(group: Group, expected: ExpectedTimes | None) -> int:
    """Cuts that the hole was made in. The two loads of a stack or a step drill are one."""
    if expected is not None and expected.pecks == 1:
        return 1
    pecks = sum(len(cut.dips) + 1 for cut in group.cuts)
    if expected is None and pecks == 2 and len(group.cuts) == 2:
        one, two = (cut.height for cut in group.cuts)
        if max(one, two) > _STACK * min(one, two):
            return 1
    return pecks


def _by_cutting_data(
    cuts: list[Cut], length: Floats, gaps: Floats, expected: ExpectedTimes
) -> list[Group]:
    """Cheapest way to split the cuts into holes of the expected cutting time and pecks."""
    number = len(cuts)
    full = expected.peck_mode == "full_retract" and expected.pecks > 1
    most = min(_MOST_PECKS, 2 * expected.pecks + 3) if full else 4 + expected.pecks
    peck_gap = _short_gap(gaps) if full else 0.0
    total = np.concatenate([[0.0], np.cumsum(length)])
    scale = _scale(length, gaps, expected, full)
    parts = _parting(cuts, gaps) if full else np.zeros(number)
    best = np.full(number + 1, np.inf)
    best[0] = 0.0
    came = np.zeros(number + 1, np.int64)
    for end in range(1, number + 1):
        cost_gaps = -float(parts[end - 1]) if end < number else 0.0
        for begin in range(end - 1, max(-1, end - 1 - most), -1):
            if begin < end - 1:
                gap = float(gaps[begin])
                if gap > _LONGEST_PECK_GAP_S:
                    break
                cost_gaps += float(parts[begin])
                if full:
                    cost_gaps += 0.15 * max(0.0, gap / max(peck_gap, 0.2) - 1.5)
                elif expected.peck_mode == "chip_break" and gap < _LONGEST_DIP_S:
                    cost_gaps += 0.05 + 0.5 * max(0.0, gap - 0.6)
                elif gap > _SOONEST_NEXT_S:
                    cost_gaps += 0.15 + 0.8 * gap + 3.0 * max(0.0, gap - 0.8)
            cost = best[begin] + cost_gaps + _misfit(
                float(total[end] - total[begin]) / scale, end - begin, expected, full
            )  # fmt: skip
            if cost < best[end]:
                best[end], came[end] = cost, begin
    groups: list[Group] = []
    end = number
    while end > 0:
        begin = int(came[end])
        cost = float(best[end] - best[begin])
        groups.append(Group(cuts[begin:end], unsure=cost > _UNSURE, cost=cost))
        end = begin
    return groups[::-1]


def _parting(cuts: list[Cut], gaps: Floats) -> Floats:
    """How much each gap looks like one between holes, -0.2 to 0.2: long, and the load falls."""
    if len(gaps) < 3:
        return np.zeros(len(gaps))
    step = np.diff(np.log([cut.height for cut in cuts]))
    longer = (np.log(gaps) - np.median(np.log(gaps))) / 0.2
    falls = -(step - np.median(step)) / 0.05
    return np.asarray(0.1 * np.clip(longer, -1, 1) + 0.1 * np.clip(falls, -1, 1))


def _misfit(cut_s: float, count: int, expected: ExpectedTimes, full: bool) -> float:
    off = abs(float(np.log(max(cut_s, 1e-3) / expected.cut_s)))
    cost = 3.0 * max(0.0, off - 0.08)
    if full:
        cost += 0.35 * abs(count - expected.pecks)
    return min(cost, 4.0)


def _scale(length: Floats, gaps: Floats, expected: ExpectedTimes, full: bool) -> float:
    """How much longer than the cutting data say the cuts are on this machine, 0.7 to 1.4."""
    if full or len(length) < 5:
        return 1.0
    length = np.add.reduceat(length, np.flatnonzero(np.concatenate([[True], gaps > 0.8])))
    near = length[(length > 0.6 * expected.cut_s) & (length < 1.6 * expected.cut_s)]
    if len(near) < 5:
        return 1.0
    return float(np.clip(np.median(near) / expected.cut_s, 0.7, 1.4))


def _short_gap(gaps: Floats) -> float:
    """Usual gap between pecks: the lower half of the gaps."""
    if len(gaps) == 0:
        return 1.0
    return float(np.quantile(gaps, 0.4))


def _by_repetition(
    cuts: list[Cut], length: Floats, gaps: Floats, sample_s: float
) -> list[Group]:  # fmt: skip
    """What repeats: first by the gaps, then, where all gaps are alike, by the cuts' pattern."""
    # No drill gets to its next hole this soon: such cuts are one for all that follows.
    joined = np.flatnonzero(np.concatenate([[True], ~_too_soon(length, gaps)]))
    gaps = gaps[joined[1:] - 1]
    length = np.add.reduceat(length, joined)
    height = np.maximum.reduceat(np.array([c.height for c in cuts]), joined)
    best: tuple[float, float] | None = None
    for limit in _limits(gaps):
        first = np.concatenate([[True], gaps >= limit])
        alike = _likeness(length, first)
        score = alike + _evidence(length, height, gaps, first, limit)
        score -= 1.0 - _uniform(length, first)
        if alike > 0.6 and score > 1.15 and (best is None or score > best[0]):
            best = (score, limit)
    if best is not None:
        first = np.concatenate([[True], gaps >= best[1]])
    else:
        first = by_pattern(length, height, gaps, sample_s)
    starts = [*joined[first].tolist(), len(cuts)]
    groups = [Group(cuts[a:b]) for a, b in itertools.pairwise(starts)]
    sizes = [len(group.cuts) for group in groups]
    usual = max(set(sizes), key=sizes.count)
    totals = np.add.reduceat(length, np.flatnonzero(first))
    odd = np.abs(np.log(totals / np.median(totals))) > _ODD_TIME
    for group, size, strange in zip(groups, sizes, odd.tolist(), strict=True):
        group.unsure = size != usual and strange
    return groups


def _too_soon(length: Floats, gaps: Floats) -> NDArray[np.bool_]:
    """Gaps too short for a move to another hole."""
    limit = _SOONEST_NEXT_S
    near = np.sort(gaps[(gaps > 0.15) & (gaps < 4.0)])
    if len(near) >= 4:
        # A clear jump in the gaps near the limit is a better one.
        jump = near[1:] / near[:-1]
        middles = np.sqrt(near[1:] * near[:-1])
        jump[(middles < 0.2) | (middles > 0.95)] = 1.0
        if jump.max() > 1.7:
            limit = float(middles[int(np.argmax(jump))])
    soon = np.asarray(gaps < limit)
    if soon.sum() < 0.3 * len(gaps):
        # The exception: two whole holes close together stay two.
        whole = np.abs(np.log(length / np.median(length))) < 0.2
        soon &= ~(whole[:-1] & whole[1:])
    return soon


def _limits(gaps: Floats) -> list[float]:
    """Each clear jump in the sorted gaps: a limit between pecks and holes to try."""
    near = np.sort(gaps[gaps < _LONGEST_PECK_GAP_S])
    limits = []
    # The last limit parts the gaps from the long pauses, if there are any.
    for low, high in itertools.pairwise([*near, 3.0 * _LONGEST_PECK_GAP_S]):
        if high > 1.25 * low and high - low > 0.08 and (high < 30 or len(near) < len(gaps)):
            limits.append(float((low * high) ** 0.5))
    return limits


def _likeness(length: Floats, first: NDArray[np.bool_]) -> float:
    """Share of the cutting time in holes that are like the one before or after, 0 to 1."""
    starts = np.flatnonzero(first)
    totals = np.add.reduceat(length, starts)
    counts = np.diff(np.concatenate([starts, [len(length)]]))
    if len(totals) < 2 or counts.max() > _MOST_PECKS:
        return 0.0
    same = (np.abs(np.diff(np.log(totals))) < 0.16) & (np.diff(counts) == 0)
    alike = np.concatenate([[False], same]) | np.concatenate([same, [False]])
    return float(totals[alike].sum() / totals.sum())


def _uniform(length: Floats, first: NDArray[np.bool_]) -> float:
    """Share of the holes whose cutting time is near the usual one, 0 to 1."""
    totals = np.add.reduceat(length, np.flatnonzero(first))
    return float(np.mean(np.abs(np.log(totals / np.median(totals))) < 0.25))


def _evidence(
    length: Floats, height: Floats, gaps: Floats, first: NDArray[np.bool_], limit: float
) -> float:
    """What speaks for pecks of one hole and against a row of holes, about -1 to +1.

    Between pecks the drill leaves the hole for a moment; load and retract grow with depth; the
    last peck is what is left of the depth. A row of holes shows none of that.
    """
    inside = gaps[~first[1:]]
    if len(inside) == 0:
        return -1.0
    outside = gaps[first[1:] & (gaps < 3 * _LONGEST_PECK_GAP_S)]
    usual = middle(inside)
    ratio = middle(outside) / usual if len(outside) else 6.0
    score = 0.0
    short = middle(length) < 1.2
    if usual < 0.5:
        score += 0.8
    elif usual < 1.2:
        score += 0.15
    elif usual > 4.0:
        score -= 0.5
    if ratio > 1.7:
        score += 0.35 if usual < 1.2 or short else 0.1
    else:
        score -= 0.1
    starts = np.flatnonzero(first)
    counts = np.diff(np.concatenate([starts, [len(length)]]))
    size = int(np.median(counts))
    if size == 1 and usual > _SOONEST_NEXT_S:
        return -1.0  # the exception, not the rule: holes that lie close together
    whole = [int(start) for start, count in zip(starts, counts, strict=True) if count == size]
    following = np.minimum(np.concatenate([gaps, [usual]]), limit)
    if size >= 2:
        score += 0.6 * repeats(np.log(height), whole, size, 0.02)
        score += 0.4 * repeats(np.log(length), whole, size, 0.06)
        if size >= 3:
            score += 0.3 * repeats(np.log(following), whole, size, 0.08, wrap=False)
    if middle(length) > 3.0 and usual > 0.5:
        score -= 0.4 if usual < 1.2 else 0.8  # so long a cut and so long a pause: holes of a row
    if size > 12:
        score -= 0.3
    return score

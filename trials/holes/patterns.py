"""Whether something repeats after so many cuts: the pattern that pecks of one hole make."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from trials.holes.middle import middle
from trials.holes.samples import Floats

_PATTERN = 0.62  # share of the changes that a pattern of pecks must explain
_LIKELY = 0.12  # a pattern makes the changes alike after its length by more


def repeats(
    values: Floats, starts: list[int], size: int, least: float, wrap: bool = True
) -> float:  # fmt: skip
    """Share of the changes from cut to cut that the place in the hole explains, 0 to 1.

    Changes, not levels, so that slow growth by wear explains nothing; what the places show in the
    even holes must show in the odd ones, so that chance does not either.
    """
    last = size if wrap else size - 2
    rows = [values[s : s + last + 1] for s in starts if s + last < len(values)]
    if len(rows) < 6 or last < 1:
        return 0.0
    change = np.diff(np.array(rows), axis=1)
    if wrap:
        change -= middle(change.ravel())
    even, odd = _middles(change[::2]), _middles(change[1::2])
    if min(float(np.ptp(np.cumsum(even))), float(np.ptp(np.cumsum(odd)))) < least:
        return 0.0
    rest = float(np.abs(change[::2] - odd).sum() + np.abs(change[1::2] - even).sum())
    return max(0.0, 1.0 - rest / max(float(np.abs(change).sum()), 1e-12))


def _middles(rows: Floats) -> Floats:
    """Median of each column."""
    order = np.sort(rows, axis=0)
    return np.asarray(0.5 * (order[(len(rows) - 1) // 2] + order[len(rows) // 2]))


def by_pattern(
    length: Floats, height: Floats, gaps: Floats, sample_s: float
) -> NDArray[np.bool_]:  # fmt: skip
    """Beginnings of holes where all gaps are alike: the number of cuts after which all repeats.

    Tries each number of pecks on each block between long pauses; a number is taken when the
    place within the hole explains most of the scatter of load, cutting time and gap.
    """
    alone = np.ones(len(length), np.bool_)
    usual = middle(gaps) if len(gaps) else 0.0
    if usual > 4.0 or len(length) < 8:
        return alone
    pause = gaps > max(3.0 * usual, usual + 3.0)
    block = np.concatenate([[True], pause])
    # A pause parts rows; that rows are alike long makes no pattern of pecks.
    near = np.where(pause, usual, gaps)
    following = np.log(np.minimum(np.concatenate([near, [usual]]), 2 * usual))
    # Below this, times differ by where the samples happen to lie.
    least_length = max(0.06, 2.0 * sample_s / middle(length))
    least_gap = max(0.08, 2.0 * sample_s / usual)
    scores: dict[int, float] = {}
    begun: dict[int, list[int]] = {}
    begins = np.flatnonzero(block)
    ends = np.concatenate([begins[1:], [len(length)]])
    rows = np.log(height), np.log(length), following
    likely = [_likely_periods(values) for values in rows]
    for pecks in range(2, 13):
        if not any(pecks in each for each in likely):
            continue
        starts = [s for a, b in zip(begins, ends, strict=True) for s in range(a, b, pecks)]
        shares = (
            repeats(rows[0], starts, pecks, 0.02),
            repeats(rows[1], starts, pecks, least_length),
            0.6 * repeats(rows[2], starts, pecks, least_gap),
        )
        scores[pecks] = max(shares) + 0.15 * sum(share > 0.3 for share in shares) - 0.004 * pecks
        begun[pecks] = starts
    best = max(scores, key=lambda pecks: scores[pecks], default=0)
    if not best or scores[best] <= _PATTERN:
        return alone
    # What repeats after so many cuts repeats after twice as many too: take the fewest.
    for pecks in range(2, best):
        if best % pecks == 0 and scores.get(pecks, 0.0) > max(_PATTERN, 0.7 * scores[best]):
            best = pecks
            break
    first = np.zeros(len(length), np.bool_)
    first[begun[best]] = True
    return first


def _likely_periods(values: Floats) -> set[int]:
    """After how many values the changes are like themselves: what else is not worth a look."""
    change = np.diff(values)
    change -= np.median(change)
    reach = 4.0 * float(np.median(np.abs(change)))
    np.clip(change, -reach, reach, out=change)
    power = float(change @ change)
    if power <= 0.0:
        return set()
    return {
        lag for lag in range(2, 13)
        if lag < len(change) and float(change[lag:] @ change[:-lag]) > _LIKELY * power
    }  # fmt: skip

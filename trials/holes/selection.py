"""Which stretches under load are cuts of this drill, and which are spikes, air or another tool."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from trials.holes.cuts import Cut
from trials.holes.expected import ExpectedTimes
from trials.holes.middle import middle
from trials.holes.samples import Floats

_AIR = 0.13  # below this share of the others' height it is no cut but idle feeding
_DEEP = 0.5  # a dip by this share of the load is no ripple
_LIKE_LENGTH, _LIKE_HEIGHT = 0.22, 0.4  # in natural logarithm


def real_cuts(
    cuts: list[Cut],
    step_s: float,
    expected: ExpectedTimes | None,
    usual_before: tuple[float, float, float] | None = None,
) -> list[Cut]:
    """Leave out what is no cut of this drill.

    ``usual_before`` is the usual length of a cut, s, its height and its idle level in the holes
    before; None when there were too few.
    """
    if not cuts:
        return []
    length = np.array([c.length for c in cuts]) * step_s
    height = np.array([c.height for c in cuts])
    flat = np.array([c.flatness for c in cuts])
    samples = np.array([c.samples for c in cuts])
    solid = (flat > 0.5) & (samples >= 2)
    height_before = usual_before[1] if usual_before else 0.0
    if not solid.any():
        return []
    stays = ~_other_level(cuts, length, height, solid, expected, usual_before)
    cuts = [cut for cut, stay in zip(cuts, stays, strict=True) if stay]
    length, height, flat = length[stays], height[stays], flat[stays]
    samples, solid = samples[stays], solid[stays]
    if not solid.any():
        return []
    usual_s, usual_height = _usual(length, height, solid, usual_before)
    if expected is not None:
        usual_s = float(np.clip(usual_s, 0.5 * expected.last_peck_s, 1.5 * expected.cut_s))
        longest_s = 2.2 * expected.cut_s + 1.0
        # Where most pecks hang together, a last one that stands alone is far shorter than usual.
        shortest_s = min(0.12 * usual_s, 0.5 * expected.last_peck_s)
    else:
        shortest_s = 0.12 * usual_s
        longest_s = 3.0 * usual_s
    last_peck_s = expected.last_peck_s if expected is not None and expected.pecks > 1 else np.nan
    spindle = _starts_or_stops(cuts, length, height, usual_s, usual_height, last_peck_s)
    if spindle.any():
        cuts = [cut for cut, out in zip(cuts, spindle, strict=True) if not out]
        length, height, flat = length[~spindle], height[~spindle], flat[~spindle]
        samples, solid = samples[~spindle], solid[~spindle]
        if not solid.any():
            return []
    near = solid & (length > 0.4 * usual_s) & (length < 2.5 * usual_s)
    keep = np.ones(len(cuts), np.bool_)
    if int(np.median(samples[solid])) >= 4:
        keep = samples >= 2
    keep &= flat > 0.3
    top_at = np.array([c.top_at for c in cuts])
    early = (top_at < 0.6) | (length < 0.15 * usual_s)  # a breaking drill peaks at the end
    keep &= ~((flat < 0.62) & (length < 0.6 * usual_s) & early)
    keep &= length > shortest_s
    local = _running(height, near)
    keep &= height > _AIR * np.maximum(np.maximum.accumulate(local), height_before)
    keep &= ~((length < 0.45 * usual_s) & ((height > 1.8 * local) | (height < 0.4 * local)))
    known = expected is not None or usual_before is not None
    # Pecks whose dips do not all reach idle: some stand alone and some hang together.
    hanging = np.array([1 + sum(dip.depth > _DEEP for dip in c.dips) for c in cuts])
    if known or (length[solid] > longest_s).sum() < 0.34 * solid.sum():
        keep &= length / hanging <= longest_s
    return [cut for cut, kept in zip(cuts, keep, strict=True) if kept]


def _starts_or_stops(
    cuts: list[Cut], length: Floats, height: Floats, usual_s: float, usual_height: float,
    last_peck_s: float,
) -> NDArray[np.bool_]:  # fmt: skip
    """What is the spindle running up or down: beside it, on one side, lies no idle load.

    A standing spindle needs less than an idling one. Nothing drills within a second of standing,
    so that the level on one side of a cut is lower only by chance, or every time (a pump). The
    last peck alone, of ``last_peck_s`` where that is known and else NaN, is shorter than the
    others, and the spindle may stop right after it.
    """
    before, after = np.array([c.before for c in cuts]), np.array([c.after for c in cuts])
    near = np.array([c.near_before for c in cuts]), np.array([c.near_after for c in cuts])
    scatter = 4.0 * np.array([c.level_noise for c in cuts])
    top_at = np.array([c.top_at for c in cuts])
    out = np.zeros(len(cuts), np.bool_)
    tall = height > 0.3 * usual_height
    unlike = np.abs(np.log(np.maximum(height, 1e-9) / usual_height)) > _LIKE_HEIGHT
    short = length < 0.75 * usual_s
    short &= unlike | ~(np.abs(np.log(length / last_peck_s)) < _LIKE_LENGTH)
    for low, high, up in ((before, near[1], True), (after, near[0], False)):
        least = np.maximum(scatter, 0.005 * height)
        maybe = np.isfinite(low) & ~(high - low <= least)
        if not maybe.any():
            continue
        fall = np.where(
            maybe, np.fmin(high - low, _around(np.where(tall, low, np.nan), maybe) - low), 0.0
        )
        lower = fall > least
        out |= lower & short & (up | (top_at < 0.6))
        out |= lower & (length < 1.3 * usual_s) & unlike & up & (fall > 0.03 * height)
    return out


def _around(values: Floats, which: NDArray[np.bool_], reach: int = 4) -> Floats:
    """Upper quartile of the neighbours on both sides; infinite where there are fewer than two."""
    out = np.full(len(values), np.inf)
    for i in np.flatnonzero(which).tolist():
        beside = np.concatenate([values[max(0, i - reach) : i], values[i + 1 : i + 1 + reach]])
        beside = beside[np.isfinite(beside)]
        if len(beside) >= 2:
            out[i] = np.sort(beside)[(3 * len(beside)) // 4]
    return out


def _other_level(
    cuts: list[Cut], length: Floats, height: Floats, solid: NDArray[np.bool_],
    expected: ExpectedTimes | None, before: tuple[float, float, float] | None,
) -> NDArray[np.bool_]:  # fmt: skip
    """What rides on a lifted level and is not like the rest: ripple of a long load, a mill's.

    Runs of neighbours on the same idle level are judged as a whole: a level that the idle has
    jumped to carries cuts like the others, or cuts that are like each other.
    """
    drop = np.zeros(len(cuts), np.bool_)
    idle = np.array([c.idle for c in cuts])
    log_length, log_height = np.log(length), np.log(np.maximum(height, 1e-9))
    usual_height = middle(height[solid])
    at_length, at_height = np.log(_usual(length, height, solid, before))
    like_usual = (np.abs(log_length - at_length) < _LIKE_LENGTH) & solid
    ground = middle(idle[like_usual]) if before is None else before[2]
    step = 0.35 * max(usual_height, float(np.exp(at_height)))
    parts = np.concatenate([[0], np.cumsum(np.abs(np.diff(idle)) > step)])
    for part in range(int(parts[-1]) + 1):
        mine = np.flatnonzero(parts == part)
        if abs(middle(idle[mine]) - ground) < step:
            continue
        like = np.abs(log_length[mine] - at_length) < _LIKE_LENGTH
        like &= np.abs(log_height[mine] - at_height) < 2 * _LIKE_HEIGHT
        weight = length[mine]
        if expected is not None and expected.pecks == 1:
            like &= np.abs(np.log(weight / expected.cut_s)) < 2 * _LIKE_LENGTH
        if float(weight[like].sum()) < 0.6 * float(weight.sum()):
            drop[mine] = True
    return drop


def _usual(
    length: Floats,
    height: Floats,
    solid: NDArray[np.bool_],
    before: tuple[float, float, float] | None,
) -> tuple[float, float]:
    """Length and height of the commonest kind: most others like it, longer ones counting more."""
    log_length, log_height = np.log(length), np.log(np.maximum(height, 1e-9))
    alike = np.abs(log_length[:, None] - log_length) < _LIKE_LENGTH
    alike &= np.abs(log_height[:, None] - log_height) < _LIKE_HEIGHT
    votes = (alike & solid).sum(axis=1) * length**0.3
    if before is not None:
        votes = votes * np.where(np.abs(log_length - np.log(before[0])) < _LIKE_LENGTH, 4.0, 1.0)
    at = int(np.argmax(np.where(solid, votes, 0.0)))
    near = alike[at] & solid
    return middle(length[near]), middle(height[near])


def _running(height: Floats, near: NDArray[np.bool_], reach: int = 9) -> Floats:
    """Median height of the usual cuts before or after each cut, the higher of the two."""
    if not near.any():
        return np.asarray(height)
    beside = np.full(reach, np.inf)
    usual = np.concatenate([beside, height[near], beside])
    medians = np.sort(np.lib.stride_tricks.sliding_window_view(usual, reach), axis=1)
    number = np.isfinite(medians).sum(axis=1)
    row = np.arange(len(medians))
    medians = 0.5 * (medians[row, (number - 1) // 2] + medians[row, number // 2 * (number > 0)])
    medians[number == 0] = -np.inf
    at: NDArray[np.int64] = np.cumsum(near) - near  # how many of the usual ones lie before each cut
    return np.asarray(np.maximum(medians[at], medians[at + reach]))

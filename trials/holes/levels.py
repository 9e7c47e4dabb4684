"""Idle level and load above it, whatever the idle does: drift, jumps, spindle off in between."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import maximum_filter1d, minimum_filter1d, uniform_filter1d

from trials.holes.grid import Grid
from trials.holes.samples import Floats

_COARSE_S = 0.1
_SCALES_S = (0.8, 1.6, 3.2, 6.4, 12.8, 25.6, 51.2)
_RARELY, _BRAKES_S = 0.12, 0.7
_ENOUGH_VALUES = 4
_SURE = 5.0  # multiples of the noise that count as load


@dataclass(frozen=True, slots=True)
class Levels:
    """Load above idle at two resolutions.

    Args:
        idle: idle level on the fine grid.
        coarse: load above idle on a grid of about 0.1 s, smoothed.
        coarse_noise: its scatter.
        every: fine grid points in a coarse one.
        reach: half the smoothing of ``coarse``, in coarse points.
        noise: scatter of one fine grid point, at least what rounding may hide.
        seen_noise: the same as far as it is seen: 0 where rounded values mostly stay.
        step: smallest step between values where the source rounds them, else 0.
    """

    idle: Floats
    coarse: Floats
    coarse_noise: float
    every: int
    reach: int
    noise: float
    seen_noise: float
    step: float


def find_levels(
    grid: Grid, value: Floats, sampled: Floats, longest_cut_s: float | None
) -> Levels:  # fmt: skip
    """Split the load into idle and what is above it.

    The idle level is the morphological opening of the smoothed load: what stays when everything
    narrower than a window is cut off. Steps and drift of the idle pass through it unharmed. The
    window is a little longer than the longest cut, from the cutting data or from the trace.

    Args:
        value: load on the grid, filled.
        sampled: the values that were really sampled, for the noise.
        longest_cut_s: from the cutting data; None to have it read from the trace.
    """
    every = max(1, round(_COARSE_S / grid.step_s))
    coarse_step_s = every * grid.step_s
    pad = -len(value) % every
    blocks = np.concatenate([value, np.full(pad, value[-1])]).reshape(-1, every).mean(axis=1)
    step = value_step(sampled)
    if grid.filters_spikes:
        each = max(1.0, grid.step_s / grid.sample_s)
        alike, apart = _alike(each), sampled[:: int(np.ceil(3.0 / each))]
    else:
        alike, apart = 1.0, sampled
    noise = alike * _quiet_scatter(apart)
    usual = alike * _usual_scatter(apart)
    noise = max(noise, 0.3 * step)
    block_noise = _quiet_scatter(blocks) if grid.sample_s < coarse_step_s else noise
    blocks = _without_short_dips(blocks, block_noise, coarse_step_s)
    width = 1
    while True:
        smooth = uniform_filter1d(blocks, width, mode="nearest")
        per_box = max(1.0, width * coarse_step_s / max(grid.sample_s, coarse_step_s))
        coarse_noise = max(block_noise / per_box**0.5, 1e-9)
        window_s = longest_cut_s or _longest_cut(smooth, coarse_noise, coarse_step_s)
        low = opening(smooth, window_s / coarse_step_s)
        above = smooth - low
        quiet = above < _SURE * coarse_noise
        bias = float(np.median(above[quiet])) if quiet.any() else 0.0
        above = above - bias
        loaded = above[above > (_SURE - 1) * coarse_noise]
        if len(loaded) == 0 or width >= 13:
            break
        if float(np.median(loaded)) > 2.0 * _SURE * coarse_noise:
            break
        width = 2 * width + 1
    if width == 1:
        # So clear that the idle level needs no smoothing, which would fill short dips; heights do.
        width = 3
        above = uniform_filter1d(blocks, width, mode="nearest") - low - bias
    idle = np.repeat(low + bias, every)[: len(value)]
    return Levels(
        idle, above, coarse_noise, every, width // 2, noise, min(noise, usual),
        _last_digit(sampled, step),
    )  # fmt: skip


def _without_short_dips(blocks: Floats, noise: float, step_s: float) -> Floats:
    """Idle put in where the drive brakes: for a moment lower than it nearly ever is."""
    ground = float(np.quantile(blocks, _RARELY)) - _SURE * noise
    low = blocks < ground
    if not low.any():
        return blocks
    size = max(3, round(_BRAKES_S / step_s) | 1)
    highest = maximum_filter1d(blocks, size, mode="nearest")
    closed = minimum_filter1d(highest, size, mode="nearest")
    return np.asarray(np.where(low, closed, blocks))


def _alike(each: float) -> float:
    """How much more means of many bins of ``each`` samples scatter than the bins themselves tell.

    The running median leaves neighbouring samples alike: of white noise by 0.55 and, one further,
    by 0.26 (computed by simulation).
    """
    one, two = 0.55, 0.26
    within = each + 2.0 * (max(each - 1.0, 0.0) * one + max(each - 2.0, 0.0) * two)
    return float(((1.0 + 2.0 * (one + two)) * each / within) ** 0.5)


def opening(values: Floats, width: float) -> Floats:
    """Lower envelope: rolling minimum, then rolling maximum of it, over ``width`` points."""
    size = max(3, int(width) | 1)
    lowest = minimum_filter1d(values, size, mode="nearest")
    return np.asarray(maximum_filter1d(lowest, size, mode="nearest"))


def _quiet_scatter(values: Floats) -> float:
    """Standard deviation of the noise within short pieces, from the quieter ones of them.

    Pieces with an edge in them are among the louder ones and do not count.
    """
    found = []
    # A fifth of all chi-squares with 3 (7) degrees of freedom, over 3 (7), is below this.
    for points, fifth in ((4, 0.335), (8, 0.546)):
        pieces = values[: len(values) // points * points].reshape(-1, points)
        if len(pieces) >= 3:
            found.append(float((np.quantile(pieces.var(axis=1, ddof=1), 0.2) / fifth) ** 0.5))
    return min(found) if found else float(np.std(values))


def _usual_scatter(values: Floats) -> float:
    """The same from the middle one of the pieces: 0 where most of them hold one value."""
    pieces = values[: len(values) // 4 * 4].reshape(-1, 4)
    # Half of all chi-squares with 3 degrees of freedom, over 3, is below this.
    return float((np.median(pieces.var(axis=1, ddof=1)) / 0.789) ** 0.5) if len(pieces) else 0.0


def value_step(values: Floats) -> float:
    """Smallest step between values when the source rounds them, else 0."""
    kinds = np.unique(values[:2000])
    if len(kinds) < 2 or len(kinds) > 400:
        return 0.0
    steps = np.diff(kinds)
    smallest = float(steps.min())
    whole = np.abs(steps / smallest - np.round(steps / smallest)) < 1e-6
    return smallest if smallest > 0 and bool(whole.all()) else 0.0


def _last_digit(values: Floats, step: float) -> float:
    """``step`` where enough different values show that it is the last digit, else 0."""
    return step if len(np.unique(values[:2000])) >= _ENOUGH_VALUES else 0.0


def _longest_cut(smooth: Floats, noise: float, step_s: float) -> float:
    """Window for the idle level, s, read from the trace.

    The area above the opening grows as the window passes the length of the cuts, and then stays
    until it passes the length of slower things. The first such rest is taken, a long one before
    a short one.
    """
    areas = []
    scales = [s for s in _SCALES_S if s / step_s < len(smooth) / 2]
    for scale_s in scales:
        above = smooth - opening(smooth, scale_s / step_s)
        areas.append(float(above[above > _SURE * noise].sum()))
    least = 0.08 * max(areas, default=0.0)
    rests = [
        area > least and following < 1.15 * area for area, following in itertools.pairwise(areas)
    ]
    # Two rests in a row first: between pecks the load may dip without reaching idle.
    for i, rest in enumerate(rests):
        if rest and (i + 1 < len(rests) and rests[i + 1]):
            return 1.5 * scales[i]
    for share in (0.3, 0.0):
        for i, rest in enumerate(rests):
            if rest and areas[i] > share * max(areas):
                return 1.5 * scales[i]
    return 1.5 * scales[-1] if scales else 10 * step_s

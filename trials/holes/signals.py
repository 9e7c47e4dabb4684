"""What the machine says beside the load: spindle speed and the drill's place along the hole."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d, minimum_filter1d

from trials.holes.cuts import Cut
from trials.holes.grid import Bins, Grid
from trials.holes.samples import Floats

_STANDS = 0.1  # of the usual speed
_NEAR_END = 0.9
_CHANGES = 0.05  # of the usual speed, within the time below; a cut slows it by less
_CHANGES_WITHIN_S = 0.4  # looked back: what was cut just before the spindle stops is a cut


def without_turning(grid: Grid, bins: Bins, value: Floats) -> Floats:
    """The load, idle put in where the spindle stands or changes its speed, or the machine is not
    in cycle: nothing is cut there.

    A signal that says so for most of the loaded time belongs to another spindle, or another
    program, and is left aside.
    """
    for off in (_turns(grid, bins.rpm), _held(bins.in_cycle) == 0.0):
        value = _idle_where(off, value)
    return value


def _held(signal: Floats) -> Floats:
    """Each value held until the next one is known; the first one from the beginning."""
    known = np.flatnonzero(np.isfinite(signal))
    if len(known) == 0:
        return signal
    place = np.maximum(np.searchsorted(known, np.arange(len(signal)), side="right") - 1, 0)
    return np.asarray(signal[known[place]])


def _turns(grid: Grid, speed: Floats) -> NDArray[np.bool_]:
    """Where the spindle stands or its speed changes."""
    rpm = np.abs(_held(speed))
    usual = float(np.quantile(rpm, 0.9)) if np.isfinite(speed).sum() >= 3 else 0.0
    if usual <= 0:
        return np.zeros(len(speed), np.bool_)
    width = max(3, round(_CHANGES_WITHIN_S / grid.step_s)) | 1
    change = maximum_filter1d(rpm, width, mode="nearest", origin=width // 2)
    change -= minimum_filter1d(rpm, width, mode="nearest", origin=width // 2)
    return np.asarray((change > _CHANGES * usual) | (rpm < _STANDS * usual))


def _idle_where(off: NDArray[np.bool_], value: Floats) -> Floats:
    if not off.any():
        return value
    low, high = np.quantile(value, [0.05, 0.95])
    loaded = value > 0.5 * (low + high)
    if (off & loaded).sum() > 0.5 * loaded.sum():
        return value
    edges = np.diff(np.concatenate([[0], off.astype(np.int8), [0]]))
    out = value.copy()
    for a, b in zip(
        np.flatnonzero(edges == 1).tolist(), np.flatnonzero(edges == -1).tolist(), strict=True
    ):  # fmt: skip
        beside = [float(value[i]) for i in (a - 1, b) if 0 <= i < len(value)]
        if len(beside) < 2:  # the one beside may still be cutting, and there is no other to tell
            beside.append(float(value[a:b].min()))
        out[a:b] = min(beside)
    return out


def holes_by_depth(cuts: list[Cut], bins: Bins) -> NDArray[np.bool_] | None:
    """Which cuts begin a hole, by where the drill is; None where that is not known.

    A peck goes on where the one before it ended, a new hole begins where the last one began.
    """
    known = np.flatnonzero(np.isfinite(bins.depth_mm))
    if len(known) < 3 or len(cuts) < 2:
        return None
    starts = np.interp([cut.start for cut in cuts], known, bins.depth_mm[known])
    # Shortly before its end: at the end the drill may be on its way out.
    near_end = [cut.start + _NEAR_END * (cut.end - cut.start) for cut in cuts]
    ends = np.interp(near_end, known, bins.depth_mm[known])
    travel = np.abs(ends - starts)
    if float(np.median(travel)) <= 0.0:
        return None
    first = np.ones(len(cuts), np.bool_)
    began, ended = starts[0], ends[0]
    for i in range(1, len(cuts)):
        first[i] = abs(starts[i] - began) <= abs(starts[i] - ended)
        began = starts[i] if first[i] else began
        ended = ends[i]
    return first

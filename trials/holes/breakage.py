"""Signs in the trace that a drill broke in the hole."""

from __future__ import annotations

from collections import deque

import numpy as np

from trials.holes.expected import ExpectedTimes
from trials.holes.features import Window
from trials.holes.grouping import Group
from trials.holes.hole import Hole
from trials.holes.middle import middle
from trials.holes.rows import medians, reduced
from trials.holes.samples import Floats

_SPIKE = 1.35  # load at the end over the load before it
_SPIKE_WITHIN_S = 0.6
_MISSES_SPIKES_S = 0.15  # samples further apart than this


def flag_broken(
    window: Window, groups: list[Group], before: deque[Hole], expected: ExpectedTimes | None
) -> None:
    """Add the flag ``broken`` to each hole after which the drill seems to be gone.

    The load shoots up at the end, as it did at the end of no other hole, and the hole is shorter
    than the others or no cut follows for two cycles though the trace goes on. Where sampling is
    too slow to show the rise, a much shorter hole with none after it is enough. A first hole
    alone, without cutting data, is like nothing and shows nothing.
    """
    step = window.grid.step_s
    if not groups:
        return
    cut_s = [sum(c.length for c in g.cuts) * step for g in groups]
    known = [hole.cut_s for hole in before]
    starts = [g.cuts[0].start for g in groups]
    cycles = np.diff(starts) * step
    jumps = _jumps(window, groups)
    may_stop = window.grid.sample_s > _MISSES_SPIKES_S
    for i in range(len(groups)):
        if not (jumps[i] > _SPIKE or (may_stop and i + 1 == len(groups))):
            continue
        group = groups[i]
        earlier = (known + cut_s[:i])[-12:]
        if expected is None and len(earlier) < 2:
            continue
        if len(earlier) >= 3:
            usual_s = middle(earlier)
        elif expected is not None:
            usual_s = expected.cut_s
        else:
            usual_s = middle(cut_s)
        cycle = middle(cycles) if len(cycles) else 2.0 * usual_s + 2.0
        following = starts[i + 1] if i + 1 < len(groups) else float(len(window.value))
        gone = (following - group.cuts[-1].end) * step > 1.6 * max(cycle, usual_s)
        share = cut_s[i] / usual_s
        others = np.delete(jumps, i)
        alone = len(others) < 3 or jumps[i] > 1.3 * float(np.quantile(others, 0.75))
        stopped = share < 0.6 and gone and i + 1 == len(groups) and len(earlier) >= 3
        stopped = stopped and may_stop
        stands = np.isfinite(group.cuts[-1].after) and (
            group.cuts[-1].before - group.cuts[-1].after > 6.0 * group.cuts[-1].level_noise
        )
        early = share < (0.8 if stands else 0.85)  # the spindle stops: its own spike is no sign
        if stopped or (jumps[i] > _SPIKE and alone and (early or (gone and not stands))):
            group.flags.append("broken")


def _jumps(window: Window, groups: list[Group]) -> Floats:
    """Load at the very end of each hole over the load before; 0 where noise could be all of it."""
    step, value = window.grid.step_s, window.value
    cuts = [group.cuts[-1] for group in groups]
    start, end = np.array([cut.start for cut in cuts]), np.array([cut.end for cut in cuts])
    idle = np.array([cut.idle for cut in cuts])
    load = value if window.grid.filters_spikes else window.bins.raw_max
    reach = max(_SPIKE_WITHIN_S / step, 2.0 * window.grid.sample_s / step)
    reach = np.minimum(reach, 0.6 * (end - start))
    late = np.maximum((end - reach).astype(np.int64), 0)
    stop = np.minimum(len(load), end.astype(np.int64) + max(2, int(0.1 / step)))
    settled = np.maximum(
        start.astype(np.int64) + (0.3 * (late - start)).astype(np.int64),
        (late - 1.5 * reach).astype(np.int64),
    )
    settled = np.minimum(np.maximum(settled, 0), late)
    # A short last peck is still rising at its end: what the pecks before it reached is no sign.
    before = np.array([max((cut.height for cut in g.cuts[:-1]), default=0.0) for g in groups])
    usual = np.fmax(medians(value, settled, late) - idle, before)
    above = reduced(np.fmax, load, np.minimum(late, stop - 1), stop) - idle
    stands_out = (late - settled >= 2) & (usual > 0) & (above - usual >= 6.0 * window.noise)
    return np.where(stands_out, above / np.where(usual > 0, usual, 1.0), 0.0)

"""Signs in the trace that a drill broke in the hole."""

from __future__ import annotations

from collections import deque

import numpy as np

from trials.holes.expected import ExpectedTimes
from trials.holes.features import Window
from trials.holes.grouping import Group
from trials.holes.hole import Hole
from trials.holes.middle import middle

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
    jumps = [_jump(window, group) for group in groups]
    for i, group in enumerate(groups):
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
        others = jumps[:i] + jumps[i + 1 :]
        alone = len(others) < 3 or jumps[i] > 1.3 * float(np.quantile(others, 0.75))
        stopped = share < 0.6 and gone and i + 1 == len(groups) and len(earlier) >= 3
        stopped = stopped and window.grid.sample_s > _MISSES_SPIKES_S
        stands = np.isfinite(group.cuts[-1].after) and (
            group.cuts[-1].before - group.cuts[-1].after > 6.0 * group.cuts[-1].level_noise
        )
        early = share < (0.8 if stands else 0.85)  # the spindle stops: its own spike is no sign
        if stopped or (jumps[i] > _SPIKE and alone and (early or (gone and not stands))):
            group.flags.append("broken")


def _jump(window: Window, group: Group) -> float:
    """Load at the very end over the load before; 0 where it does not stand out of the noise."""
    cut, step = group.cuts[-1], window.grid.step_s
    slow = not window.grid.filters_spikes
    load = window.bins.raw_max if slow else window.value
    length = cut.end - cut.start
    reach = min(max(_SPIKE_WITHIN_S / step, 2.0 * window.grid.sample_s / step), 0.6 * length)
    a, b = int(cut.start), int(cut.end)
    late, stop = int(b - reach), min(len(load), b + max(2, int(0.1 / step)))
    settled = max(a + int(0.3 * (late - a)), int(late - 1.5 * reach))
    calm, last = window.value[settled:late], load[late:stop]
    last = last[np.isfinite(last)]
    if len(calm) < 2 or len(last) == 0:
        return 0.0
    usual = middle(calm) - cut.idle
    above = float(last.max()) - cut.idle
    if usual <= 0 or above - usual < 6.0 * window.noise:
        return 0.0
    return above / usual

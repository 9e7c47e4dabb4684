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


def flag_broken(
    window: Window, groups: list[Group], before: deque[Hole], expected: ExpectedTimes | None
) -> None:
    """Add the flag ``broken`` to each hole after which the drill seems to be gone.

    Two of three signs: the load shoots up at the end; the hole is shorter than the others; no
    cut follows for two cycles though the trace goes on. The first is always one of them, unless
    the hole is much shorter than the others.
    """
    step = window.grid.step_s
    if not groups:
        return
    cut_s = [sum(c.length for c in g.cuts) * step for g in groups]
    known = [hole.cut_s for hole in before]
    starts = [g.cuts[0].start for g in groups]
    cycles = np.diff(starts) * step
    for i, group in enumerate(groups):
        earlier = (known + cut_s[:i])[-12:]
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
        stopped = share < 0.6 and gone and i + 1 == len(groups) and len(earlier) >= 3
        if stopped or ((gone or share < 0.85) and _shoots_up(window, group)):
            group.flags.append("broken")


def _shoots_up(window: Window, group: Group) -> bool:
    """Whether the load at the very end is far above the load before."""
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
        return False
    usual = middle(calm) - cut.idle
    above = float(last.max()) - cut.idle
    return above > _SPIKE * usual and above - usual > 6.0 * window.noise

"""One look at a window of the trace: idle, cuts, holes."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np

from trials.holes.breakage import flag_broken
from trials.holes.cuts import find_cuts
from trials.holes.expected import ExpectedTimes
from trials.holes.features import Window, measure
from trials.holes.grid import Bins, Grid, calm_value, hold
from trials.holes.grouping import choose_dips, count_pecks, group_cuts
from trials.holes.hole import Hole
from trials.holes.levels import find_levels
from trials.holes.middle import middle
from trials.holes.selection import real_cuts
from trials.holes.signals import holes_by_depth, without_turning


@dataclass(slots=True)
class Found:
    """Holes with the grid points where they start and end.

    ``open_end`` when the last one still goes on where the window ends.
    """

    holes: list[tuple[Hole, float, float]]
    open_end: bool
    idle_pct: float


def analyse(
    grid: Grid, bins: Bins, origin_s: float, first: int, settled: float,
    before: deque[Hole], expected: ExpectedTimes | None, final: bool, number: int,
) -> Found:  # fmt: skip
    """Find the holes of a window after ``settled``.

    Args:
        first: grid point of the window's first bin; ``settled`` counts the same way.
        before: the holes before, newest last.
        final: the trace ends where the window does.
        number: of the last hole before.
    """
    calm = calm_value(grid, bins)
    value, missing = hold(grid, bins, calm)
    value = without_turning(grid, bins, value)
    sampled = calm[bins.count > 0]
    if len(sampled) < 3:
        return Found([], False, float(value[-1]))
    longest = None if expected is None else 2.0 * expected.cut_s + 2.0
    levels = find_levels(grid, value, sampled, longest)
    dips = expected is None or expected.peck_mode == "chip_break"
    cuts = find_cuts(grid, value, missing, bins.count, levels, dips)
    # What is no higher than the last digit cannot be told from its flicker.
    cuts = [cut for cut in cuts if cut.height > 1.5 * levels.step]
    usual: tuple[float, float, float] | None = None
    if len(before) >= 3:
        usual = (
            middle([hole.cut_s / hole.pecks for hole in before]),
            middle([hole.peak_pct - hole.idle_pct for hole in before]),
            middle([hole.idle_pct for hole in before]),
        )
    cuts = real_cuts(cuts, grid.step_s, expected, usual)
    delay_s = 0.0 if expected is None else expected.filter_delay_s
    known = [(hole.start_s + delay_s - origin_s) / grid.step_s - first for hole in before]
    since = min([place for place in known if place > 1.0], default=settled - first)
    cuts = [cut for cut in cuts if cut.start >= min(since, settled - first) - 1.0]
    groups = group_cuts(
        cuts, grid.step_s, grid.sample_s, expected, settled - first, holes_by_depth(cuts, bins)
    )
    choose_dips(groups, expected, grid.step_s, grid.sample_s)
    for group in groups:
        group.pecks = count_pecks(group, expected)
    window = Window(
        grid,
        origin_s + first * grid.step_s,
        bins,
        value,
        missing,
        levels.noise,
        levels.seen_noise,
        first == 0,
        final,
    )
    flag_broken(window, groups, before, expected)
    measured = measure(window, groups, settled - first, before, expected, number, 1.5 * levels.step)
    holes = [
        (hole, group.cuts[0].start + first, group.cuts[-1].end + first) for hole, group in measured
    ]
    margin = max(3.0, 0.15 / grid.step_s)
    open_end = bool(measured) and measured[-1][1].cuts[-1].end >= len(value) - margin
    return Found(holes, open_end, float(levels.idle[-1]) if np.isfinite(levels.idle[-1]) else 0.0)

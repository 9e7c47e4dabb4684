"""Where a cut begins and ends, between the grid points."""

from __future__ import annotations

from dataclasses import dataclass

from trials.holes.middle import middle
from trials.holes.samples import Floats

_LOW, _HALF, _HIGH = 0.2, 0.5, 0.8  # shares of the level next to the edge
_BENT = 0.75  # an exponential edge has 0.51 here, a straight one 1
_REACH_S = 2.0
_LONGEST_RAMP_S = 1.0
_GLANCE = 64  # grid points that are enough for most edges


@dataclass(frozen=True, slots=True)
class Edge:
    """Places, in grid points outward from the cut, where the load passes shares of its level.

    ``sure`` is false when noise hides the foot of the edge, ``clear`` true when it blurs nothing.
    """

    half: float
    width: float
    bend: float
    sure: bool
    clear: bool


def find_edge(fine: Floats, begin: int, end: int, rising: bool, noise: float, reach: int) -> Edge:
    """The edge at the beginning (``rising``) or the end of ``fine[begin:end]``."""
    length = end - begin
    a, b = (0.1, 0.35) if rising else (0.8, 0.95)
    near = begin + int(a * length)
    level = middle(fine[near : max(near + 1, begin + int(b * length))])
    if rising:
        first, sign = max(0, begin - reach), 1
        stretch, outside = fine[first:end], begin - first
    else:
        first, sign = min(len(fine), end + reach) - 1, -1
        stretch = fine[begin : first + 1][::-1]
        outside = first + 1 - end
    # From the outermost part of the cut that reaches half: what lies behind may be a dip.
    inner = _first_reaching(stretch, outside, _HALF * level)
    half = _last_below(stretch, inner, _HALF * level)
    if half < 0:
        return Edge(float(begin if rising else end), 0.0, 1.0, sure=False, clear=False)
    low = _last_below(stretch, inner, _LOW * level)
    high = half
    if noise < 0.05 * level:
        upper = _first_reaching(stretch, inner, _HIGH * level)
        high = _last_below(stretch, upper, _HIGH * level)
    sure = noise < 0.12 * level and low >= 0
    width = (half - low) / (_HALF - _LOW) if sure else 0.0
    bend = (half - low) / (high - half) if rising and high > half else 1.0
    if not rising and half > low:
        # Outward from the cut a filtered fall is steep first: the same shape, turned round.
        bend = (high - half) / (half - low)
    return Edge(first + sign * half, width, bend, sure, clear=noise < 0.03 * level)


def is_filtered(starts: list[Edge], ends: list[Edge], step_s: float) -> bool:
    """Whether the drive's filter, not the drill's point, gives the edges their shape."""
    sides = []
    for edges in (starts, ends):
        wide = [edge for edge in edges if edge.sure]
        if len(wide) < 3 or middle([edge.width for edge in wide]) * step_s < 0.08:
            return False
        sides.append(middle([edge.bend for edge in wide]))
    return bool(max(sides) < _BENT)


def usual_width(edges: list[Edge]) -> float:
    """Usual width of the edges that noise does not hide, grid points."""
    sure = [edge.width for edge in edges if edge.sure]
    return middle(sure) if sure else 0.0


def place(
    edge: Edge, outward: int, filtered: bool, usual: float, smoothing: int, step_s: float
) -> float:
    """The edge's grid point.

    Without filter the foot of the ramp, where the point of the drill touches or leaves; with
    filter half-way up. Where noise blurs the foot, the ramp is taken to be as wide as ``usual``.
    """
    if filtered:
        return edge.half
    width = edge.width if edge.clear and edge.sure else usual
    ramp = max(0.0, width**2 - float(smoothing) ** 2) ** 0.5
    return edge.half + outward * 0.5 * float(min(ramp, _LONGEST_RAMP_S / step_s))


def reach_points(step_s: float) -> int:
    """How far outside of a cut its edge is looked for, grid points."""
    return max(2, int(_REACH_S / step_s))


def _first_reaching(values: Floats, begin: int, level: float) -> int:
    """First place from ``begin`` on where the values reach ``level``; ``begin`` if none does."""
    for stop in (begin + _GLANCE, len(values)):
        reached = values[begin:stop] >= level
        at = int(reached.argmax())
        if reached[at]:
            return begin + at
    return begin


def _last_below(values: Floats, end: int, level: float) -> float:
    """Where the values rise through ``level`` for the last time up to ``end``; -1 if never."""
    for begin in (max(0, end + 1 - _GLANCE), 0):
        below = values[begin : end + 1] < level
        back = int(below[::-1].argmax())
        at = end - back
        if below[at - begin]:
            if at == end:
                return float(at)
            one, two = float(values[at]), float(values[at + 1])
            return at + (level - one) / (two - one) if two > one else float(at)
    return -1.0

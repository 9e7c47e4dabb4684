"""Cost per hole by quarter of a year, from edges that came to their end."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from typing import TYPE_CHECKING

from trials.workbench._history_values import CostTrend, Quarter

if TYPE_CHECKING:
    from trials.workbench._history import Edge

_FEWEST_QUARTERS = 4
_FEWEST_EDGES = 3


def cost_trend(edges: Sequence[Edge], currency: str) -> CostTrend:
    """Money of the edges that ended in each quarter over their holes; a ratio, so long lives count.

    An edge that was stopped early has not used up what it cost, and is left out; so these costs
    are if anything too high. The range is that of a ratio of two sums (delta method; Cochran,
    Sampling Techniques, section 2.11, from memory).
    """
    from trials.economics import money_of_a_run

    by_quarter: dict[tuple[int, int], list[tuple[float, float, Edge]]] = defaultdict(list)
    stopped = 0
    for edge in edges:
        if edge.run.end == "stopped":
            stopped += 1
            continue
        found = money_of_a_run(
            edge.run, edge.job.economics(edge.run.drill), edge.run.cycle_min or 0.0, edge.job.limits
        )
        when = edge.ended_utc
        by_quarter[when.year, (when.month - 1) // 3 + 1].append(
            (found.total, float(edge.run.holes), edge)
        )
    quarters = tuple(
        Quarter(year, number, len(found), len({edge.job.key for *_, edge in found}),
                _ratio([(money, holes) for money, holes, _ in found]))
        for (year, number), found in sorted(by_quarter.items())
    )  # fmt: skip
    return CostTrend(quarters, currency, stopped, tuple(_said(quarters, currency, stopped)))


def _ratio(pairs: Sequence[tuple[float, float]]) -> tuple[float | None, float, float | None]:
    money, holes = (sum(column) for column in zip(*pairs, strict=True))
    middle, count = money / holes, len(pairs)
    if count < _FEWEST_EDGES:
        return None, middle, None
    from scipy.special import stdtrit

    off = sum((one - middle * of) ** 2 for one, of in pairs)
    spread = math.sqrt(count / (count - 1) * off) / holes
    width = float(stdtrit(count - 1, 0.95)) * spread
    return max(middle - width, 0.0), middle, middle + width


def _said(quarters: Sequence[Quarter], currency: str, stopped: int) -> list[str]:
    said = []
    if not quarters:
        said.append("No edge came to its end, so no quarter has a cost.")
    elif len(quarters) < _FEWEST_QUARTERS:
        said.append(
            f"Too little for a trend: {len(quarters)} quarter{'s' * (len(quarters) > 1)} with "
            f"ended edges; {_FEWEST_QUARTERS} are needed."
        )
    else:
        said.append(_slope(quarters, currency))
    if stopped:
        said.append(f"{stopped} edges that were stopped early are left out, so these costs are if "
                    "anything too high.")  # fmt: skip
    return said


def _slope(quarters: Sequence[Quarter], currency: str) -> str:
    """Straight line through the logarithms, each quarter counted by its edges."""
    from scipy.special import stdtrit

    x = [4.0 * one.year + one.quarter for one in quarters]
    y = [math.log(max(one.cost[1], 1e-12)) for one in quarters]
    w = [float(one.edges) for one in quarters]
    total = sum(w)
    mx = sum(a * b for a, b in zip(w, x, strict=True)) / total
    my = sum(a * b for a, b in zip(w, y, strict=True)) / total
    sxx = sum(a * (b - mx) ** 2 for a, b in zip(w, x, strict=True))
    slope = sum(a * (b - mx) * (c - my) for a, b, c in zip(w, x, y, strict=True)) / sxx
    off = sum(a * (c - my - slope * (b - mx)) ** 2 for a, b, c in zip(w, x, y, strict=True))
    freedom = len(x) - 2
    width = float(stdtrit(freedom, 0.95)) * math.sqrt(off / freedom / sxx)
    low, high = (100.0 * (math.exp(4 * value) - 1.0) for value in (slope - width, slope + width))
    year = 100.0 * (math.exp(4 * slope) - 1.0)
    if low <= 0 <= high:
        return (f"Cost per hole in {currency} shows no clear trend: {year:+.0f} % a year, with "
                f"90 % between {low:+.0f} % and {high:+.0f} %.")  # fmt: skip
    return (
        f"Cost per hole in {currency} {'rises' if slope > 0 else 'falls'} by about "
        f"{abs(year):.0f} % a year ({low:+.0f} % to {high:+.0f} %, 90 %). Which jobs were done in "
        "a quarter counts too: ask for like jobs."
    )

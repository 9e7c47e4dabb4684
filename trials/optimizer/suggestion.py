"""The answer: cutting data with what is expected of it. Plain Python values only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from trials.model import CuttingData


class Estimate(NamedTuple):
    """A value with its 90 % interval: of the next edge driven so, scatter between edges included.

    ``low`` and ``high`` are passed by one edge in twenty each.
    """

    low: float
    median: float
    high: float


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Cutting data to test next (`suggest`) or to produce with now (`recommend`).

    Args:
        cutting_data: rounded to what a control accepts, and checked again after rounding.
        holes: holes to wear.
        load_fresh_pct: peak spindle load of the fresh drill, % of rating.
        load_worn_pct: peak spindle load of the worn drill, % of rating.
        cycle_min: machine time of one hole, min.
        cost_per_hole: money in the currency of the economics. Its median counts every edge, those
            that fail as well; its range is of an edge that is worn at last, bad luck included at
            the high end, which is never below the median.
        p_safe: probability that the worn peak load stays below the limit, 0 to 1.
        p_chip_or_break: probability that an edge chips or breaks before it is worn, 0 to 1.
        value: what the test is expected to save over the holes still to make, before its price.
        test_cost: price of the test.
        why: one sentence.
        stop: whether testing should stop: the next test costs more than it is expected to save,
            or nothing safe is left to try.
        test_holes: holes after which a test may stop although the drill still cuts; later ones
            would cost more than they tell.
    """

    cutting_data: CuttingData
    holes: Estimate
    load_fresh_pct: Estimate
    load_worn_pct: Estimate
    cycle_min: Estimate
    cost_per_hole: Estimate
    p_safe: float
    p_chip_or_break: float
    value: float
    test_cost: float
    why: str
    stop: bool
    test_holes: int = 0

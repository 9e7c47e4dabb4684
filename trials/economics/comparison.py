"""Drills compared on cost per hole, with how sure we are; what cannot be told apart is a tie."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from trials.economics.cost import CostPerHole, cost_per_hole
from trials.errors import InputError
from trials.model import CuttingData, Economics, Run

# Scatter of the natural logarithm of life between drills of one kind at one cutting data: from
# memory, about a third. It counts as much as this many runs, until runs say otherwise.
_SCATTER = 0.35
_SCATTER_RUNS = 4.0
# Half width of a 90 % interval in standard deviations.
_Z90 = 1.6449

Verdict = Literal["cheapest", "tie", "dearer", "not enough runs"]


@dataclass(frozen=True, slots=True)
class DrillCost:
    """What a hole costs with one drill at the cutting data that did best with it.

    Args:
        drill: name of the drill.
        cutting_data: where it did best; None when no run of it can be used.
        runs: runs at that cutting data. ``ended`` of them wore out or failed.
        ended: see above; the others were stopped early and count as lower bounds.
        holes_per_edge: life of an edge, holes; None when no edge has ended.
        cost: median with its parts; None when no edge has ended.
        low, high: 90 % interval of the cost per hole. With no edge ended, ``high`` is what is
            known: the cost if every edge had ended where it was stopped.
        verdict: ``cheapest``, ``tie`` (this and another cannot be told apart), ``dearer`` than
            the cheapest, or ``not enough runs``.
        why: one sentence.
    """

    drill: str
    cutting_data: CuttingData | None
    runs: int
    ended: int
    holes_per_edge: float | None
    cost: CostPerHole | None
    low: float | None
    high: float | None
    verdict: Verdict
    why: str


def compare_drills(
    runs: Mapping[str, Sequence[Run]], economics: Mapping[str, Economics]
) -> list[DrillCost]:
    """Compare drills at the best cutting data that each has shown so far.

    The life of an edge is the median of a lognormal life whose scatter is pooled from prior and
    runs; edges stopped early are lower bounds. Two drills are a tie while the 90 % interval of the
    difference of their costs holds 0. The best of several cutting data looks better than it is;
    with one or two runs the interval is the scatter between drills, no less.

    Args:
        runs: ended runs by name of the drill; runs without a cycle time are left out.
        economics: money by name of the drill.

    Returns:
        One entry a drill, the cheapest first, those without a verdict last.

    Raises:
        InputError: a drill without economics, or different currencies.
    """
    missing = sorted(set(runs) - set(economics))
    if missing:
        raise InputError("economics of the drill", got=missing[0], allowed="one for each drill")
    currencies = sorted({economics[drill].currency for drill in runs})
    if len(currencies) > 1:
        raise InputError("currencies of the drills compared", got=", ".join(currencies),
                         allowed="one", do="Write all prices in the same currency.")  # fmt: skip
    found = [_best_of(drill, runs[drill], economics[drill]) for drill in sorted(runs)]
    known = sorted((one for one in found if one.cost is not None), key=_total)
    rest = [one for one in found if one.cost is None]
    return _with_verdicts(known) + rest


def _total(one: DrillCost) -> float:
    return math.inf if one.cost is None else one.cost.total


def _best_of(drill: str, runs: Sequence[Run], economics: Economics) -> DrillCost:
    groups: dict[CuttingData, list[Run]] = defaultdict(list)
    for run in runs:
        if run.state == "ended" and run.holes > 0 and run.cycle_min is not None:
            groups[run.cutting_data].append(run)
    costs = [_cost_at(drill, data, group, economics) for data, group in groups.items()]
    if not costs:
        return DrillCost(drill, None, 0, 0, None, None, None, None, "not enough runs",
                         f"{drill}: no ended run with holes and a cycle time yet.")  # fmt: skip
    return min(costs, key=lambda one: (_total(one), one.high or math.inf, str(one.cutting_data)))


def _cost_at(drill: str, data: CuttingData, runs: Sequence[Run], economics: Economics) -> DrillCost:
    cycle_min = sum(run.cycle_min or 0.0 for run in runs) / len(runs)
    broken = sum(run.end == "broken" for run in runs) / len(runs)
    ended = sum(run.end != "stopped" for run in runs)
    if ended == 0:
        longest = max(run.holes for run in runs)
        high = cost_per_hole(economics, cycle_min, longest).total
        return DrillCost(drill, data, len(runs), 0, None, None, None, high, "not enough runs",
                         f"{drill}: every edge was stopped early, so a hole costs at most about "
                         f"{high:.3f} {economics.currency}; let one wear out.")  # fmt: skip
    middle, sd = _median_log_life(runs)
    life = math.exp(middle)
    cost = cost_per_hole(economics, cycle_min, life, broken)
    low, high = (
        cost_per_hole(economics, cycle_min, life * math.exp(sign * _Z90 * sd), broken).total
        for sign in (1.0, -1.0)
    )
    return DrillCost(drill, data, len(runs), ended, life, cost, low, high, "tie", "")


def _median_log_life(runs: Sequence[Run]) -> tuple[float, float]:
    """Median of log life and its standard deviation; stopped edges are lower bounds.

    Expectation and maximisation: a stopped edge stands in with the life expected beyond its stop.
    """
    logs = [math.log(run.holes) for run in runs]
    stopped = [run.end == "stopped" for run in runs]
    ended_logs = [value for value, censored in zip(logs, stopped, strict=True) if not censored]
    middle = sum(ended_logs) / len(ended_logs)
    square = sum((value - middle) ** 2 for value in ended_logs)
    scatter = math.sqrt(
        (_SCATTER_RUNS * _SCATTER**2 + square) / (_SCATTER_RUNS + len(ended_logs) - 1)
    )
    for _ in range(200):
        expected = [
            _beyond(value, middle, scatter) if censored else value
            for value, censored in zip(logs, stopped, strict=True)
        ]
        middle, before = sum(expected) / len(expected), middle
        if abs(middle - before) < 1e-10:
            break
    return middle, scatter / math.sqrt(len(ended_logs))


def _beyond(stop: float, middle: float, scatter: float) -> float:
    """Mean of a normal value that is known to lie beyond ``stop``."""
    z = (stop - middle) / scatter
    if z > 8.0:  # the ratio below loses its digits out there; its limit is z + 1/z
        return middle + scatter * (z + 1.0 / z)
    density = math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    beyond = 0.5 * math.erfc(z / math.sqrt(2.0))
    return middle + scatter * density / beyond


def _with_verdicts(known: list[DrillCost]) -> list[DrillCost]:
    """The same entries, cheapest first, each with its verdict against the cheapest."""
    if not known:
        return []
    best = known[0]
    ties = [one for one in known[1:] if _total(one) - _total(best) <= _reach(best, one)]
    names = " and ".join(one.drill for one in ties)
    first = (
        replace(
            best,
            verdict="tie",
            why=f"{_money(best)}; the lowest so far, but {names} cannot be told from it yet.",
        )
        if ties
        else replace(best, verdict="cheapest", why=f"{_money(best)}, the lowest.")
    )
    rest = [
        replace(one, verdict="tie", why=f"{_money(one)}; cannot be told from {best.drill} yet.")
        if one in ties
        else replace(one, verdict="dearer", why=f"{_money(one)}, dearer than {best.drill}.")
        for one in known[1:]
    ]
    return [first, *rest]


def _money(one: DrillCost) -> str:
    currency = "" if one.cost is None else one.cost.currency
    return (
        f"{one.drill}: {_total(one):.3f} {currency} a hole ({one.low:.3f} to {one.high:.3f}) "
        f"from {one.runs} run{'s' if one.runs != 1 else ''}"
    )


def _reach(a: DrillCost, b: DrillCost) -> float:
    """Half width of the 90 % interval of the difference of two costs."""
    widths = [((one.high or 0.0) - (one.low or 0.0)) / 2.0 for one in (a, b)]
    return math.hypot(*widths)

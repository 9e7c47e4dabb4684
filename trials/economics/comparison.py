"""Drills compared on cost per hole, with how sure we are; what cannot be told apart is a tie."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from trials.economics.cost import CostPerHole, cost_per_hole
from trials.economics.difference import Difference, difference
from trials.economics.lives import OnProgress
from trials.economics.uncertain_cost import (
    DRAWS,
    USUAL_LIMITS,
    CostDraws,
    CostRange,
    DrillEvidence,
    check_currencies,
    draw_costs,
    evidence_of,
    interval,
    note,
    range_of,
)
from trials.errors import InputError
from trials.model import CuttingData, Economics, Run, WearLimits

Verdict = Literal["cheapest", "tie", "dearer", "alone", "not enough runs"]


@dataclass(frozen=True, slots=True)
class DrillCost:
    """What a hole costs with one drill at the cutting data that did best with it.

    Args:
        drill: name of the drill.
        cutting_data: where it did best; None when no run of it can be used.
        runs: runs at that cutting data. ``ended`` of them wore out or failed.
        ended: see above; the others were stopped early and count as lower bounds.
        holes_per_edge: middle life of an edge, holes; None when no edge has ended.
        cost: in the middle of what is known, with its parts; None when no edge has ended.
        low, high: 90 % interval of the cost per hole. With no edge ended, ``high`` is what is
            known: the cost if every edge had ended where it was stopped.
        verdict: ``cheapest``, ``tie`` (this and another cannot be told apart), ``dearer`` than
            the cheapest, ``alone`` (no other drill has a cost), or ``not enough runs``.
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


@dataclass(frozen=True, slots=True)
class Comparison:
    """Drills on cost per hole, and the cheapest against each of the others.

    Args:
        drills: the cheapest first, those without a cost last.
        differences: the cheapest against every other drill that has a cost.
        currency: of all money here.
        ranges: for each drill that has a cost its name, and the cost with the range of each part.
    """

    drills: tuple[DrillCost, ...]
    differences: tuple[Difference, ...]
    currency: str
    ranges: tuple[tuple[str, CostRange], ...] = ()


def compare(
    runs: Mapping[str, Sequence[Run]], economics: Mapping[str, Economics], *,
    limits: WearLimits = USUAL_LIMITS, draws: int = DRAWS, seed: int = 0,
    on_progress: OnProgress | None = None,
) -> Comparison:  # fmt: skip
    """Compare drills at the best cutting data that each has shown so far.

    Lives are drawn together (`trials.economics.lives`), so that a batch or a machine that runs
    share does not count as a difference between drills. Two drills are a tie while the 90 %
    interval of the difference of their costs holds 0. The best of several cutting data looks
    better than it is; the sentences say so.

    Args:
        runs: runs by name of the drill; those without an end or a cycle time are left out.
        economics: money by name of the drill.
        limits: what is still reground.
        draws, seed: of the Monte Carlo; the same seed gives the same numbers.
        on_progress: told the share that is done.

    Raises:
        InputError: a drill without economics, or different currencies.
    """
    missing = sorted(set(runs) - set(economics))
    if missing:
        raise InputError("economics of the drill", got=missing[0], allowed="one for each drill")
    currency = check_currencies({drill: economics[drill] for drill in runs})
    known: list[DrillEvidence] = []
    unknown: list[DrillCost] = []
    for drill in sorted(runs):
        found = evidence_of(drill, runs[drill], economics[drill], limits)
        if found:
            known.append(found[0])
        else:
            unknown.append(_without_cost(drill, runs[drill], economics[drill]))
    if not known:
        return Comparison(tuple(unknown), (), currency)
    drawn = draw_costs(known, draws=draws, seed=seed, on_progress=on_progress)
    pairs = sorted(zip(known, drawn, strict=True), key=lambda pair: pair[0].cost().total)
    differences = tuple(difference(pairs[0], other) for other in pairs[1:])
    drills = _with_verdicts([_drill_cost(*pair) for pair in pairs], differences)
    ranges = tuple((one.drill, range_of(one, drawn)) for one, drawn in pairs)
    return Comparison((*drills, *unknown), differences, currency, ranges)


def compare_drills(
    runs: Mapping[str, Sequence[Run]], economics: Mapping[str, Economics]
) -> list[DrillCost]:
    """The drills of `compare`, the cheapest first; raises what it raises."""
    return list(compare(runs, economics).drills)


def _drill_cost(one: DrillEvidence, drawn: CostDraws) -> DrillCost:
    cost = one.cost()
    low, high = interval(drawn.total, around=cost.total)
    return DrillCost(
        one.drill, one.cutting_data, one.runs, one.ended, one.life, cost, low, high, "tie",
        note(one),
    )  # fmt: skip


def _without_cost(drill: str, runs: Sequence[Run], economics: Economics) -> DrillCost:
    usable = [
        run for run in runs if run.state == "ended" and run.holes > 0 and run.cycle_min is not None
    ]
    if not usable:
        return DrillCost(drill, None, 0, 0, None, None, None, None, "not enough runs",
                         f"{drill}: no ended run with holes and a cycle time yet.")  # fmt: skip
    bounds = [
        (cost_per_hole(economics, run.cycle_min or 0.0, run.holes).total, run) for run in usable
    ]
    high, run = min(bounds, key=lambda pair: pair[0])
    of_data = sum(other.cutting_data == run.cutting_data for other in usable)
    return DrillCost(
        drill, run.cutting_data, of_data, 0, None, None, None, high, "not enough runs",
        f"{drill}: every edge was stopped early, so a hole costs at most about "
        f"{high:.3f} {economics.currency}; let one wear out.",
    )  # fmt: skip


def _with_verdicts(
    known: list[DrillCost], differences: Sequence[Difference]
) -> tuple[DrillCost, ...]:
    """The same entries, cheapest first, each with its verdict against the cheapest."""
    best = known[0]
    alike = [pair.tie or pair.cheaper != best.drill for pair in differences]
    ties = [one.drill for one, tie in zip(known[1:], alike, strict=True) if tie]
    told = f"the lowest so far, but {' and '.join(ties)} cannot be told from it yet"
    lead = f"{_money(best)}; {told}." if ties else f"{_money(best)}, the lowest."
    verdict: Verdict = "tie" if ties else "cheapest"
    if len(known) == 1:
        lead, verdict = f"{_money(best)}; no other drill has a cost yet.", "alone"
    first = replace(best, verdict=verdict, why=f"{lead} {best.why}".strip())
    rest = []
    for one, tie in zip(known[1:], alike, strict=True):
        said = (
            f"{_money(one)}; cannot be told from {best.drill} yet."
            if tie
            else f"{_money(one)}, dearer than {best.drill}."
        )
        rest.append(
            replace(one, verdict="tie" if tie else "dearer", why=f"{said} {one.why}".strip())
        )
    return (first, *rest)


def _money(one: DrillCost) -> str:
    assert one.cost is not None  # noqa: S101 - only drills with a cost come here
    return (
        f"{one.drill}: {one.cost.total:.3f} {one.cost.currency} a hole ({one.low:.3f} to "
        f"{one.high:.3f}) from {one.runs} run{'s' if one.runs != 1 else ''}"
    )

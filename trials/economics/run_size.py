"""Which drill for how many holes: tests, whole drills and time against the size of the run."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trials.economics import _formula
from trials.economics.lives import Floats, OnProgress
from trials.economics.uncertain_cost import (
    CostDraws,
    DrillEvidence,
    check_currencies,
    draw_costs,
)
from trials.errors import require

_POINTS = 160
_DRAWS = 400
_FARTHEST = 300_000


@dataclass(frozen=True, slots=True)
class Offer:
    """A drill as it would make the job: cutting data that are known, and what finding them costs.

    Args:
        evidence: runs at those cutting data, with the drill's money.
        dialling_in: money for the tests that lead there; 0 when they are not to be counted.
    """

    evidence: DrillEvidence
    dialling_in: float = 0.0

    def __post_init__(self) -> None:
        require(0 <= self.dialling_in < 1e12, "price of dialling in", self.dialling_in,
                "0 or more, and finite")  # fmt: skip


@dataclass(frozen=True, slots=True)
class CostLine:
    """Money a hole for one drill, against the size of the run.

    Args:
        drill: its name; dialling_in: money for its tests, shared by the holes of the run.
        per_hole, low, high: one value for each size: middle and 90 % interval.
        long_run: what a hole costs when the run never ends.
    """

    drill: str
    dialling_in: float
    per_hole: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    long_run: float


@dataclass(frozen=True, slots=True)
class BreakEven:
    """From how many holes on the second drill makes the job for less, and stays below.

    ``low`` and ``high`` are the 90 % interval; None where some draws never reach it.
    """

    first: str
    then: str
    holes: int
    low: int | None
    high: int | None


@dataclass(frozen=True, slots=True)
class RunSize:
    """Cost of a job against its size.

    Args:
        sizes: numbers of holes.
        lines: one for each drill, the cheapest in the long run first.
        break_evens: where the cheapest drill changes, small runs first.
        holes_to_make: size of this run; None for a job that keeps coming back.
        now: the drill that is cheapest for this run; later: the one for large runs.
        advice: sentences.
        currency: of all money here.
    """

    sizes: tuple[int, ...]
    lines: tuple[CostLine, ...]
    break_evens: tuple[BreakEven, ...]
    holes_to_make: int | None
    now: str
    later: str
    advice: str
    currency: str


def job_cost(
    offer: Offer, holes: Floats, *, cycle_min: float | Floats | None = None,
    life: float | Floats | None = None,
) -> Floats:  # fmt: skip
    """Money to make ``holes`` holes from nothing: tests, whole drills, regrinds, changes, time.

    What is left of the last drill counts as nothing. Edges that cannot be reground are allowed
    for in every drill but the last, on average.

    Args:
        offer: the drill.
        holes: sizes of the job, each 1 or more.
        cycle_min, life: in place of what the evidence says; for draws arrays that broadcast
            against ``holes``.
    """
    one, money = offer.evidence, offer.evidence.economics
    cycle = one.cycle if cycle_min is None else cycle_min
    lasts = 1.0 - money.life_lost_per_regrind
    edge_holes = np.maximum(1.0, one.life if life is None else life)
    beyond = one.beyond_regrind / one.runs
    edges, lives, regrinds = _formula.edges_lives_regrinds(money, beyond)
    of_drill = edge_holes * lives
    # A whisker is taken off, so that a job of exactly one drill does not buy two.
    whole = np.floor(holes / of_drill * (1.0 - 1e-12) - 1e-9).clip(min=0.0)
    rest = holes - whole * of_drill
    reach = np.cumsum([lasts**k for k in range(money.regrinds + 1)])  # in lives of a new edge
    lives_left = rest / edge_holes * (1 - 1e-9)
    last_edges = np.minimum(np.searchsorted(reach, lives_left) + 1, money.regrinds + 1)
    changes = whole * edges + last_edges
    drills = (whole + 1.0) * money.drill_price
    reground = (whole * regrinds + last_edges - 1) * money.regrind_cost
    per_edge = (
        money.machine_rate_per_min * money.tool_change_min
        + money.breakage_cost * one.broken / one.runs
        + money.scrap_cost * one.out_of_tolerance / one.runs
    )
    per_hole = (
        money.machine_rate_per_min * (cycle + _formula.looking_min(money))
        + money.coolant_per_min * cycle
        + money.scrap_cost * money.scrap_share
    )
    total: Floats = offer.dialling_in + drills + reground + changes * per_edge + holes * per_hole
    return total


def run_size(
    offers: Sequence[Offer], holes_to_make: int | None = None, *, seed: int = 0,
    on_progress: OnProgress | None = None,
) -> RunSize:  # fmt: skip
    """Cost of the job against its size for each drill, and where the cheapest one changes.

    Args:
        offers: one or more drills.
        holes_to_make: size of this run; None for a job that keeps coming back.
        seed: of the Monte Carlo.
        on_progress: told the share that is done.

    Raises:
        InputError: no drill, different currencies, or a run of no holes.
    """
    require(holes_to_make is None or holes_to_make >= 1, "holes to make", holes_to_make,
            "1 or more, or left out")  # fmt: skip
    currency = check_currencies({one.evidence.drill: one.evidence.economics for one in offers})
    drawn = draw_costs(
        [one.evidence for one in offers], draws=_DRAWS, seed=seed, on_progress=on_progress
    )
    farthest = _farthest(offers, holes_to_make)
    # Round sizes and the run's own are computed as they are, so that a table need not guess them.
    told = [step * 10**power for power in range(10) for step in (1, 2, 5)]
    told = [size for size in (*told, holes_to_make or 1) if size <= farthest]
    sizes = np.unique(np.concatenate([np.geomspace(1, farthest, _POINTS).round(), told]))
    every = np.union1d(np.arange(1.0, min(farthest, _FARTHEST) + 1), sizes)
    costs = np.array([job_cost(one, every) for one in offers])
    drawn_costs = np.array([_drawn(one, draws, sizes) for one, draws in zip(offers, drawn,
                                                                         strict=True)])  # fmt: skip
    at = np.searchsorted(every, sizes)
    lines = []
    for number, one in enumerate(offers):
        middle = costs[number, at] / sizes
        low, high = np.quantile(drawn_costs[number] / sizes, (0.05, 0.95), axis=0)
        lines.append(
            CostLine(
                one.evidence.drill, one.dialling_in, tuple(middle.tolist()),
                tuple(np.minimum(low, middle).tolist()), tuple(np.maximum(high, middle).tolist()),
                one.evidence.cost().total,
            )
        )  # fmt: skip
    lines.sort(key=lambda line: line.long_run)
    names = [one.evidence.drill for one in offers]
    later = names[int(np.argmin(costs[:, -1]))]
    now = (
        later
        if holes_to_make is None
        else names[int(np.argmin(costs[:, np.searchsorted(every, holes_to_make)]))]
    )
    found = tuple(_break_evens(names, costs, every, drawn_costs, sizes))
    advice = _advice(found, now, later, holes_to_make, len(offers))
    return RunSize(
        tuple(sizes.astype(int).tolist()), tuple(lines), found, holes_to_make, now, later, advice,
        currency,
    )  # fmt: skip


def _farthest(offers: Sequence[Offer], holes_to_make: int | None) -> int:
    """So far that whole drills and dialling in no longer show."""
    drills = [one.evidence.life * (1 + one.evidence.economics.regrinds) for one in offers]
    paid = [10 * one.dialling_in / max(one.evidence.cost().total, 1e-9) for one in offers]
    wanted = max(20 * max(drills), max(paid), 2 * (holes_to_make or 1), 2000)
    return max(min(math.ceil(wanted), _FARTHEST), holes_to_make or 1)


def _drawn(offer: Offer, drawn: CostDraws, sizes: Floats) -> Floats:
    """Job costs of shape (draws, sizes)."""
    return job_cost(
        offer, sizes[None, :], cycle_min=drawn.cycle_min[:, None], life=drawn.life[:, None]
    )


def _break_evens(
    names: list[str], costs: Floats, every: Floats, drawn: Floats, sizes: Floats
) -> list[BreakEven]:
    """From the drill of the smallest run to that of the largest, each change that stays.

    Whole drills make the lines jump, so two of them can cross several times: a break-even is the
    size from which the second stays below the first.
    """
    found: list[BreakEven] = []
    start, current = 0, int(np.argmin(costs[:, 0]))
    while True:
        turns = {}
        for other in range(len(names)):
            after = _stays_below(costs[other], costs[current])
            if other != current and after is not None and after >= start:
                turns[other] = after
        if not turns:
            return found
        then = min(turns, key=lambda other: (turns[other], costs[other, -1]))
        holes = int(every[turns[then]])
        reached = [_stays_below(b, a) for a, b in zip(drawn[current], drawn[then], strict=True)]
        at = sorted(math.inf if i is None else float(sizes[i]) for i in reached)
        low, high = at[int(0.05 * (len(at) - 1))], at[math.ceil(0.95 * (len(at) - 1))]
        found.append(
            BreakEven(
                names[current], names[then], holes,
                None if math.isinf(low) else min(int(low), holes),
                None if math.isinf(high) else max(int(high), holes),
            )
        )  # fmt: skip
        start, current = turns[then], then


def _stays_below(one: Floats, other: Floats) -> int | None:
    """Index from which ``one`` stays below ``other`` to the end; None when it does not end so."""
    above = np.flatnonzero(one >= other)
    first = 0 if above.size == 0 else int(above[-1]) + 1
    return first if first < one.size else None


def _advice(
    found: Sequence[BreakEven], now: str, later: str, holes: int | None, drills: int
) -> str:
    if drills == 1:
        return f"{now} is the only drill with a cost so far."
    if not found:
        return f"{later} is the cheaper one for a run of any size."
    changes = "; ".join(
        f"from about {one.holes:,} holes on {one.then} is cheaper than {one.first}"
        + (
            f" (90 % range {one.low:,} to {one.high:,})"
            if one.low is not None and one.high is not None
            else " (how many is not well known yet)"
        )
        for one in found
    )
    if holes is None:
        first = found[0].first
        return (
            f"For small runs {first}; {changes}. This job keeps coming back: {later}, or start "
            f"with {first} if you are not sure that it will."
        )
    if now != later:
        return (
            f"For this run of {holes:,} holes start with {now}; {changes}: move to {later} when "
            "the job comes back."
        )
    return f"For this run of {holes:,} holes take {now}: {changes}."

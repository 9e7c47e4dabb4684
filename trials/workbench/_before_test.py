"""What drills would cost before any test: lives are rough, so ranges are wide."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from trials.mechanics import RoughLife, Start, TestPlan
from trials.mechanics.catalogue import Catalogue
from trials.model import Run, Trial
from trials.workbench._choose_values import BeforeTest, RoughCost, Span

if TYPE_CHECKING:
    from trials.economics import BreakEven, Offer, RunSize

_DRAWS = 300
_NINETY = 1.645
# Half of what is not known of lives is the work and the machine, which all drills share.
_SHARED = math.sqrt(0.5)
_CYCLE_SCATTER = 0.1


@dataclass(frozen=True, slots=True)
class Rough:
    """A drill with what is known of it before a test."""

    drill: str
    start: Start
    life: RoughLife
    plan: TestPlan


def before_test(trial: Trial, found: Sequence[Rough], catalogue: Catalogue) -> BeforeTest:
    """Cost against the size of the run for each drill, and whether a trial pays.

    Args:
        trial: money and the size of the run.
        found: one or more drills.
        catalogue: what a trial may save.
    """
    from trials.economics import job_cost, run_size

    offers = [_offer(trial, one) for one in found]
    sizes = run_size(offers, trial.holes_to_make)
    at = np.array(sizes.sizes, dtype=float)
    drawn = _draw(found, offers, at)
    bands = {
        one.drill: np.quantile(drawn[number], (0.05, 0.95), axis=0) / at
        for number, one in enumerate(found)
    }
    lines = tuple(
        replace(
            line,
            low=tuple(np.minimum(bands[line.drill][0], line.per_hole).tolist()),
            high=tuple(np.maximum(bands[line.drill][1], line.per_hole).tolist()),
        )
        for line in sizes.lines
    )
    names = [one.drill for one in found]
    evens = tuple(_break_even(one, names, drawn, at) for one in sizes.break_evens)
    costs = []
    for number, (one, offer) in enumerate(zip(found, offers, strict=True)):
        long_run = float(offer.evidence.cost().total)
        without = drawn[number, :, -1] / at[-1] - offer.dialling_in / at[-1]
        costs.append(
            RoughCost(
                one.drill, one.life, offer.dialling_in, _span(without, long_run),
                None if trial.holes_to_make is None else _of_run(trial.holes_to_make, offer, one,
                                                                 number, len(found)),
            )
        )  # fmt: skip
    money = trial.economics.currency
    ready = replace(sizes, lines=lines, break_evens=evens, advice="")
    costs.sort(key=lambda cost: (cost.drill != sizes.now, cost.per_hole[1]))
    if trial.holes_to_make is not None:
        middle = {
            one.drill: float(job_cost(offer, np.array([float(trial.holes_to_make)]))[0])
            for one, offer in zip(found, offers, strict=True)
        }
        costs.sort(key=lambda cost: middle[cost.drill])
    worth, why = _worth(trial, costs[0], catalogue)
    return BeforeTest(tuple(costs), ready, _advice(ready, len(found)), worth, why, _sure(found),
                      money)  # fmt: skip


def _offer(trial: Trial, one: Rough) -> Offer:
    """The rough life as if one edge had shown it, and what testing it costs."""
    from trials.economics import Offer, evidence_of, money_of_a_run

    economics = trial.economics_of(one.drill)
    cycle = one.start.time.cycle_min
    life = max(1, round(one.life.middle))
    run = Run(
        1, one.drill, one.start.cutting_data, "ended", "worn", life, cycle_min=cycle
    )  # fmt: skip
    plan = one.plan
    tested = replace(run, holes=min(plan.holes_a_run, life))
    looks = economics.machine_rate_per_min * economics.inspect_min * len(plan.looks)
    trying = plan.runs * (money_of_a_run(tested, economics, cycle).total + looks)
    (evidence,) = evidence_of(one.drill, [run], economics)
    return Offer(evidence, trying)


def _draw(found: Sequence[Rough], offers: Sequence[Offer], at: np.ndarray) -> np.ndarray:
    """Money of the job, shape (drills, draws, sizes)."""
    from trials.economics import job_cost

    rng = np.random.default_rng(0)
    shared = rng.standard_normal(_DRAWS)
    drawn = []
    for one, offer in zip(found, offers, strict=True):
        z = _SHARED * shared + math.sqrt(1 - _SHARED**2) * rng.standard_normal(_DRAWS)
        lives = one.life.middle * np.exp(math.log(one.life.factor) / _NINETY * z)
        cycles = one.start.time.cycle_min * np.exp(_CYCLE_SCATTER * rng.standard_normal(_DRAWS))
        drawn.append(
            [
                job_cost(offer, at, cycle_min=float(cycle), life=float(life))
                for cycle, life in zip(cycles, lives, strict=True)
            ]
        )
    return np.array(drawn)


def _of_run(holes: int, offer: Offer, one: Rough, number: int, drills: int) -> Span:
    from trials.economics import job_cost

    at = np.array([float(holes)])
    # The same draws as for the lines: a drill keeps its place in the order of the random numbers.
    everyone = [one] * drills
    drawn = _draw(everyone, [offer] * drills, at)[number, :, 0]
    return _span(drawn, float(job_cost(offer, at)[0]))


def _span(drawn: np.ndarray, middle: float) -> Span:
    low, high = (float(value) for value in np.quantile(drawn, (0.05, 0.95)))
    return min(low, middle), middle, max(high, middle)


def _break_even(
    one: BreakEven, names: list[str], drawn: np.ndarray, at: np.ndarray
) -> BreakEven:  # fmt: skip
    """The same break-even with the range that rough lives give it."""
    first, then = drawn[names.index(one.first)], drawn[names.index(one.then)]
    reached = []
    for a, b in zip(first, then, strict=True):
        above = np.flatnonzero(b >= a)
        after = 0 if above.size == 0 else int(above[-1]) + 1
        reached.append(math.inf if after >= at.size else float(at[after]))
    reached.sort()
    low, high = reached[int(0.05 * (_DRAWS - 1))], reached[math.ceil(0.95 * (_DRAWS - 1))]
    return replace(
        one,
        low=None if math.isinf(low) else min(int(low), one.holes),
        high=None if math.isinf(high) else max(int(high), one.holes),
    )


def _advice(sizes: RunSize, drills: int) -> str:
    now, later, holes = sizes.now, sizes.later, sizes.holes_to_make
    if drills == 1:
        return f"{now} is the only drill with an expected cost."
    if not sizes.break_evens:
        return f"{now} is expected to be the cheaper one for a run of any size."
    turns = "; ".join(
        f"from about {one.holes:,} holes on {one.then} is expected to cost less than {one.first}, "
        + _between(one)
        for one in sizes.break_evens
    )
    if holes is None:
        first = sizes.break_evens[0].first
        return (
            f"This job keeps coming back: {later}. {_upper(turns)}. If you are not sure that it "
            f"comes back, start with {first} and move to {later} when it does."
        )
    if now != later:
        return (
            f"For this run of {holes:,} holes start with {now}, and move to {later} when the job "
            f"comes back. {_upper(turns)}."
        )
    return f"For this run of {holes:,} holes take {now}. {_upper(turns)}."


def _between(one: BreakEven) -> str:
    if one.low is None or one.high is None:
        return "which may also never come (lives are rough)"
    return f"somewhere between {one.low:,} and {one.high:,} (90 %, lives are rough)"


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _worth(trial: Trial, best: RoughCost, catalogue: Catalogue) -> tuple[str, str]:
    """Whether testing pays for this run, by what a trial usually saves."""
    money, source = trial.economics.currency, catalogue.test.source_of("dial_in_saves")
    low, usual, most = catalogue.test.dial_in_saves[0], *catalogue.test.dial_in_saves[1:3]
    per_hole = best.per_hole[1]
    may = (
        f"Finding better cutting data may save {100 * low:.0f} % to {100 * most:.0f} % of the "
        f"cost per hole, usually about {100 * usual:.0f} % ({source}); testing "
        f"{best.drill} costs about {best.trying:.0f} {money}"
    )
    if usual * per_hole <= 0:
        return "no", "Without prices and machine rate nothing can be saved."
    even = math.ceil(best.trying / (usual * per_hole))
    holes = trial.holes_to_make
    if holes is None:
        return "yes", (
            f"{may}, which is usually paid after about {even:,} holes. The job keeps coming back, "
            "so a trial pays in time."
        )
    saved, at_most = usual * per_hole * holes, most * per_hole * holes
    begun = f"{may}. Over {holes:,} holes that is usually {saved:.0f} {money}"
    if at_most < best.trying:
        return "no", (
            f"{begun} and at most about {at_most:.0f} {money}, less than the tests: begin with "
            "the first cutting data, watch the load, and look at the drill."
        )
    if saved >= best.trying:
        return "yes", f"{begun}, more than the tests: a trial pays."
    return "perhaps", (
        f"{begun} and at most about {at_most:.0f} {money}: a trial may pay, but more often does "
        "not. Note load and wear in the run itself, which costs next to nothing."
    )


def _sure(found: Sequence[Rough]) -> str:
    factor = max(one.life.factor for one in found)
    return (
        f"Not sure: no edge was tested. Lives may be {factor:g} times shorter or longer than "
        "expected (90 %), and all ranges here follow from that."
    )

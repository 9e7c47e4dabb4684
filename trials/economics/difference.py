"""One drill against another: the difference a hole, how sure its sign is, what more runs tell."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Literal

import numpy as np

from trials.economics.lives import Floats
from trials.economics.uncertain_cost import LEVEL, CostDraws, DrillEvidence
from trials.errors import require

# Before any run two drills that somebody offers for the same hole are as likely one way as the
# other, mostly within a factor of one and a half in cost, and now and then far apart: Student's t
# with three degrees of freedom on the logarithm of the ratio. From memory; without it the better
# of two short tries would be believed too soon.
_RATIO_SCALE = 0.4
_RATIO_FREEDOM = 3.0
SURE = 0.95
# Less than this share of the cost is no difference that a shop would change a drill for.
SAME_WITHIN = 0.02
_SAME_SURE = 0.9
_NEARLY_NOTHING = 1e-12  # money a hole
_NEXT_RUNS = (1, 2, 3, 4, 6, 8, 12)
_FUTURES = 300
_DRAWS_THEN = 2000
_POWER = 0.8
# What a job that keeps coming back is worth testing for.
HOLES_OF_A_RECURRING_JOB = 10_000

Advice = Literal["decided", "same", "not worth more", "test more", "hard to tell"]


@dataclass(frozen=True, slots=True)
class Difference:
    """The drill that looks cheaper against one that looks dearer.

    Args:
        cheaper, dearer: names of the drills.
        p_cheaper: probability that it is so.
        low, middle, high: cost of the dearer less that of the cheaper, money a hole: 90 % interval
            and median; ``low`` below 0 means that it may be the other way round.
        tie: the interval holds 0: the two cannot be told apart yet.
        p_same: probability that they differ by less than 2 % of the cost.
        loss: what choosing the cheaper one now loses on average by being wrong, money a hole.
        paired: batches or machines in which both have run.
        next_runs: for so many more runs of each, the chance that they settle it.
        currency: of all money here.
    """

    cheaper: str
    dearer: str
    p_cheaper: float
    low: float
    middle: float
    high: float
    tie: bool
    p_same: float
    loss: float
    paired: int
    next_runs: tuple[tuple[int, float], ...]
    currency: str

    @property
    def runs_to_settle(self) -> int | None:
        """Runs of each drill after which it is settled four times in five; None beyond twelve."""
        return next((runs for runs, chance in self.next_runs if chance >= _POWER), None)


@dataclass(frozen=True, slots=True)
class NextStep:
    """Whether to go on comparing two drills.

    Args:
        advice: ``decided`` (the sign is sure), ``same`` (they cost the same), ``not worth more``
            (being wrong costs less than another run of each), ``test more``, or ``hard to tell``
            (a dozen runs of each would probably not settle it).
        why: one sentence or two.
    """

    advice: Advice
    why: str

    @property
    def stop(self) -> bool:
        """Whether to stop comparing."""
        return self.advice != "test more"


def difference(
    first: tuple[DrillEvidence, CostDraws], second: tuple[DrillEvidence, CostDraws]
) -> Difference:
    """Compare two drills from draws that were made together, draw by draw."""
    (one, a), (other, b) = first, second
    gap = b.total - a.total
    # Money of nothing at all has no ratio; two such drills are the same.
    weight = _prior_weight(np.log((b.total + _NEARLY_NOTHING) / (a.total + _NEARLY_NOTHING)))
    p_first = float(weight[gap > 0].sum())
    if p_first < 0.5:  # lower in the middle, dearer in the balance of what may be
        one, a, other, b = other, b, one, a
        gap, p_first = -gap, 1.0 - p_first
    low, middle, high = _quantiles(gap, weight, ((1 - LEVEL) / 2, 0.5, (1 + LEVEL) / 2))
    return Difference(
        cheaper=one.drill,
        dearer=other.drill,
        p_cheaper=p_first,
        low=low,
        middle=middle,
        high=high,
        tie=low <= 0 <= high,
        p_same=float(weight[np.abs(gap) <= SAME_WITHIN * a.total].sum()),
        loss=float((weight * np.maximum(-gap, 0.0)).sum()),
        paired=_paired(one, other),
        next_runs=_chances_to_settle(a, b, gap, weight),
        currency=one.economics.currency,
    )


def next_step(found: Difference, price_of_a_run_each: float, holes: int | None) -> NextStep:
    """Whether another run of each of the two drills is worth it.

    Args:
        found: the comparison so far.
        price_of_a_run_each: money for one more run of both.
        holes: holes still to make; None for a job that keeps coming back, taken as 10,000.

    Raises:
        InputError: a price or a number of holes below 0.
    """
    require(price_of_a_run_each >= 0, "price of a run of each drill", price_of_a_run_each,
            "0 or more")  # fmt: skip
    to_make = HOLES_OF_A_RECURRING_JOB if holes is None else holes
    require(to_make >= 0, "holes to make", to_make, "0 or more")
    a, b, money = found.cheaper, found.dearer, found.currency
    if not found.tie:
        return NextStep(
            "decided",
            f"Stop: {a} is cheaper than {b} ({sureness(found.p_cheaper)} sure), by "
            f"{found.low:.3f} to {found.high:.3f} {money} a hole.",
        )
    if found.p_same >= _SAME_SURE:
        return NextStep(
            "same",
            f"Stop: {a} and {b} cost the same within {100 * SAME_WITHIN:.0f} % "
            f"({sureness(found.p_same)} sure). Take the one that is easier to get.",
        )
    stake = found.loss * to_make
    if stake <= price_of_a_run_each:
        return NextStep(
            "not worth more",
            f"Stop: choosing {a} now is wrong with {sureness(1 - found.p_cheaper)}, which costs "
            f"{stake:.2f} {money} on average over {to_make:,} holes; one more run of each costs "
            f"{price_of_a_run_each:.2f} {money}.",
        )
    runs = found.runs_to_settle
    worth = (
        f"a wrong choice costs {stake:.2f} {money} on average over {to_make:,} holes, one more "
        f"run of each {price_of_a_run_each:.2f} {money}"
    )
    if runs is None:
        most, chance = found.next_runs[-1]
        return NextStep(
            "hard to tell",
            f"{a} looks cheaper than {b} ({sureness(found.p_cheaper)}), but even {most} more runs "
            f"of each would settle it only with {sureness(chance)}: choose by other things; "
            f"{worth}.",
        )
    return NextStep(
        "test more",
        f"Go on: about {runs} more run{'s' if runs > 1 else ''} of each, to the end of the edge, "
        f"would settle it four times in five; {worth}.",
    )


def sureness(p: float) -> str:
    """A probability in words that never claim certainty: ``84 %``, ``over 99 %``."""
    if p > 0.99:
        return "over 99 %"
    return "under 1 %" if p < 0.01 else f"{100 * p:.0f} %"


def _prior_weight(log_ratio: Floats) -> Floats:
    """Weights of draws by what was believed of the ratio before any run; they add up to 1."""
    squares = (log_ratio / _RATIO_SCALE) ** 2 / _RATIO_FREEDOM
    weight = (1.0 + squares) ** (-(_RATIO_FREEDOM + 1.0) / 2.0)
    normal: Floats = weight / weight.sum()
    return normal


def _quantiles(values: Floats, weight: Floats, shares: tuple[float, ...]) -> list[float]:
    order = np.argsort(values)
    reached = np.cumsum(weight[order])
    at = np.minimum(np.searchsorted(reached, np.array(shares) * reached[-1]), len(values) - 1)
    return [float(value) for value in values[order][at]]


def _chances_to_settle(
    a: CostDraws, b: CostDraws, gap: Floats, weight: Floats
) -> tuple[tuple[int, float], ...]:
    """For so many more lives of each drill, the share of futures in which they make the sign sure.

    A draw plays the truth and gives the lives; every draw is then weighed by how likely those
    lives are with it (importance sampling). New runs share no batch, and go to their end.
    """
    rng = np.random.default_rng(0)
    truths = rng.choice(len(gap), size=_FUTURES, p=weight)
    futures = [
        one.middle[truths, None]
        + one.scatter[truths, None] * rng.standard_normal((_FUTURES, _NEXT_RUNS[-1]))
        for one in (a, b)
    ]
    weighed = slice(None, _DRAWS_THEN)
    first = gap[weighed] > 0
    before = np.log(np.maximum(weight[weighed], 1e-300))[None, :]
    found = []
    for runs in _NEXT_RUNS:
        log_weight = before
        for one, lives in zip((a, b), futures, strict=True):
            log_weight = log_weight + _log_likelihood(
                lives[:, :runs], one.middle[weighed], one.scatter[weighed]
            )
        then = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
        p_first = then[:, first].sum(axis=1) / then.sum(axis=1)
        settled = (p_first >= SURE) | (p_first <= 1.0 - SURE)
        found.append((runs, float(settled.mean())))
    return tuple(found)


def _log_likelihood(lives: Floats, middle: Floats, scatter: Floats) -> Floats:
    """Of every future's log lives (rows) with every draw (columns), up to a constant."""
    runs = lives.shape[1]
    mean = lives.mean(axis=1)[:, None]
    square = ((lives - mean) ** 2).sum(axis=1)[:, None]
    far = square + runs * (mean - middle[None, :]) ** 2
    found: Floats = -runs * np.log(scatter)[None, :] - far / (2.0 * scatter[None, :] ** 2)
    return found


def _paired(one: DrillEvidence, other: DrillEvidence) -> int:
    """Batches or machines in which both drills have run."""
    mine, theirs = Counter(one.edges.shared), Counter(other.edges.shared)
    return sum(1 for name in mine if name and name in theirs)

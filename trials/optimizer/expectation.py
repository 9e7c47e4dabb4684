"""What is expected of cutting data, in money and as an answer in plain Python values."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import log_ndtr, ndtr, ndtri

from trials.economics import cost_per_hole
from trials.model import CuttingData
from trials.optimizer.belief import Belief, Log, Outlook
from trials.optimizer.candidates import hard_load_limit_pct
from trials.optimizer.gaussian import Floats
from trials.optimizer.problem import Problem
from trials.optimizer.suggestion import Estimate, Suggestion

# Half width of a 90 % interval in standard deviations; one edge in twenty passes each side.
Z90 = 1.6449
# Where cutting data are compared, this share counts of what cliffs are believed to cost: edges fail
# beyond bad luck as often where little of it is believed as where much is, so half of what is
# believed of single places is noise. What is said of cutting data counts all of it.
_CLIFFS_COUNT = 0.5


@dataclass(frozen=True, slots=True)
class Money:
    """Cost per hole = ``per_hole`` + ``per_edge`` / holes to wear; arrays over cutting data.

    ``per_edge`` is expected over all ends. ``without_cliff`` leaves out what may fail because it is
    too harsh and keeps bad luck; ``when_worn`` is that of an edge that fails by neither.
    """

    per_hole: Floats
    per_edge: Floats
    without_cliff: float
    when_worn: float

    def at(self, log_life: Floats, per_edge: Floats | float | None = None) -> Floats:
        """Cost per hole when edges last this long; ``per_edge`` in place of the expected one."""
        edge = self.per_edge if per_edge is None else per_edge
        result: Floats = self.per_hole + edge * np.exp(-log_life)
        return result

    def weighed(self, per_edge: Floats) -> Floats:
        """What edges cost where cutting data are compared: cliffs count in part."""
        result: Floats = self.without_cliff + _CLIFFS_COUNT * (per_edge - self.without_cliff)
        return result

    def to_compare(self) -> Money:
        """The same for comparing cutting data."""
        return replace(self, per_edge=self.weighed(self.per_edge))

    def expected(self, life: Log) -> Floats:
        """Expected cost per hole over what is not known about the life."""
        return self.at(life.mean - 0.5 * life.known_sd**2)


def money(problem: Problem, outlook: Outlook) -> Money:
    """The cost formula of `trials.economics` at many cutting data, risk of breaking included.

    That formula is a straight line in the cycle time, in the share of edges that break and in
    1 / holes; so two values of each give all of it, whatever parts it has.
    """
    economics = problem.economics

    def endless(cycle_min: float) -> float:
        return cost_per_hole(economics, cycle_min, math.inf).total

    per_minute = endless(2.0) - endless(1.0)
    whole, breaking = edge_and_breakage(problem)
    failing = outlook.failing
    lucky = (whole + breaking * failing.luck_breaks) / (1.0 - 0.5 * failing.luck)
    return Money(
        per_hole=endless(1.0) + per_minute * (np.exp(outlook.cycle.mean) - 1.0),
        per_edge=whole * failing.edges + breaking * failing.breaks,
        without_cliff=lucky,
        when_worn=whole,
    )


def edge_and_breakage(problem: Problem) -> tuple[float, float]:
    """What one edge costs that is worn at last, and what a broken one costs beyond that."""
    economics = problem.economics

    def edge(breaking_share: float) -> float:
        endless = cost_per_hole(economics, 1.0, math.inf).total
        return cost_per_hole(economics, 1.0, 1.0, breaking_share).total - endless

    return edge(0.0), edge(1.0) - edge(0.0)


def high_load_pct(outlook: Outlook, sure: float = 0.95) -> Floats:
    """Worn peak load that an edge stays below with this probability.

    Never below what runs have shown there.
    """
    z = float(ndtri(sure))
    expected = np.exp(outlook.worn.mean + z * outlook.worn.outcome_sd)
    result: Floats = np.maximum(expected, outlook.shown_pct)
    return result


def p_safe(problem: Problem, outlook: Outlook, by: float = 0.0) -> Floats:
    """Probability that the worn peak load of the next edge stays ``by`` (log) below the limit."""
    room = math.log(hard_load_limit_pct(problem)) - by - outlook.worn.mean
    result: Floats = ndtr(room / outlook.worn.outcome_sd)
    return result


def log_expected_improvement(
    money: Money, life: Log, target: float, told: Floats | float = 1.0
) -> Floats:
    """Logarithm of E[max(0, target − a − b·e^(−f))] for a normal f, one value a candidate.

    a is ``per_hole`` and b is ``without_cliff``: what it saves unless a cliff is found.

    With K = target − a, µ = ln b − mean and s the part of the doubt about f that one test takes
    away, s = known² / √(known² + scatter²) · √told (``told`` is what a test that is stopped takes
    of it), it is K·Φ(d) − e^(µ+s²/2)·Φ(d − s) at d = (ln K − µ)/s:
    the price of a put. Where K ≤ 0 no life is long enough, and the nearest to it goes first.
    Source: expected improvement as in Jones, Schonlau and Welch 1998, with the lognormal integral
    of Black and Scholes 1973.
    """
    known = np.maximum(life.known_sd, 1e-6)
    s = np.maximum(known**2 / np.hypot(known, life.scatter_sd) * np.sqrt(told), 1e-9)
    mu = np.log(np.maximum(money.without_cliff, 1e-300)) - life.mean
    room = target - money.per_hole
    log_room = np.log(np.maximum(room, 1e-300))
    d = (log_room - mu) / s
    first = log_room + log_ndtr(d)
    second = mu + 0.5 * s**2 + log_ndtr(d - s)
    share = np.minimum(second - first, -1e-12)
    result: Floats = np.where(room > 0, first + np.log(-np.expm1(share)), -1e6 + room / target)
    return result


def describe(problem: Problem, belief: Belief, data: CuttingData) -> Suggestion:
    """Everything that is expected of one cutting data; value, price and reason are still blank."""
    outlook = belief.at([data])
    spending = money(problem, outlook)
    life = outlook.life
    median = float(spending.at(life.mean)[0])
    low = float(spending.at(life.mean + Z90 * life.outcome_sd, spending.when_worn)[0])
    # Cliffs are no part of the range: how long a worn edge lasts is. They count in the median.
    high = float(spending.at(life.mean - Z90 * life.outcome_sd, spending.without_cliff)[0])
    return Suggestion(
        cutting_data=_plain(data),
        holes=_estimate(life),
        load_fresh_pct=_estimate(outlook.fresh),
        load_worn_pct=_estimate(outlook.worn)._replace(high=float(high_load_pct(outlook)[0])),
        cycle_min=_estimate(outlook.cycle),
        cost_per_hole=Estimate(low, median, max(high, median)),
        p_safe=float(p_safe(problem, outlook)[0]),
        p_chip_or_break=float(outlook.failing.p_fail[0]),
        value=0.0,
        test_cost=0.0,
        why="",
        stop=False,
    )


def _estimate(log: Log) -> Estimate:
    mean, sd = float(log.mean[0]), float(log.outcome_sd[0])
    low, median, high = (math.exp(mean + sign * Z90 * sd) for sign in (-1.0, 0.0, 1.0))
    return Estimate(low, median, high)


def _plain(data: CuttingData) -> CuttingData:
    """The same values as Python floats, whatever kind of number the caller's own were."""
    return replace(
        data,
        speed_m_per_min=float(data.speed_m_per_min),
        feed_mm_per_rev=float(data.feed_mm_per_rev),
        peck_depth_xd=float(data.peck_depth_xd),
    )

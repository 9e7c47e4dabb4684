"""Stop now, or drill on: what more holes of a run cost, and what knowing more of it is worth.

Before drilling on, the cost of this run's cutting data is uncertain because its life is. After it
less is. Knowing more saves money only where it changes which cutting data production takes, so it
is worth the expected cost of the better choice made then, against that of the choice made now:
preposterior analysis of two alternatives, Raiffa and Schlaifer, Applied Statistical Decision
Theory, 1961, chapter 5 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from trials.economics import _formula
from trials.economics.cost import cost_per_hole
from trials.economics.difference import HOLES_OF_A_RECURRING_JOB
from trials.errors import require
from trials.model import Economics

_Z90 = 1.6448536269514722  # half of a 90 % range in standard deviations
_POINTS = 401


@dataclass(frozen=True, slots=True)
class DrillOn:
    """More holes of a run, weighed.

    Args:
        price: money for the holes and looks that are expected to be needed.
        low, high: cost per hole by what is known of the life now, 90 % range; ``high`` None where
            nothing bounds it.
        then_low, then_high: the same afterwards, about the same middle; None without an end now.
        worth: money that knowing more is expected to save over the holes to make; None where there
            is nothing to choose from, or no range now.
        rival: cost per hole of the best other cutting data; None without.
        pays: whether it is worth more than it costs; None where ``worth`` is.
    """

    price: float
    low: float | None
    high: float | None
    then_low: float | None
    then_high: float | None
    worth: float | None
    rival: float | None

    @property
    def pays(self) -> bool | None:
        """See above."""
        return None if self.worth is None else self.worth > self.price


def drill_on(
    economics: Economics,
    cycle_min: float,
    *,
    life_low: float,
    life_high: float | None,
    width_then: float,
    holes_expected: float,
    looks_expected: float,
    rival: float | None,
    holes_to_make: int | None,
) -> DrillOn:
    """Weigh more holes of a run.

    The edge is paid for whether it drills on or not, so drilling on costs machine time, coolant,
    what single bad holes scrap, and looks. Life is taken as lognormal over its 90 % range.

    Args:
        economics: money with this drill's price and regrinds.
        cycle_min: machine time of one hole.
        life_low, life_high: 90 % range of holes to wear now; ``life_high`` None where it has no
            end.
        width_then: expected factor between the ends of that range afterwards, 1 or more; infinite
            where there will be none.
        holes_expected, looks_expected: holes and looks that this takes on average.
        rival: cost per hole of the best other cutting data.
        holes_to_make: still to make; None for a job that keeps coming back, taken as 10,000.

    Raises:
        InputError: a number is not possible.
    """
    require(0 < cycle_min < 1e6, "cycle time of one hole", cycle_min, "more than 0 min")
    require(0 <= holes_expected < 1e9, "more holes", holes_expected, "0 or more")
    require(0 <= looks_expected < 1e9, "looks at the drill", looks_expected, "0 or more")
    require(width_then >= 1, "width of the range afterwards", width_then, "1 or more")
    require(life_low > 0 and (life_high is None or life_high >= life_low), "range of holes to wear",
            f"{life_low:g} to {life_high}", "more than 0, the lower one first")  # fmt: skip
    require(
        holes_to_make is None or holes_to_make >= 0, "holes to make", holes_to_make, "0 or more"
    )
    each = (
        economics.machine_rate_per_min * cycle_min
        + economics.coolant_per_min * cycle_min
        + economics.scrap_cost * economics.scrap_share
    )
    look = economics.machine_rate_per_min * economics.inspect_min
    price = each * holes_expected + look * looks_expected

    def cost(life: float) -> float:
        return cost_per_hole(economics, cycle_min, life).total

    high = cost(life_low)
    if life_high is None or not math.isfinite(life_high):
        return DrillOn(price, None, high, None, None, None, rival)
    middle = math.sqrt(life_low * life_high)
    now = math.log(life_high / life_low) / (2 * _Z90)
    then = min(math.log(width_then) / (2 * _Z90), now) if math.isfinite(width_then) else now
    then_low, then_high = (
        cost(middle * math.exp(_Z90 * then)),
        cost(middle * math.exp(-_Z90 * then)),
    )
    worth = None
    if rival is not None:
        to_make = HOLES_OF_A_RECURRING_JOB if holes_to_make is None else holes_to_make
        endless = cost(math.inf)
        edge = sum(_formula.money_of_a_life(economics, 0.0, 0.0, 0.0))
        learnt = math.sqrt(max(now**2 - then**2, 0.0))
        worth = to_make * _saved(endless, edge / middle, now, learnt, rival)
    return DrillOn(price, cost(life_high), high, then_low, then_high, worth, rival)


def _saved(endless: float, edge: float, now: float, learnt: float, rival: float) -> float:
    """Money a hole that choosing afterwards saves, on average, over choosing now.

    The cost is ``endless + edge·e^(−f)`` with f normal about 0 with deviation ``now``, of which
    the part ``learnt`` will be known.
    """
    without = min(endless + edge * math.exp(now**2 / 2.0), rival)
    if learnt == 0.0:
        return 0.0
    share = (np.arange(_POINTS) + 0.5) / _POINTS
    from scipy.special import ndtri

    seen = learnt * ndtri(share)
    expected = endless + edge * np.exp(-seen + (now**2 - learnt**2) / 2.0)
    return max(without - float(np.minimum(expected, rival).mean()), 0.0)

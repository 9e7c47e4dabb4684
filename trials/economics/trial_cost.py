"""What a trial itself costs: machine time, drills and mishaps of its runs."""

from __future__ import annotations

from dataclasses import dataclass

from trials.economics import _formula
from trials.economics.uncertain_cost import USUAL_LIMITS, beyond_regrind
from trials.errors import require
from trials.model import Economics, Run, WearLimits


@dataclass(frozen=True, slots=True)
class RunMoney:
    """Money that one run cost, in parts that add up; names as of `CostPerHole.parts`.

    Args:
        run: its number; holes: drilled in it; drill: name.
        parts: money; inspection is a look for each wear reading.
        currency: of it.
    """

    run: int
    drill: str
    holes: int
    parts: dict[str, float]
    currency: str

    @property
    def total(self) -> float:
        """All parts."""
        return sum(self.parts.values())


def money_of_a_run(
    run: Run, economics: Economics, cycle_min: float, limits: WearLimits = USUAL_LIMITS
) -> RunMoney:
    """What a run cost, its holes counted as if they were worth nothing.

    An edge that can be reground takes its share of the drill and its regrinds; one that cannot
    takes what is left of them: the price less what the edges before it have carried. Where test
    holes are made in good parts the trial costs less by what those holes would have cost anyway.

    Args:
        run: any run that has drilled.
        economics: money with this drill's price and regrinds.
        cycle_min: machine time of one hole.
        limits: what is still reground.

    Raises:
        InputError: the cycle time is not more than 0.
    """
    require(0 < cycle_min < 1e6, "cycle time of one hole", cycle_min, "more than 0 min")
    rate = economics.machine_rate_per_min
    share = _formula.money_of_a_life(economics, 0.0, 0.0, 0.0)[0]
    lasts = 1.0 - economics.life_lost_per_regrind
    drill = share * lasts**run.regrinds_done
    if beyond_regrind(run, limits):
        carried = sum(share * lasts**k for k in range(run.regrinds_done))
        paid = economics.drill_price + run.regrinds_done * economics.regrind_cost
        drill = max(paid - carried, 0.0)
    looks = len({reading.hole for reading in run.wear})
    parts = {
        "machine": rate * cycle_min * run.holes,
        "drill": drill,
        "change": rate * economics.tool_change_min,
        "inspection": rate * economics.inspect_min * looks,
        "coolant": economics.coolant_per_min * cycle_min * run.holes,
        "breakage": economics.breakage_cost if run.end == "broken" else 0.0,
        "scrap": economics.scrap_cost if run.end == "out_of_tolerance" else 0.0,
    }
    return RunMoney(run.number, run.drill, run.holes, parts, economics.currency)

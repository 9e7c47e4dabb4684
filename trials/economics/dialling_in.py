"""Whether finding better cutting data pays for itself, and after how many holes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trials.economics.difference import sureness
from trials.economics.uncertain_cost import DrillEvidence, draw_costs, interval
from trials.errors import require

_DRAWS = 1600


@dataclass(frozen=True, slots=True)
class DiallingIn:
    """Whether finding better cutting data pays for itself.

    Args:
        drill: its name.
        price: money for the tests.
        before, after: money a hole at the first cutting data and at the best.
        saving, low, high: money a hole saved: middle and 90 % interval; below 0 it costs more.
        break_even: holes after which the tests are paid; None when nothing is saved.
        p_pays: probability that they pay in this run; None for a job that keeps coming back.
        why: one sentence.
    """

    drill: str
    price: float
    before: float
    after: float
    saving: float
    low: float
    high: float
    break_even: int | None
    p_pays: float | None
    why: str


def dialling_in(
    first: DrillEvidence, best: DrillEvidence, price: float, holes: int | None, *, seed: int = 0
) -> DiallingIn:
    """Compare the first cutting data of a drill with its best, and with what the tests cost.

    Args:
        first, best: the drill at both.
        price: money for all of the tests.
        holes: holes of the run; None for a job that keeps coming back.
        seed: of the Monte Carlo.
    """
    require(price >= 0, "price of dialling in", price, "0 or more")
    before, after = first.cost().total, best.cost().total
    a, b = draw_costs([first, best], draws=_DRAWS, seed=seed)
    saved = a.total - b.total
    saving = before - after
    low, high = interval(saved, around=saving)
    even = math.ceil(price / saving) if saving > 0 else None
    pays = None if holes is None else float((saved * holes > price).mean())
    money = best.economics.currency
    if even is None:
        why = (
            f"{best.drill}: no better cutting data than the first were found; the tests cost "
            f"{price:.2f} {money}."
        )
    else:
        why = (
            f"{best.drill}: the tests cost {price:.2f} {money} and save {saving:.3f} {money} a "
            f"hole ({low:.3f} to {high:.3f}), so they are paid after about {even:,} holes."
        )
        if holes is not None and pays is not None:
            verb = "pays" if even <= holes else "does not pay"
            why += (
                f" For this run of {holes:,} holes dialling in {verb} (sure that it does: "
                f"{sureness(pays)})."
            )
    return DiallingIn(best.drill, price, before, after, saving, low, high, even, pays, why)

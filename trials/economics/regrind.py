"""Regrind or retire a drill: what the wear allows, and what pays.

Even wear can be reground up to about 0.5 mm (0.020 in), a chipped margin cannot: common practice,
no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trials.errors import require
from trials.model import Economics, End, WearLimits, WearReading

EVEN_WEAR_LIMIT_MM = 0.5
Action = Literal["regrind", "retire", "not due"]


@dataclass(frozen=True, slots=True)
class RegrindAdvice:
    """What to do with an edge.

    Args:
        action: regrind it, retire the drill, or go on drilling with it.
        allowed: whether the wear and the regrinds left allow a regrind.
        pays: whether a regrind is cheaper a hole than a new drill; None when it is not allowed or
            no life is known.
        next_edge, new_drill: money a hole for drill and change, reground now or bought new.
        regrinds_left: how often it could still be reground.
        best_regrinds: regrinds in a drill's life that cost least.
        rule, money: a sentence each: what the wear says, what the money says.
        currency: of the money.
    """

    action: Action
    allowed: bool
    pays: bool | None
    next_edge: float | None
    new_drill: float | None
    regrinds_left: int
    best_regrinds: int
    rule: str
    money: str
    currency: str


def best_regrinds(economics: Economics) -> int:
    """Number of regrinds, up to those allowed, at which drill and change cost least a hole.

    Costs a life: (price + k·regrind + (k + 1)·change) / Σ qʲ over j = 0…k, with q = 1 − life lost
    per regrind. The least of them; the fewer regrinds where two are the same.
    """
    change = economics.machine_rate_per_min * economics.tool_change_min
    lasts = 1.0 - economics.life_lost_per_regrind

    def cost(k: int) -> float:
        paid = economics.drill_price + k * economics.regrind_cost + (k + 1) * change
        return paid / sum(lasts**j for j in range(k + 1))

    return min(range(economics.regrinds + 1), key=cost)


def regrind_advice(
    economics: Economics,
    reading: WearReading | None,
    *,
    end: End | None = None,
    regrinds_done: int = 0,
    holes_per_edge: float | None = None,
    wear_limit_mm: float | WearLimits | None = None,
) -> RegrindAdvice:
    """Regrind, retire or keep drilling, by rule and by cost.

    By rule a broken drill, a chipped margin, wear beyond 0.5 mm (or what the limits say), and a
    drill whose regrinds are used up are retired. Where a regrind is allowed it pays while the
    next edge costs less a hole (regrind and change over its shorter life) than a new drill used
    at its best.

    Args:
        economics: money with the drill's price and regrinds.
        reading: the last look at the edge; None when nobody looked.
        end: how the run ended; None while it goes on.
        regrinds_done: how often this edge was reground before.
        holes_per_edge: life of a new edge, holes; None leaves the money to one life.
        wear_limit_mm: wear at which the edge is worn, or limits filled in for every kind of wear,
            with what is reground; below it an edge that runs, or was stopped early, goes on.

    Raises:
        InputError: a number is not possible.
    """
    require(0 <= regrinds_done <= 100, "regrinds done", regrinds_done, "0 to 100")
    require(holes_per_edge is None or holes_per_edge > 0, "holes per edge", holes_per_edge,
            "more than 0, or left out")  # fmt: skip
    limits = wear_limit_mm if isinstance(wear_limit_mm, WearLimits) else \
        WearLimits().filled(wear_limit_mm or EVEN_WEAR_LIMIT_MM)  # fmt: skip
    left = max(economics.regrinds - regrinds_done, 0)
    most = best_regrinds(economics)
    change = economics.machine_rate_per_min * economics.tool_change_min
    lasts = 1.0 - economics.life_lost_per_regrind
    life = holes_per_edge or 1.0
    next_edge = (economics.regrind_cost + change) / (life * lasts ** (regrinds_done + 1))
    paid = economics.drill_price + most * economics.regrind_cost + (most + 1) * change
    new_drill = paid / (life * sum(lasts**j for j in range(most + 1)))
    why_not = _refused(reading, end, left, limits)
    pays = next_edge <= new_drill
    unit = f"{economics.currency} a hole" if holes_per_edge else f"{economics.currency} a life"
    digits = 3 if holes_per_edge else 2
    compared = (
        f"Reground, drill and change cost {next_edge:.{digits}f} {unit}, new {new_drill:.{digits}f}"
    )
    if end in (None, "stopped") and why_not is None and wear_limit_mm is not None and \
            _still_good(reading, limits):  # fmt: skip
        return RegrindAdvice(
            "not due", True, pays, next_edge, new_drill, left, most,
            "The wear is below its limit, so neither is due yet.", f"{compared}.",
            economics.currency,
        )  # fmt: skip
    if why_not is not None:
        lost = "" if left == 0 else f" {left} regrind{'s' if left > 1 else ''} are lost with it."
        return RegrindAdvice(
            "retire", False, None, None, new_drill, left, most, why_not,
            f"A new drill costs {new_drill:.{digits}f} {unit} for drill and change.{lost}",
            economics.currency,
        )  # fmt: skip
    rule = "Even wear within what can be reground" if reading is not None else \
        "Nobody looked at this edge: look before it is sent off"  # fmt: skip
    return RegrindAdvice(
        "regrind" if pays else "retire", True, pays, next_edge, new_drill, left, most,
        f"{rule}; {left} regrind{'s' if left != 1 else ''} left.",
        f"{compared}: {'the regrind pays' if pays else 'a new drill is cheaper'}.",
        economics.currency,
    )  # fmt: skip


def _refused(
    reading: WearReading | None, end: End | None, left: int, limits: WearLimits
) -> str | None:
    """Why the edge cannot be reground; None when it can."""
    if end == "broken":
        return "It broke: retire it."
    margin = 0.0 if reading is None else reading.margin_chipping_mm or 0.0
    if margin > limits.regrind_margin_mm:
        most = limits.regrind_margin_mm
        rule = f"more than {most:g} mm" if most else "a chipped margin"
        return f"The margin is chipped by {margin:g} mm, and {rule} cannot be reground: retire it."
    worn = [] if reading is None else [
        reading.vb_average_mm, reading.vb_maximum_mm, reading.corner_chipping_mm
    ]  # fmt: skip
    largest = max((value for value in worn if value is not None), default=0.0)
    if largest > limits.regrind_mm:
        return (
            f"Wear or chipping of {largest:g} mm is beyond the {limits.regrind_mm:g} mm that are "
            "reground: retire it, or ask the one who regrinds."
        )
    if end == "chipped" and (reading is None or not (reading.corner_chipping_mm or margin)):
        return (
            "It chipped, and no reading says that only the corner did; a chipped margin cannot be "
            "reground: look again, else retire it."
        )
    if left == 0:
        return "Its regrinds are used up: retire it."
    return None


def _still_good(reading: WearReading | None, limits: WearLimits) -> bool:
    """Whether every kind of wear that was read is below its limit."""
    pairs = [] if reading is None else [
        (reading.vb_average_mm, limits.vb_average_mm),
        (reading.vb_maximum_mm, limits.vb_maximum_mm),
        (reading.corner_chipping_mm, limits.corner_chipping_mm),
        (reading.margin_chipping_mm, limits.margin_chipping_mm),
    ]  # fmt: skip
    read = [(value, limit) for value, limit in pairs if value is not None]
    return bool(read) and all(value < (limit or 0.0) for value, limit in read)

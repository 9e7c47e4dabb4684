"""What time, drills and mistakes cost."""

from __future__ import annotations

import re
from dataclasses import dataclass

from trials.errors import require


@dataclass(frozen=True, slots=True)
class Economics:
    """Money of a trial, all in one currency.

    Args:
        machine_rate_per_min: machine and operator, money per minute.
        tool_change_min: time to change the drill once, min.
        drill_price: price of one new drill.
        regrinds: how often a drill is reground before it is thrown away.
        regrind_cost: price of one regrind.
        breakage_cost: what a broken drill costs beside the drill: scrap, stop, digging it out.
        inspect_every_holes: look at the drill after so many holes; 0 for never.
        inspect_min: time of one look, min.
        currency: ISO 4217 code.
    """

    machine_rate_per_min: float
    tool_change_min: float = 1.0
    drill_price: float = 0.0
    regrinds: int = 0
    regrind_cost: float = 0.0
    breakage_cost: float = 0.0
    inspect_every_holes: int = 0
    inspect_min: float = 0.0
    currency: str = "EUR"

    def __post_init__(self) -> None:
        for what, value in (
            ("machine rate", self.machine_rate_per_min),
            ("drill change time", self.tool_change_min),
            ("price of the drill", self.drill_price),
            ("regrinds", self.regrinds),
            ("cost of a regrind", self.regrind_cost),
            ("cost of a breakage", self.breakage_cost),
            ("holes between looks at the drill", self.inspect_every_holes),
            ("time of one look", self.inspect_min),
        ):
            require(0 <= value < 1e9, what, value, "0 or more, and finite")
        require(re.fullmatch(r"[A-Z]{3}", self.currency) is not None, "currency", self.currency,
                "an ISO 4217 code of three capital letters, such as EUR")  # fmt: skip

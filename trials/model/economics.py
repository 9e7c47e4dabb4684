"""What time, drills and mistakes cost."""

from __future__ import annotations

import re
from dataclasses import dataclass

from trials.errors import require

NO_CURRENCY = "XXX"  # ISO 4217: no currency is involved; prices were left out by a sender


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
            A broken drill is never reground.
        inspect_every_holes: look at the drill after so many holes; 0 for never.
        inspect_min: time of one look, min.
        currency: ISO 4217 code.
        coolant_per_min: coolant and its care, money per minute of drilling.
        scrap_cost: what a part costs that one bad hole scraps.
        scrap_share: share of holes that are bad without any warning, 0 to 1. An edge that ends out
            of tolerance scraps one part more.
        life_lost_per_regrind: share of the life that each regrind takes, from 0 up to but not 1.
            The default 0 takes a reground edge for as good as a new one, which only a good regrind
            with its coating renewed is; where yours last shorter, say so here.
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
    coolant_per_min: float = 0.0
    scrap_cost: float = 0.0
    scrap_share: float = 0.0
    life_lost_per_regrind: float = 0.0

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
            ("coolant per minute", self.coolant_per_min),
            ("cost of a scrapped part", self.scrap_cost),
        ):
            require(0 <= value < 1e9, what, value, "0 or more, and finite")
        for what, value in (
            ("regrinds", self.regrinds),
            ("holes between looks at the drill", self.inspect_every_holes),
        ):
            require(value == int(value), what, value, "a whole number")
        require(0 <= self.scrap_share <= 1, "share of holes that scrap a part", self.scrap_share,
                "0 to 1")  # fmt: skip
        require(0 <= self.life_lost_per_regrind < 1, "life lost per regrind",
                self.life_lost_per_regrind, "0 up to but not 1")  # fmt: skip
        require(re.fullmatch(r"[A-Z]{3}", self.currency) is not None, "currency", self.currency,
                "an ISO 4217 code of three capital letters, such as EUR")  # fmt: skip

"""A candidate drill as it is bought."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from trials.errors import require

Substrate = Literal["hss", "cobalt", "carbide"]
Coating = Literal["bright", "black_oxide", "TiN", "TiCN", "TiAlN"]


@dataclass(frozen=True, slots=True)
class Drill:
    """A kind of drill, with what decides its use and what it costs.

    Args:
        name: what the shop calls it; runs and comparisons refer to it by this name.
        diameter_mm: nominal diameter, mm.
        substrate: ``hss`` (high-speed steel), ``cobalt`` or ``carbide``.
        coating: ``bright``, ``black_oxide``, ``TiN``, ``TiCN`` or ``TiAlN``.
        point_angle_deg: full angle of the point, degrees.
        flute_length_mm: None when not known.
        through_coolant: coolant holes in the drill.
        price: price of one new drill in the trial's currency.
        regrinds: how many times it can be reground.
        regrind_cost: price of one regrind in the trial's currency.
        maker: who makes it, as the shop writes it.
        life_lost_per_regrind: share of the life that each regrind takes; see `Economics`.
    """

    name: str
    diameter_mm: float
    substrate: Substrate = "carbide"
    coating: Coating = "bright"
    point_angle_deg: float = 140.0
    flute_length_mm: float | None = None
    through_coolant: bool = False
    price: float = 0.0
    regrinds: int = 0
    regrind_cost: float = 0.0
    maker: str = ""
    life_lost_per_regrind: float = 0.0

    def __post_init__(self) -> None:
        require(bool(self.name.strip()), "name of the drill", self.name, "a name")
        require(0.05 <= self.diameter_mm <= 200, "drill diameter", self.diameter_mm,
                "0.05 to 200 mm")  # fmt: skip
        require(self.substrate in get_args(Substrate), "substrate", self.substrate,
                "one of " + ", ".join(get_args(Substrate)))  # fmt: skip
        require(self.coating in get_args(Coating), "coating", self.coating,
                "one of " + ", ".join(get_args(Coating)))  # fmt: skip
        require(60 <= self.point_angle_deg <= 180, "point angle", self.point_angle_deg,
                "60 to 180 degrees")  # fmt: skip
        require(self.flute_length_mm is None or self.flute_length_mm > 0, "flute length",
                self.flute_length_mm, "more than 0 mm, or left out")  # fmt: skip
        require(self.price >= 0, "price of the drill", self.price, "0 or more")
        require(0 <= self.regrinds <= 100, "regrinds", self.regrinds, "0 to 100")
        require(self.regrind_cost >= 0, "cost of a regrind", self.regrind_cost, "0 or more")
        require(0 <= self.life_lost_per_regrind < 1, "life lost per regrind",
                self.life_lost_per_regrind, "0 up to but not 1")  # fmt: skip

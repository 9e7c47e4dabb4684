"""A candidate drill as it is bought."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, get_args

from trials.errors import require
from trials.model.cutting_data import CuttingData

Substrate = Literal["hss", "cobalt", "carbide"]
Coating = Literal["bright", "black_oxide", "TiN", "TiCN", "TiAlN"]
Form = Literal["solid", "brazed", "indexable"]
LengthSeries = Literal["stub", "jobber", "long", "carbide_short", "carbide_long"]
LENGTH_SERIES: tuple[LengthSeries, ...] = get_args(LengthSeries)


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
        form: ``solid``, ``brazed`` (a tip soldered in or clamped on) or ``indexable`` (inserts).
        length: series of standard lengths, which gives the flute length where that is left out:
            ``stub`` (DIN 1897), ``jobber`` (DIN 338), ``long`` (DIN 340), ``carbide_short`` and
            ``carbide_long`` (DIN 6537).
        helix_deg: None when not known.
        self_centring: whether the point centres itself; None goes by the substrate.
        projection_mm: how far it stands out of its holder; None takes the flutes.
        tolerance: of its diameter, by ISO 286, such as ``h8``; empty takes h8.
        maker_speed_m_per_min, maker_feed_mm_per_rev: the maker's range for this work material,
            lowest and highest. What the maker says goes before the catalogue.
        maker_most_speed_m_per_min, maker_most_feed_mm_per_rev: what the maker forbids to pass. The
            range above recommends; these two bind.
        maker_depth_xd: deepest hole in diameters that the maker allows.
        maker_coolant_bar: coolant pressure that the maker asks for.
        maker_hole_grade: IT grade of the hole that the maker promises, such as 9.
        expected_holes: holes that an edge is expected to last, from the maker or from experience.
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
    form: Form = "solid"
    length: LengthSeries | None = None
    helix_deg: float | None = None
    self_centring: bool | None = None
    projection_mm: float | None = None
    tolerance: str = ""
    maker_speed_m_per_min: tuple[float, float] | None = None
    maker_feed_mm_per_rev: tuple[float, float] | None = None
    maker_depth_xd: float | None = None
    maker_coolant_bar: float | None = None
    maker_hole_grade: int | None = None
    expected_holes: float | None = None
    maker_most_speed_m_per_min: float | None = None
    maker_most_feed_mm_per_rev: float | None = None

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
        require(self.flute_length_mm is None or 0 < self.flute_length_mm <= 5000, "flute length",
                self.flute_length_mm, "more than 0 and at most 5000 mm, or left out")  # fmt: skip
        require(0 <= self.price < 1e9, "price of the drill", self.price, "0 or more, and finite")
        require(0 <= self.regrinds <= 100, "regrinds", self.regrinds, "0 to 100")
        require(self.regrind_cost >= 0, "cost of a regrind", self.regrind_cost, "0 or more")
        require(0 <= self.life_lost_per_regrind < 1, "life lost per regrind",
                self.life_lost_per_regrind, "0 up to but not 1")  # fmt: skip
        self._check_shape()
        self._check_maker()

    def _check_shape(self) -> None:
        require(self.form in get_args(Form), "form of the drill", self.form,
                "one of " + ", ".join(get_args(Form)))  # fmt: skip
        require(self.length is None or self.length in LENGTH_SERIES, "length of the drill",
                self.length, "one of " + ", ".join(LENGTH_SERIES) + ", or left out")  # fmt: skip
        require(self.helix_deg is None or 0 <= self.helix_deg <= 60, "helix angle", self.helix_deg,
                "0 to 60 degrees, or left out")  # fmt: skip
        require(self.projection_mm is None or 0 < self.projection_mm <= 5000,
                "length out of the holder", self.projection_mm,
                "more than 0 and at most 5000 mm, or left out")  # fmt: skip
        require(re.fullmatch(r"([a-z]{1,2}\d{1,2})?", self.tolerance) is not None,
                "tolerance of the drill", self.tolerance,
                "small letters and a grade by ISO 286, such as h8, or left out")  # fmt: skip

    def forbidden(self, data: CuttingData) -> list[str]:
        """What of this cutting data the maker forbids, in words; empty when nothing."""
        found = []
        for what, value, most, unit in (
            ("speed", data.speed_m_per_min, self.maker_most_speed_m_per_min, "m/min"),
            ("feed", data.feed_mm_per_rev, self.maker_most_feed_mm_per_rev, "mm/rev"),
        ):
            if most is not None and value > most * (1 + 1e-9):
                found.append(
                    f"the {what} is {value:g} {unit}, and the maker of {self.name} forbids more "
                    f"than {most:g} {unit}"
                )
        return found

    def _check_maker(self) -> None:
        for what, span, most, unit in (
            ("maker's speed", self.maker_speed_m_per_min, 2000, "m/min"),
            ("maker's feed", self.maker_feed_mm_per_rev, 5, "mm/rev"),
        ):
            require(span is None or 0 < span[0] <= span[1] <= most, what,
                    None if span is None else f"{span[0]:g} to {span[1]:g}",
                    f"two values above 0 and at most {most} {unit}, the lower first")  # fmt: skip
        for what, value, limit, unit in (
            ("maker's highest speed", self.maker_most_speed_m_per_min, 2000, "m/min"),
            ("maker's highest feed", self.maker_most_feed_mm_per_rev, 5, "mm/rev"),
            ("maker's deepest hole", self.maker_depth_xd, 500, "diameters"),
            ("maker's coolant pressure", self.maker_coolant_bar, 1000, "bar"),
            ("holes that an edge is expected to last", self.expected_holes, 1e8, "holes"),
        ):
            require(value is None or 0 < value <= limit, what, value,
                    f"more than 0 and at most {limit:,.0f} {unit}, or left out")  # fmt: skip
        require(self.maker_hole_grade is None or 5 <= self.maker_hole_grade <= 14,
                "hole grade that the maker promises", self.maker_hole_grade,
                "an IT grade of 5 to 14, or left out")  # fmt: skip

"""The work: its material, and the hole that is wanted in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from trials.errors import require

IsoGroup = Literal["P", "M", "K", "N", "S", "H"]
Finish = Literal["drilled", "reamed"]
ISO_GROUPS: tuple[IsoGroup, ...] = get_args(IsoGroup)
ISO_GROUP_NAMES: dict[IsoGroup, str] = {
    "P": "steel",
    "M": "stainless steel",
    "K": "cast iron",
    "N": "non-ferrous metal",
    "S": "heat-resistant alloy or titanium",
    "H": "hardened material",
}


@dataclass(frozen=True, slots=True)
class Work:
    """Work material by ISO 513 application group.

    Args:
        material: what it says on the drawing.
        group: ISO 513 letter, one of P M K N S H.
        hardness_hb: Brinell hardness; None when not known.
        kc1_1_n_per_mm2: specific cutting force at 1 mm chip width and thickness, N/mm²; None
            takes the catalogue's editable default.
        mc: exponent of the specific cutting force; None takes the catalogue's.
        like: name of the catalogue's material that it is most like; empty takes the values for
            its whole group.
        kd: work material factor of the handbook formulas for thrust; None takes the catalogue's.
    """

    material: str
    group: IsoGroup
    hardness_hb: float | None = None
    kc1_1_n_per_mm2: float | None = None
    mc: float | None = None
    like: str = ""
    kd: float | None = None

    def __post_init__(self) -> None:
        require(bool(self.material.strip()), "work material", self.material, "a name")
        groups = ", ".join(f"{letter} ({name})" for letter, name in ISO_GROUP_NAMES.items())
        require(self.group in ISO_GROUPS, "ISO 513 group", self.group, f"one of {groups}")
        require(self.hardness_hb is None or 10 <= self.hardness_hb <= 800, "hardness",
                self.hardness_hb, "10 to 800 HB, or left out")  # fmt: skip
        require(self.kc1_1_n_per_mm2 is None or 50 <= self.kc1_1_n_per_mm2 <= 20_000,
                "specific cutting force kc1.1", self.kc1_1_n_per_mm2,
                "50 to 20,000 N/mm², or left out")  # fmt: skip
        require(self.mc is None or 0 <= self.mc < 1, "exponent mc", self.mc,
                "0 up to but not 1, or left out")  # fmt: skip
        require(len(self.like) <= 100, "catalogue material", self.like, "at most 100 characters")
        require(self.kd is None or 500 <= self.kd <= 200_000, "work material factor Kd", self.kd,
                "500 to 200,000, or left out")  # fmt: skip


@dataclass(frozen=True, slots=True)
class HoleFeature:
    """The hole that is wanted: diameter and depth in mm, through or blind, tolerance as drawn.

    ``depth_mm`` is the depth to the full diameter; the point goes deeper. ``finish`` says whether
    the tolerance is made by drilling alone or by reaming afterwards.
    """

    diameter_mm: float
    depth_mm: float
    through: bool = False
    tolerance: str = ""
    name: str = "hole"
    finish: Finish = "drilled"

    def __post_init__(self) -> None:
        require(0.05 <= self.diameter_mm <= 200, "hole diameter", self.diameter_mm,
                "0.05 to 200 mm")  # fmt: skip
        require(0 < self.depth_mm <= 5000, "hole depth", self.depth_mm,
                "more than 0 and at most 5000 mm")  # fmt: skip
        require(self.finish in get_args(Finish), "finish of the hole", self.finish,
                "one of " + ", ".join(get_args(Finish)))  # fmt: skip

    @property
    def depth_xd(self) -> float:
        """Depth in drill diameters."""
        return self.depth_mm / self.diameter_mm

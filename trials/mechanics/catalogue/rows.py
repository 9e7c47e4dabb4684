"""What the catalogue holds: one frozen row for each kind of thing, every value with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trials.model import Form, IsoGroup, Substrate


@dataclass(frozen=True, slots=True)
class Row:
    """Something in the catalogue.

    Args:
        key: what it is called by.
        sources: where each value comes from, by the name of the value.
    """

    key: str
    sources: Mapping[str, str]

    def source_of(self, value: str) -> str:
        """Where a value comes from: a standard, a book, "from memory", "common practice", …"""
        return self.sources[value]


@dataclass(frozen=True, slots=True)
class Material(Row):
    """A work material, or a whole ISO 513 group; what each value means: ``materials.toml``."""

    group: IsoGroup
    hardness_hb: tuple[float, float]
    kc1_1_n_per_mm2: float
    mc: float
    kd: float
    tough: bool
    helix_deg: tuple[float, float]
    point_deg: tuple[float, float]
    coolant: str
    speed_m_per_min: dict[Substrate, float]
    feed_per_diameter: dict[Substrate, float]
    life_m: dict[Substrate, float]
    aluminium: bool = False


@dataclass(frozen=True, slots=True)
class SubstrateRow(Row):
    """What a drill is made of; what each value means stands in ``drills.toml``."""

    name: str
    max_hardness_hb: float
    free_depth_xd: float
    free_depth_tough_xd: float
    deepest_plain_xd: float
    deepest_tough_xd: float
    deepest_xd: float
    self_centring: bool
    elastic_n_per_mm2: float
    hole_grade: int


@dataclass(frozen=True, slots=True)
class CoatingRow(Row):
    """What a drill is coated with."""

    name: str
    suits: tuple[IsoGroup, ...]
    bears: tuple[IsoGroup, ...]
    aluminium: bool
    life: float


@dataclass(frozen=True, slots=True)
class FormRow(Row):
    """How a drill is built."""

    name: str
    speed_share: float
    smallest_mm: float
    deepest_xd: float
    may_peck: bool
    through_only: bool
    hole_grade: int


@dataclass(frozen=True, slots=True)
class LengthRow(Row):
    """A series of standard lengths; rows of diameter up to, overall length, flute length, mm."""

    name: str
    from_mm: float
    rows: tuple[tuple[float, float, float], ...]

    def lengths_mm(self, diameter_mm: float) -> tuple[float, float] | None:
        """Overall and flute length at a diameter; None where the series has no such drill."""
        if diameter_mm < self.from_mm * (1 - 1e-9):
            return None
        for up_to, overall, flutes in self.rows:
            if diameter_mm <= up_to * (1 + 1e-9):
                return overall, flutes
        return None


@dataclass(frozen=True, slots=True)
class LengthRules(Row):
    """Limits of length and rigidity; see ``rules.toml``, as for the other rules."""

    flute_left_xd: float
    slender_xd: float
    slender_most_xd: float
    section: float
    buckling_margin: float


@dataclass(frozen=True, slots=True)
class EntryRules(Row):
    """Pilot hole and breakthrough."""

    pilot_from_xd: float
    pilot_depth_xd: float
    pilot_rpm: tuple[float, float]
    breakthrough_mm: float
    breakthrough_share: float


@dataclass(frozen=True, slots=True)
class DepthRules(Row):
    """Shares of speed and feed that are left from a depth on."""

    from_xd: tuple[float, ...]
    speed_share: tuple[float, ...]
    feed_share: tuple[float, ...]

    def shares(self, depth_xd: float) -> tuple[float, float]:
        """Shares of speed and feed at a depth in diameters."""
        left = (1.0, 1.0)
        for start, speed, feed in zip(self.from_xd, self.speed_share, self.feed_share, strict=True):
            if depth_xd >= start * (1 - 1e-9):
                left = speed, feed
        return left


@dataclass(frozen=True, slots=True)
class CoolantRules(Row):
    """Pressure for coolant through the drill."""

    from_mm: tuple[float, ...]
    bar: tuple[float, ...]

    def pressure_bar(self, diameter_mm: float) -> float:
        """Pressure for a diameter, bar."""
        return step_value(self.from_mm, self.bar, diameter_mm)


@dataclass(frozen=True, slots=True)
class ReamingRules(Row):
    """What reaming takes off and reaches."""

    from_mm: tuple[float, ...]
    allowance_mm: tuple[float, ...]
    finest_grade: int

    def allowance(self, diameter_mm: float) -> float:
        """Allowance on the diameter, mm."""
        return step_value(self.from_mm, self.allowance_mm, diameter_mm)


@dataclass(frozen=True, slots=True)
class SearchRules(Row):
    """Where a search goes from its start without a maker's range."""

    speed_low: float
    speed_high: float
    feed_low: float
    feed_high: float
    peck_depth_xd: tuple[float, float]


@dataclass(frozen=True, slots=True)
class TestRules(Row):
    """How a test is laid out, and how rough what is expected before it is."""

    __test__ = False  # not a test, whatever its name begins with

    looks: int
    edge_xd: float
    wall_xd: float
    least_wall_mm: float
    floor_mm: float
    life_factor: float
    own_life_factor: float
    dial_in_saves: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All of it.

    Args:
        materials: by name, and whole groups by their letter.
        substrates, coatings, forms, lengths: by the names that the model uses.
        length, entry, depth, coolant, reaming, search, test: limits of the rules.
        own: what a person's own file has changed, as ``materials.P.mc``.
    """

    materials: Mapping[str, Material]
    substrates: Mapping[str, SubstrateRow]
    coatings: Mapping[str, CoatingRow]
    forms: Mapping[Form, FormRow]
    lengths: Mapping[str, LengthRow]
    length: LengthRules
    entry: EntryRules
    depth: DepthRules
    coolant: CoolantRules
    reaming: ReamingRules
    search: SearchRules
    test: TestRules
    own: tuple[str, ...] = ()


def step_value(starts: tuple[float, ...], values: tuple[float, ...], at: float) -> float:
    """The value of the last step that begins at or below ``at``."""
    found = values[0]
    for start, value in zip(starts, values, strict=True):
        if at >= start * (1 - 1e-9):
            found = value
    return found

"""How long an edge may last before anything was tested: rough, and said to be."""

from __future__ import annotations

from dataclasses import dataclass

from trials.mechanics.catalogue import Catalogue, material_of, shipped_catalogue
from trials.mechanics.start import Start
from trials.model import Drill, HoleFeature, Work

# Coating that the catalogue's lives mean, by substrate; and what entries cost: from memory.
_MEANT_COATING = {"hss": "bright", "cobalt": "bright", "carbide": "TiAlN"}
_ENTRIES_POWER = -0.15


@dataclass(frozen=True, slots=True)
class RoughLife:
    """Holes that an edge may last.

    Args:
        low, middle, high: 90 % of edges at these cutting data are taken to lie between.
        factor: ``middle`` times and divided by it gives the ends.
        source: where it comes from.
    """

    low: float
    middle: float
    high: float
    factor: float
    source: str


def rough_life(
    drill: Drill, work: Work, hole: HoleFeature, start: Start, catalogue: Catalogue | None = None
) -> RoughLife | None:
    """Holes an edge may last at its first cutting data; None when nothing is known of it.

    What a person or the maker expects goes first; else the metres of hole of the catalogue over
    the depth, times the coating's share, less for every entry into the hole. All from memory.
    """
    catalogue = catalogue or shipped_catalogue()
    rules = catalogue.test
    if drill.expected_holes is not None:
        return _around(drill.expected_holes, rules.own_life_factor, "as expected for this drill")
    material = material_of(work, catalogue)
    metres = material.life_m.get(drill.substrate)
    if metres is None:
        return None
    holes = 1000.0 * metres / hole.depth_mm * start.time.pecks**_ENTRIES_POWER
    if work.group != "N":
        meant = catalogue.coatings[_MEANT_COATING[drill.substrate]].life
        holes *= catalogue.coatings[drill.coating].life / meant
    return _around(max(1.0, holes), rules.life_factor, f"catalogue, {material.source_of('life_m')}")


def _around(middle: float, factor: float, source: str) -> RoughLife:
    return RoughLife(middle / factor, middle, middle * factor, factor, source)

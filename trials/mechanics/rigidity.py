"""How far a drill stands out, and what thrust it bears before it buckles."""

from __future__ import annotations

import math

from trials.mechanics.catalogue import Catalogue, flute_length_mm, shipped_catalogue
from trials.model import Drill, HoleFeature

# Clamped in the holder and kept from wandering at the point: effective share of the length.
# Source: Euler's columns, as in any book on strength of materials.
_CLAMPED_AND_LED = 0.7


def needed_flutes_mm(hole: HoleFeature, diameter_mm: float, catalogue: Catalogue) -> float:
    """Flute length that reaches full depth and still lets chips out, mm."""
    return hole.depth_mm + catalogue.length.flute_left_xd * diameter_mm


def free_length_mm(drill: Drill, hole: HoleFeature, catalogue: Catalogue | None = None) -> float:
    """Length out of the holder, mm: as given, else the flutes, else what the hole needs."""
    if drill.projection_mm is not None:
        return drill.projection_mm
    catalogue = catalogue or shipped_catalogue()
    flutes = flute_length_mm(drill, catalogue)
    return needed_flutes_mm(hole, drill.diameter_mm, catalogue) if flutes is None else flutes


def buckling_thrust_n(drill: Drill, length_mm: float, catalogue: Catalogue | None = None) -> float:
    """Thrust in N at which a drill of this free length buckles: π²·E·I / (0.7·L)².

    I is a share of D⁴ (``rules.toml``: section, from memory). Source: Euler's columns.
    """
    catalogue = catalogue or shipped_catalogue()
    elastic = catalogue.substrates[drill.substrate].elastic_n_per_mm2
    if drill.form != "solid":
        elastic = catalogue.substrates["hss"].elastic_n_per_mm2  # a body of steel
    section = catalogue.length.section * drill.diameter_mm**4
    return math.pi**2 * elastic * section / (_CLAMPED_AND_LED * length_mm) ** 2


def thrust_borne_n(drill: Drill, hole: HoleFeature, catalogue: Catalogue | None = None) -> float:
    """Thrust in N that leaves the margin against buckling."""
    catalogue = catalogue or shipped_catalogue()
    length = free_length_mm(drill, hole, catalogue)
    return buckling_thrust_n(drill, length, catalogue) / catalogue.length.buckling_margin

"""Editable defaults with their sources, read once from the TOML files in this folder.

A shop's own file goes over them; see `read_catalogue`.
"""

from __future__ import annotations

import difflib
from dataclasses import replace
from functools import cache

from trials.errors import InputError
from trials.mechanics.catalogue.reading import read_catalogue
from trials.mechanics.catalogue.rows import (
    Catalogue,
    CoatingRow,
    FormRow,
    LengthRow,
    Material,
    Row,
    SubstrateRow,
)
from trials.model import ISO_GROUPS, Drill, IsoGroup, Work

__all__ = [
    "Catalogue",
    "CoatingRow",
    "FormRow",
    "LengthRow",
    "Material",
    "Row",
    "SubstrateRow",
    "cutting_force_values",
    "flute_length_mm",
    "material_defaults",
    "material_of",
    "no_such_length",
    "read_catalogue",
    "settled",
    "shipped_catalogue",
]


@cache
def shipped_catalogue() -> Catalogue:
    """The catalogue as it ships, without a shop's own file."""
    return read_catalogue()


def material_defaults(group: IsoGroup, catalogue: Catalogue | None = None) -> Material:
    """What is taken for a whole ISO 513 group.

    Raises:
        InputError: there is no such group.
    """
    found = (catalogue or shipped_catalogue()).materials
    if group not in ISO_GROUPS:
        raise InputError("ISO 513 group", got=group, allowed=", ".join(ISO_GROUPS))
    return found[group]


def material_of(work: Work, catalogue: Catalogue | None = None) -> Material:
    """The catalogue's material that a work is like, or its whole group.

    Raises:
        InputError: no material of that name, or it belongs to another group.
    """
    if not work.like:
        return material_defaults(work.group, catalogue)
    found = (catalogue or shipped_catalogue()).materials
    names = {name.casefold(): name for name in found}
    name = names.get(" ".join(work.like.casefold().split()))
    of_group = [key for key, one in found.items() if one.group == work.group and key != work.group]
    if name is None:
        near = difflib.get_close_matches(work.like.casefold(), names, n=1, cutoff=0.5)
        raise InputError(
            "catalogue material", got=work.like, allowed=f"in ISO {work.group}: "
            + ", ".join(of_group),
            do=f"Is {names[near[0]]} meant?" if near else None,
        )  # fmt: skip
    if found[name].group != work.group:
        raise InputError(
            f"catalogue material {name}", got=f"ISO {found[name].group}",
            allowed=f"one of ISO {work.group}, the group of the work: " + ", ".join(of_group),
            do="Change the group of the work, or name another material.",
        )  # fmt: skip
    return found[name]


def cutting_force_values(work: Work, catalogue: Catalogue | None = None) -> tuple[float, float]:
    """kc1.1 in N/mm² and mc of a work material: its own where given, else the catalogue's."""
    found = material_of(work, catalogue)
    kc1_1 = work.kc1_1_n_per_mm2 if work.kc1_1_n_per_mm2 is not None else found.kc1_1_n_per_mm2
    return kc1_1, work.mc if work.mc is not None else found.mc


def settled(work: Work, catalogue: Catalogue) -> Work:
    """The work with the forces of the catalogue's material written into it.

    So a trial keeps what it was begun with, also when the catalogue changes. Whole groups as they
    ship stay open: the search knows them, and knows how rough they are.
    """
    group_own = any(name.startswith(f"materials.{work.group}.") for name in catalogue.own)
    if not work.like and not group_own:
        return work
    found = material_of(work, catalogue)
    kc1_1, mc = cutting_force_values(work, catalogue)
    return replace(work, kc1_1_n_per_mm2=kc1_1, mc=mc, kd=found.kd if work.kd is None else work.kd)


def flute_length_mm(drill: Drill, catalogue: Catalogue | None = None) -> float | None:
    """Flute length of a drill: its own, else by its standard length; None when not known.

    Also None where the series has no drill of this diameter; see `no_such_length`.
    """
    if drill.flute_length_mm is not None or drill.length is None:
        return drill.flute_length_mm
    row = (catalogue or shipped_catalogue()).lengths[drill.length]
    lengths = row.lengths_mm(drill.diameter_mm)
    return None if lengths is None else lengths[1]


def no_such_length(drill: Drill, catalogue: Catalogue | None = None) -> str:
    """Which diameters the drill's series of lengths has, where its own is none; else empty."""
    if drill.flute_length_mm is not None or drill.length is None:
        return ""
    row = (catalogue or shipped_catalogue()).lengths[drill.length]
    if row.lengths_mm(drill.diameter_mm) is not None:
        return ""
    return f"{row.name} has {row.from_mm:g} mm to {row.rows[-1][0]:g} mm"

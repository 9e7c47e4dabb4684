"""Editable defaults with their sources, read once from the TOML files in this folder."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

from trials.errors import InputError
from trials.model import IsoGroup, Substrate, Work

SOURCE = "from memory of general workshop practice"


@dataclass(frozen=True, slots=True)
class MaterialDefaults:
    """Planning values of one ISO 513 group; what each means stands in ``materials.toml``."""

    kc1_1_n_per_mm2: float
    mc: float
    kd: float
    tough: bool
    speed_m_per_min: dict[Substrate, float]
    feed_per_diameter: dict[Substrate, float]


@cache
def _materials() -> dict[str, MaterialDefaults]:
    text = resources.files(__name__).joinpath("materials.toml").read_text(encoding="utf-8")
    return {group: MaterialDefaults(**values) for group, values in tomllib.loads(text).items()}


def material_defaults(group: IsoGroup) -> MaterialDefaults:
    """Defaults of an ISO 513 group.

    Raises:
        InputError: there is no such group.
    """
    try:
        return _materials()[group]
    except KeyError:
        raise InputError("ISO 513 group", got=group, allowed=", ".join(_materials())) from None


def cutting_force_values(work: Work) -> tuple[float, float]:
    """kc1.1 in N/mm² and mc of a work material: its own where given, else its group's."""
    defaults = material_defaults(work.group)
    kc1_1 = work.kc1_1_n_per_mm2 if work.kc1_1_n_per_mm2 is not None else defaults.kc1_1_n_per_mm2
    return kc1_1, work.mc if work.mc is not None else defaults.mc

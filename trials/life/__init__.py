"""How long an edge lasts: holes to wear of one run, and the lives of many with censoring."""

from trials.life.fit import LifeFit, LifeModel, fit_life
from trials.life.wear import HolesToWear, WearKind, holes_to_wear

__all__ = [
    "HolesToWear",
    "LifeFit",
    "LifeModel",
    "WearKind",
    "fit_life",
    "holes_to_wear",
]

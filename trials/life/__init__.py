"""How long an edge lasts: holes to wear of one run, and the lives of many with censoring.

From readings to production: wear curves and holes to wear of a run (`holes_to_wear`,
`fit_wear_curve`, `look_ahead`, `load_witness`), lives of many edges (`fit_life`, `kaplan_meier`,
`cumulative_incidence`), life against cutting data (`fit_tool_life`), and when to change
(`change_interval`). scipy is imported only where a function needs it.
"""

from trials.life._likelihood import LifeModel
from trials.life.change_interval import (
    AgeReplacement,
    ChangeInterval,
    RoundedInterval,
    age_replacement,
    change_interval,
    replacement_cost_per_hole,
    round_interval,
)
from trials.life.choice import ModelChoice, choose_model, fit_modes
from trials.life.fit import LifeFit, fit_life, fit_lives
from trials.life.lives import (
    Life,
    ended_at,
    ended_between,
    life_of_run,
    lives_of,
    stopped_at,
)
from trials.life.load_witness import LoadWitness, load_witness
from trials.life.look_ahead import LookAhead, look_ahead
from trials.life.pooled import SHARES, Pooled, PooledPoint, Share, SharedScatter, fit_pooled
from trials.life.pooled import span as span_of
from trials.life.projection import Projection, project
from trials.life.readings import KIND_NAMES, KINDS, Kind, Limit, Measure, WearPoint, wear_points
from trials.life.survival import (
    IncidenceStep,
    SurvivalStep,
    cumulative_incidence,
    kaplan_meier,
    share_lasting,
)
from trials.life.tool_life import LifeAt, ToolLifeEquation, ToolLifePoint, fit_tool_life
from trials.life.wear import HolesToWear, WearKind, holes_to_wear, kept_holes_to_wear
from trials.life.wear_curve import WearCurve, fit_wear_curve

__all__ = [
    "KINDS",
    "KIND_NAMES",
    "SHARES",
    "AgeReplacement",
    "ChangeInterval",
    "HolesToWear",
    "IncidenceStep",
    "Kind",
    "Life",
    "LifeAt",
    "LifeFit",
    "LifeModel",
    "Limit",
    "LoadWitness",
    "LookAhead",
    "Measure",
    "ModelChoice",
    "Pooled",
    "PooledPoint",
    "Projection",
    "RoundedInterval",
    "Share",
    "SharedScatter",
    "SurvivalStep",
    "ToolLifeEquation",
    "ToolLifePoint",
    "WearCurve",
    "WearKind",
    "WearPoint",
    "age_replacement",
    "change_interval",
    "choose_model",
    "cumulative_incidence",
    "ended_at",
    "ended_between",
    "fit_life",
    "fit_lives",
    "fit_modes",
    "fit_pooled",
    "fit_tool_life",
    "fit_wear_curve",
    "holes_to_wear",
    "kaplan_meier",
    "kept_holes_to_wear",
    "life_of_run",
    "lives_of",
    "load_witness",
    "look_ahead",
    "project",
    "replacement_cost_per_hole",
    "round_interval",
    "share_lasting",
    "span_of",
    "stopped_at",
    "wear_points",
]

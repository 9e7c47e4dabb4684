"""Frozen, validated values: what the job is about. A bad value cannot exist."""

from trials.model.cautions import CAUTIONS
from trials.model.cutting_data import PECK_MODES, CuttingData, ExpectedHole, PeckMode
from trials.model.drill import LENGTH_SERIES, Coating, Drill, Form, LengthSeries, Substrate
from trials.model.economics import NO_CURRENCY, Economics
from trials.model.like_jobs import LikeJobs
from trials.model.machine import Machine
from trials.model.photo import Line, Photo, check_scale, length_on, scale_of
from trials.model.run import END_MEANS, ENDS, End, Origin, Run, RunState, WearReading
from trials.model.shop import ShopSettings
from trials.model.trial import Bounds, DrillStart, Overrule, Trial
from trials.model.wear_limits import WearLimits
from trials.model.work import ISO_GROUP_NAMES, ISO_GROUPS, Finish, HoleFeature, IsoGroup, Work

__all__ = [
    "CAUTIONS",
    "ENDS",
    "END_MEANS",
    "ISO_GROUPS",
    "ISO_GROUP_NAMES",
    "LENGTH_SERIES",
    "NO_CURRENCY",
    "PECK_MODES",
    "Bounds",
    "Coating",
    "CuttingData",
    "Drill",
    "DrillStart",
    "Economics",
    "End",
    "ExpectedHole",
    "Finish",
    "Form",
    "HoleFeature",
    "IsoGroup",
    "LengthSeries",
    "LikeJobs",
    "Line",
    "Machine",
    "Origin",
    "Overrule",
    "PeckMode",
    "Photo",
    "Run",
    "RunState",
    "ShopSettings",
    "Substrate",
    "Trial",
    "WearLimits",
    "WearReading",
    "Work",
    "check_scale",
    "length_on",
    "scale_of",
]

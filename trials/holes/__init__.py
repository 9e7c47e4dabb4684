"""Samples to holes and pecks, live and in bulk, by one algorithm; what a person mends in them."""

from trials.holes.edits import (
    BY_HAND_MEANS,
    EDIT_KINDS,
    Edited,
    EditKind,
    HoleEdit,
    add_hole,
    apply_edits,
    drop_hole,
    hole_from_plain,
    hole_to_plain,
    holes_of,
    look_at,
    merge_holes,
    split_hole,
)
from trials.holes.finder import HoleFinder, find_holes, frame_of, to_frame
from trials.holes.hole import COLUMNS, FLAG_MEANS, Hole
from trials.holes.stretch import measure_stretch, peck_marks, split_place
from trials.holes.trend import (
    LEAST_HOLES,
    TREND_FEATURES,
    Change,
    FeatureTrend,
    feature_trend,
    feature_trends,
    newest_change,
)

__all__ = [
    "BY_HAND_MEANS",
    "COLUMNS",
    "EDIT_KINDS",
    "FLAG_MEANS",
    "LEAST_HOLES",
    "TREND_FEATURES",
    "Change",
    "EditKind",
    "Edited",
    "FeatureTrend",
    "Hole",
    "HoleEdit",
    "HoleFinder",
    "add_hole",
    "apply_edits",
    "drop_hole",
    "feature_trend",
    "feature_trends",
    "find_holes",
    "frame_of",
    "hole_from_plain",
    "hole_to_plain",
    "holes_of",
    "look_at",
    "measure_stretch",
    "merge_holes",
    "newest_change",
    "peck_marks",
    "split_hole",
    "split_place",
    "to_frame",
]

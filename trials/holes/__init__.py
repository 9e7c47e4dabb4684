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
from trials.holes.finder import HoleFinder, find_holes, to_frame
from trials.holes.hole import COLUMNS, FLAG_MEANS, Hole
from trials.holes.stretch import measure_stretch, peck_marks, split_place

__all__ = [
    "BY_HAND_MEANS",
    "COLUMNS",
    "EDIT_KINDS",
    "FLAG_MEANS",
    "EditKind",
    "Edited",
    "Hole",
    "HoleEdit",
    "HoleFinder",
    "add_hole",
    "apply_edits",
    "drop_hole",
    "find_holes",
    "hole_from_plain",
    "hole_to_plain",
    "holes_of",
    "look_at",
    "measure_stretch",
    "merge_holes",
    "peck_marks",
    "split_hole",
    "split_place",
    "to_frame",
]

"""Samples to holes and pecks, live and in bulk, by one algorithm."""

from trials.holes.finder import HoleFinder, find_holes, to_frame
from trials.holes.hole import COLUMNS, FLAG_MEANS, Hole

__all__ = ["COLUMNS", "FLAG_MEANS", "Hole", "HoleFinder", "find_holes", "to_frame"]

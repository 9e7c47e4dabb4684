"""The table of holes has the columns that the finder gives."""

from trials.holes import COLUMNS
from trials.store import HOLE_COLUMNS


def test_holes_are_stored_with_all_of_their_figures() -> None:
    assert HOLE_COLUMNS == COLUMNS

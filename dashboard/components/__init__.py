"""Parts that pages are put together from: frame, tables, tiles, messages, figures."""

from dashboard.components.aria import SILENT, aria, data
from dashboard.components.figure import figure
from dashboard.components.message import cautions, command, empty_state, problem
from dashboard.components.runs_nav import runs_nav
from dashboard.components.table import Cell, end_cell, table
from dashboard.components.tile import quantity, tile, tiles

__all__ = [
    "SILENT",
    "Cell",
    "aria",
    "cautions",
    "command",
    "data",
    "empty_state",
    "end_cell",
    "figure",
    "problem",
    "quantity",
    "runs_nav",
    "table",
    "tile",
    "tiles",
]

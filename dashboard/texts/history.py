"""Words of the page of questions over all trials."""

from __future__ import annotations

TITLE = "History"
INTRO = (
    "Questions over all trials: which drill did best on jobs like this one, how lives scatter, and "
    "how costs went."
)
FORM = "Which jobs count"
GROUP = "ISO 513 group of the work"
ANY = "any"
MATERIAL = "Work material contains"
HARDNESS = "Hardness, HB"
DIAMETER = "Hole diameter"
DEPTH = "Depth, × D"
FROM = "{what}, from"
TO = "{what}, to"
KIND = "Trials"
KINDS = {"real": "real", "invented": "invented"}
CURRENCY = "Currency (empty: the one used most)"
ASK = "Ask"
HELP = "What is left empty does not matter. A length without a unit is in {unit}."
BEGUN = "The question begins with jobs like {trial}, where a run was ended last."
WORKING = "Looking through the trials…"
EMPTY_TITLE = "No run has ended yet for such jobs"
EMPTY = "Ask for more, or end a run: then its life and cost count here."
EMPTY_INVENTED = "There are invented trials; they are kept apart and can be asked for above."
THERE = "What there is"
THERE_COLUMNS = {"work": "Work", "diameter": "Diameter", "trials": "Trials", "runs": "Ended runs"}
COUNTS_TITLE = "What counts"
TILE_TRIALS = "Trials"
TILE_EDGES = "Ended runs"
TILE_ENDED = "Edges that came to their end"

DRILLS = "Which drill did best"
DRILLS_FIGURE_COST = "cost per hole, {currency} (90 % range)"
DRILLS_FIGURE_LIFE = "holes of the middle edge (90 % range)"
DRILLS_DEPTH = (
    "Each drill where it did best in each trial, for holes of {depth}, at today's prices; lives of "
    "stopped edges count as longer than they drilled."
)
DRILLS_DEPTH_NO_PRICES = (
    "Each drill where it did best in each trial, for holes of {depth}; lives of stopped edges "
    "count as longer than they drilled."
)
DRILL_COLUMNS = {
    "drill": "Drill",
    "edges": "Edges",
    "life": "Holes of the middle edge",
    "lasting": "9 of 10 edges last",
    "cost": "Cost per hole",
    "sure": "Dearer than the first",
    "data": "Newest cutting data",
}
EDGES = "{edges}; to the end: {ended}; trials: {trials}"
FIRST = "the first"

SCATTER = "How life scatters"
SCATTER_AXIS = "factor on life (90 % range)"
SCATTER_NAMES = {"edge": "edge to edge", "trial": "trial to trial", "batch": "batch to batch",
                 "machine": "machine to machine"}  # fmt: skip
SCATTER_COLUMNS = {"from": "From", "groups": "Of them", "factor": "Factor"}
EFFECTS = {
    "batch": "Batches: life against the middle",
    "machine": "Machines: life against the middle",
}
EFFECT_COLUMNS = {"name": "Name", "factor": "Life × "}

TREND = "Cost per hole by quarter"
TREND_COLUMNS = {"quarter": "Quarter", "edges": "Edges", "trials": "Trials",
                 "cost": "Cost per hole", "span": "90 % range"}  # fmt: skip

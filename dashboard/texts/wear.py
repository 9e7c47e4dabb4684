"""Wear of a run and life of a drill."""

from __future__ import annotations

WEAR_TITLE = "Wear and life"
WEAR_OF_RUN = "Run {number}, {drill}"
WEAR_RUNS = "Runs with holes"
WEAR_EMPTY_TITLE = "No run has drilled yet"
WEAR_EMPTY = (
    "Once a run has holes, look at its drill every so often and note what you see; this page then "
    "shows how it wears, whether to drill on, and how long such edges last:"
)
WEAR_EMPTY_COMMANDS = ("holewise wear {trial} --hole 40 --vb-average 0.08 --vb-maximum 0.12",)
WEAR_FIGURE = "Wear against holes"
WEAR_LIMIT = "Worn at {limit}."
WEAR_LIMITS = (
    "Worn at the first of VB average {average}, VB maximum {maximum}, corner chipping {corner}, "
    "margin chipping {margin}."
)
WEAR_ODD = "Hole {holes} lies far off the curve through the others: look again."
WEAR_NONE = "No wear has been read in run {number} yet."
WEAR_COLUMNS = {
    "hole": "Hole",
    "average": "VB average",
    "maximum": "VB maximum",
    "corner": "Corner",
    "margin": "Margin",
    "diameter": "Hole diameter",
    "curve": "Curve",
    "span": "90 % range",
}
REGRIND_TITLE = "Regrind or retire"
REGRIND_ACTIONS = {
    "regrind": "Regrind it.",
    "retire": "Retire it.",
    "not due": "Not due.",
}
DRILL_ON_WORKING = "Playing through what more holes would teach…"
DRILL_ON_TITLE = "Stop now, or drill on"
DRILL_ON_COLUMNS = {
    "more": "Holes more",
    "looks": "Looks",
    "expected": "Really drilled, on average",
    "worn": "Worn by then",
    "range": "Range of holes to wear, factor",
    "price": "Costs",
    "worth": "Worth",
}
DRILL_ON_FACTORS = "{now} → {then}"
DRILL_ON_OPEN = "open"
LIFE_WORKING = "Fitting the lives of this drill…"
LIFE_FIGURE = "How long edges of {drill} last"
LIFE_AT = "At {data}: {ended} of {edges} edges came to their end."
LIFE_HALF = "Half of the edges last {half} holes or more (90 % range {span})."
LIFE_NONE = "No run of {drill} has ended yet."
LIFE_ELSEWHERE = "No run has ended at this run's cutting data; these are the ones tried most."
LIFE_COLUMNS = {"run": "Run", "holes": "Holes", "end": "End"}
LIFE_MORE_THAN = "more than {holes}"
LIFE_BETWEEN = "{low} to {high}"
LIFE_BETWEEN_LOOKS = (
    "An edge whose end lies between two looks counts so in the fit; the steps show it where it was "
    "found."
)
LIFE_MIXED = "New and reground edges are mixed here; where regrinds cost life, judge them apart."
LIFE_SHARES_TITLE = "Edges that have ended by"
LIFE_SHARES = {0.1: "one in ten", 0.5: "half", 0.9: "nine in ten"}
LIFE_SHARE_COLUMNS = {
    "share": "Edges ended",
    "holes": "By hole",
    "span": "90 % range",
    "model": "Model",
}
LIFE_ENDS = "Ways to end, apart"
LIFE_END_COLUMNS = {
    "end": "End",
    "edges": "Edges",
    "share": "Share of all edges",
    "half": "Half by, as if alone",
}
LIFE_TOO_FEW = "not enough failures"
LIFE_EQUATION = "Holes against speed and feed"
LIFE_NO_INTERVAL = "No run has ended yet."
INTERVAL_TITLE = "Change interval for production"
INTERVAL_COSTS = "By the trial's prices a planned change costs {planned}, a failure {failure}."
INTERVAL_MORE = "With a risk that you choose, other costs, parts and shifts:"
COMMAND_INTERVAL = (
    "holewise interval {trial} --run {run} --risk '1 in 100' --holes-per-part 4 "
    "--parts-per-shift 60"
)

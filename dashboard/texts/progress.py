"""Progress of the search."""

from __future__ import annotations

PROGRESS_TITLE = "Progress of the search"
PROGRESS_FIGURE = "Cost per hole, run by run"
PROGRESS_EMPTY_TITLE = "No run has ended yet"
PROGRESS_EMPTY = "After the first ended run this page shows what each run's holes cost."
PROGRESS_BEST = "The cheapest so far is run {number} at {cost} a hole ({data})."
PROGRESS_NO_BEST = "No run has ended yet in a way that production could copy."
PROGRESS_GAIN = "That is {share} less than the first one that counts."
PROGRESS_EXPECTED = "Run {number} is expected to cost {span} a hole (90 % range)."
PROGRESS_NOTHING_EXPECTED = "No further run is suggested."
PROGRESS_UNSAFE = (
    "Runs that broke the drill or reached the load limit are shown, but never count as best."
)
PROGRESS_LOG_SCALE = "Costs lie far apart, so the scale goes up in ratios, not in even steps."
PROGRESS_LEGEND = "What the marks mean"
PROGRESS_LEGEND_BEST = "best so far"
PROGRESS_LEGEND_NEXT = "next run, expected (90 %)"
PROGRESS_BOUND = "By what is known, {cost} a hole is still possible."
MAP_FIGURE = "Expected cost over speed and feed"
MAP_SENTENCE = (
    "The star is what production should use now: {data}, expected to cost {cost} a hole ({span} by "
    "what is known). Crosses mark where a worn drill is not surely enough below the load limit; "
    "numbers are runs."
)
MAP_TABLE = "Along speed and along feed from the star"
MAP_COLUMNS = {
    "which": "along",
    "at": "value",
    "cost": "expected cost",
    "span": "90 % range by what is known",
    "safe": "safe",
}
MAP_SAFE, MAP_NOT_SAFE = "yes", "no"
MAP_BELIEFS = "What is believed there"
PROGRESS_TABLE = "The same in numbers"
PROGRESS_COLUMNS = {
    "number": "Run",
    "data": "Cutting data",
    "end": "End",
    "cost": "Cost per hole",
    "span": "90 % range",
    "best": "Best so far",
}

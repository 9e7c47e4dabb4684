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
PROGRESS_WORKING = "Working out what to expect of the next run…"
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
    "Lines join places of the same cost per hole, in {currency}; where the colour is strongest, "
    "holes are cheapest. The star is what production should use now: {data}, expected to cost "
    "{cost} a hole ({span} by what is known). Crosses mark where a worn drill is not surely enough "
    "below the load limit; numbers beside marks are runs."
)
MAP_TABLE = "The same in numbers, along speed and along feed"
MAP_COLUMNS = {
    "cost": "Expected cost per hole",
    "span": "90 % range by what is known",
    "load": "Worn peak load",
    "load_span": "Nine edges in ten",
    "safe": "Safe",
}
SEARCH_WORKING = "Working out what the search believes…"
ADVICE_TITLE = "Go on, or stop?"
ADVICE_GO_ON = "Go on: the next test costs {costs} and is expected to save {saves} over {over}."
ADVICE_STOP = (
    "Stop testing: the next test costs {costs} and is expected to save only {saves} over {over}."
)
ADVICE_HOLES = "{holes} holes still to make"
ADVICE_RECURRING = "a job that keeps coming back"
SLICE_SPEED_FIGURE = "How exactly must the speed be set?"
SLICE_FEED_FIGURE = "How exactly must the feed be set?"
SLICE_SPEED, SLICE_FEED = "Speed", "Feed"
SLICE_HERE = "★ {at}"
SLICE_AS_CHEAP = (
    "From {low} to {high} a hole is expected to cost at most 5 % more than at the star."
)
SLICE_TOO_MUCH = (
    "From {at} on, where the line is dotted, a worn drill is not surely enough below {limit} load, "
    "or the machine cannot do it."
)
SLICE_NOT_SAFE = (
    "{here} is the gentlest that is known, and still not surely enough below the limit."
)
SLICE_RUNS = "Runs with nearly the same other values: {runs}."
SLICE_NO_RUNS = "No run had nearly the same other values, so none is marked."
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

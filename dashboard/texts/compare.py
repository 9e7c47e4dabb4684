"""Drills compared."""

from __future__ import annotations

COMPARE_TITLE = "Drills compared"
COMPARE_EMPTY_TITLE = "Nothing to compare yet"
COMPARE_EMPTY = (
    "Drills are compared once an edge has come to its end. Let one wear out, look at it, and end "
    "its run; then this page shows what a hole costs with each drill, and how sure that is."
)
COMPARE_FIGURE = "Cost per hole of each drill"
COMPARE_COLUMNS = {
    "drill": "Drill",
    "runs": "Runs",
    "holes": "Holes an edge",
    "cost": "Cost per hole",
    "span": "90 % range",
    "verdict": "Verdict",
}
COMPARE_RUNS = "{runs}, {ended} to the end"
COMPARE_AT_MOST = "at most about {cost}"
COMPARE_VERDICTS = {
    "cheapest": "cheapest",
    "alone": "no other to compare with",
    "tie": "cannot be told apart",
    "dearer": "dearer",
    "not enough runs": "not enough runs",
}
COMPARE_SURE = "How sure"
COMPARE_PAIR = "{cheaper} against {dearer}"
COMPARE_PAIR_COLUMNS = {
    "pair": "Pair",
    "sure": "First is cheaper",
    "span": "By, per hole (90 %)",
    "shared": "Shared batches",
    "more": "More runs of each to settle it",
}
COMPARE_SETTLED = "settled"
COMPARE_OVER = "over 12"
COMPARE_ABOUT = "about {runs}"
RUN_SIZE_FIGURE = "Cost per hole against the size of the run"
RUN_SIZE_INSIDE = "What the tests have cost is inside, shared by the holes of the run."
RUN_SIZE_TABLE = "The same in numbers"
RUN_SIZE_HOLES = "Holes in the run"
RUN_SIZE_THIS = "{holes} (this run)"
RUN_SIZE_CHEAPEST = "Cheapest"
BREAKDOWN_FIGURE = "What a hole is paid for"
BREAKDOWN_SENTENCE = "{drill}: {cost} a hole; the largest part is {part} with {share}."
BREAKDOWN_PART = "Part"
BREAKDOWN_TOTAL = "Together"
COMPARE_WORKING = "Comparing the drills…"
COMPARE_WEAR = "Wear and life of {drill}"

"""The hand-over page and its card."""

from __future__ import annotations

NAV = "Hand-over"
TITLE = "Hand-over to production"
WORKING = "Putting the card together…"
DRILL = "Drill"
BY = "Handed over by"
PRICES = "On the card"
PRICES_CHOICES = {"with": "with prices", "without": "without prices"}
PRINT = "Print the card"
FILE = "Save as text (Markdown)"
FILE_NAME = "hand-over-{trial}.md"
SET = "Set this"
CHANGE = "Change the drill after"
CHANGE_NOTE = "19 edges of 20 last that long, by what is known"
HOLES = "{holes} holes"
LIMIT = "Load limit, never to be passed"
LIMIT_NOTE = "peak, of the spindle's rating"
WATCH = "Look at the drill when a peak passes"
WATCH_NOTE = "a worn drill is expected at {span}"
KNOWN = "What is expected"
KNOWN_COLUMNS = {"what": "", "middle": "Middle", "span": "90 % range"}
KNOWN_HOLES = "Holes to wear"
KNOWN_FRESH = "Peak load, fresh drill"
KNOWN_WORN = "Peak load, worn drill"
KNOWN_CYCLE = "Time of one hole"
KNOWN_COST = "Cost per hole"
WEAR = (
    "Worn at {limit}. Chance to stay under the load limit: {safe}; to chip or break first: "
    "{breaks}."
)
BOTH = "also {other}"
UNKNOWN = "What is not known"
NOTHING_UNKNOWN = "Nothing that this program can tell from its runs."
EDGES = "When to change, and how long the edges tried have lasted"
EDGES_SAID = (
    "Production changes the drill after {change} holes; {middle} are expected of an edge, in nine "
    "cases of ten {span}."
)
EDGES_EARLIER_NONE = "No edge that was tried here came to its end before that."
EDGES_EARLIER = "Of the edges tried, these came to their end before that: {runs}."
EDGES_EARLIER_RUN = "run {run} after {holes}"
EDGES_OTHER = "They were drilled with other cutting data than those above."
EDGES_COLUMNS = {
    "run": "Run",
    "speed": "Speed",
    "feed": "Feed",
    "pecking": "Pecking",
    "holes": "Holes",
    "end": "End",
}
CAUTIONS = "Cautions"
MADE = "Made {when} UTC{by} with {program} from {runs} of trial {trial}. Advice, not an order."
MADE_BY = " by {by}"
RUNS = "{ended} ended runs"
RUNS_ONE = "1 ended run"
UNTESTED = (
    "NOT TESTED: no run of this drill has ended. These numbers are a rule of thumb for a first "
    "test, not for production."
)
INVENTED = "INVENTED demonstration data: no real machine, drill or shop."

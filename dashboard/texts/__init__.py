"""Every sentence and label of the screens, so that they can be read, mended and translated.

Names in braces are filled in by `str.format`; what fills them is shown as text, never as markup.
"""

from __future__ import annotations

from trials import model

PROGRAM = "Holewise"
SKIP_TO_CONTENT = "Skip to the content"
NAV_TRIALS = "Trials"
UNITS_LABEL = "Units"
UNITS_METRIC = "mm"
UNITS_INCH = "inch"
DECIMAL_LABEL = "Decimal mark"
DECIMAL_POINT = "1.5"
DECIMAL_COMMA = "1,5"
LOADING = "Loading…"
NEEDS_SCRIPT = "These screens need JavaScript. Nothing is fetched from outside this machine."
PROBLEM_TITLE = "This page cannot be shown"
PROBLEM_UNEXPECTED = (
    "Something went wrong in the program, and nothing was changed. Load the page again; if it "
    "happens again, look at the messages where the dashboard was started."
)
PROBLEM_OTHER_SITE = "This request came from another site and was refused."

THROUGH = "through"
BLIND = "blind"
HOLE = "⌀ {diameter} × {depth} {kind}"
INVENTED = "Invented data"
INVENTED_LONG = "Invented data for trying things out: no real machine made them."

PECKING: dict[model.PeckMode, str] = {
    "none": "no pecking",
    "chip_break": "chip break",
    "full_retract": "full retract",
}
PECK_EVERY = "{mode} {depth_xd} × D ({depth})"
PECK_MODE_EVERY = "{mode}, {depth_xd} × D"

# --- trials -----------------------------------------------------------------------------------
TRIALS_TITLE = "Trials"
TRIALS_INTRO = "Each trial asks one question: which cutting data make this hole at the lowest cost?"
TRIALS_EMPTY_TITLE = "No trials yet"
TRIALS_EMPTY = (
    "A trial describes a machine, a hole and the drills that may make it. Fill in a trial file and "
    "begin it on the command line, or look around in an invented shop:"
)
TRIALS_EMPTY_COMMANDS = (
    "holewise trial template > trial.toml",
    "holewise trial new --file trial.toml",
    "holewise demo",
)
TRIALS_FOLDER = "Data folder: {folder}"
TRIALS_COLUMNS = {
    "name": "Trial",
    "material": "Material",
    "hole": "Hole",
    "drills": "Drills",
    "runs": "Runs ended",
    "best": "Best cost per hole",
}
TRIALS_RUNS = "{ended} of {runs}"
NOT_KNOWN_YET = "not known yet"

# --- one trial --------------------------------------------------------------------------------
TRIAL_OVERVIEW = "Trial"
TRIAL_LIVE = "At the machine"
TRIAL_HOLES = "Holes"
TRIAL_PROGRESS = "Progress"
TRIAL_COMPARE = "Drills compared"
TRIAL_WEAR = "Wear and life"
TRIAL_STANDS = "Where it stands"
TRIAL_TILE_BEST = "Best cost per hole"
TRIAL_TILE_BEST_RUN = "run {number}"
TRIAL_TILE_RUNS = "Runs ended"
TRIAL_TILE_LIMIT = "Load limit"
TRIAL_TILE_LIMITS_NOTE = "worn at {wear} · at most {holes} holes a test"
TRIAL_TILE_HOLES = "Holes drilled"
TRIAL_TILE_HOLES_NOTE = "in all runs of this trial"
TRIAL_TILE_JOB = "to make: {holes}"
TRIAL_TILE_JOB_OPEN = "a job that keeps coming back"

NEXT_TITLE = "What to do next"
NEXT_WORKING = "Working out the next suggestion…"
NEXT_SUGGESTION = "Next cutting data to test"
NEXT_STOP = "Stop testing"
NEXT_STOP_TEXT = (
    "Another test is expected to cost more than it can save. The cutting data to produce with, by "
    "what is known now:"
)
NEXT_STOP_STILL = "Test all the same"
USE_THIS = "Use this"
USE_THIS_DOES = (
    "Plans run {number} with drill {drill} and these cutting data. Nothing is sent to the machine."
)
USE_THIS_CHANGED = (
    "The suggestion has changed since you opened this page, because a run was added or mended "
    "meanwhile. Nothing was planned. Look at the new suggestion and choose again."
)
EXPECTED = "Expected, with 90 % ranges"
EXPECTED_COST = "Cost per hole"
EXPECTED_HOLES = "Holes to wear"
EXPECTED_LOAD = "Peak load, worn drill"
EXPECTED_SAFE = "Chance to stay under the load limit"
EXPECTED_LIMIT = "limit {limit}"
EXPECTED_BREAK = "chance to chip or break {share}"
WHY = "Why"
WORTH = "The test is expected to save {saves} over the holes still to make and costs {costs}."

PECKS = "Pecking"
SPINDLE_SPEED = "Spindle speed"
FEED_RATE = "Feed rate"
BREAKTHROUGH = "Feed rate for the last {length} of the hole"
DRILL = "Drill"
RPM = "{value}\u00a0/min"

PLANNED_TITLE = "Run {number} is planned: set this at the machine"
PLANNED_STEP_DRILL = "Put a fresh edge of drill {drill} in the spindle and set the data above."
PLANNED_STEP_LOG = (
    "Start recording the spindle load before the first hole. Source, format and map are those of "
    "your link (holewise doctor lists the ports), for example:"
)
PLANNED_STEP_WATCH = "Watch the load while you drill, on the page beside the machine."
RECORDING_TITLE = "Run {number} is being recorded"
RECORDING_TEXT = "Load, holes and alarm are on the page beside the machine."
DRILLED_TITLE = "Run {number} is drilled: look at the drill"
DRILLED_STEP_WEAR = "Measure the wear at the cutting edge and note it with the hole number:"
DRILLED_STEP_END = "If the drill is finished, or you stop here, end the run and say how:"
DRILLED_STEP_MORE = "Or go on drilling with the same edge: start recording again."
OPEN_LIVE = "Open the page beside the machine"
COMMAND_LOG = (
    "holewise log {trial} --run {number} --source tcp://machine:7878 "
    "--format key=value --map load=load,unit=%,time=t"
)
COMMAND_WEAR = "holewise wear {trial} --run {number} --hole {holes} --vb-maximum 0.12"
COMMAND_END = "holewise run end {trial} --run {number} --end worn"

CAUTIONS_TITLE = "Before you drill"
CAUTIONS = model.CAUTIONS

RUNS_TITLE = "Runs"
RUNS_EMPTY = "No runs yet. Use the suggestion above to plan the first one."
RUNS_COLUMNS = {
    "number": "Run",
    "drill": "Drill",
    "speed": "Speed",
    "feed": "Feed",
    "pecking": "Pecking",
    "holes": "Holes",
    "load": "Peak load, fresh → worn",
    "wear": "Wear",
    "end": "End",
    "cost": "Cost per hole",
}
RUNS_BEST = "best"
RUNS_LOAD = "{fresh}\u00a0→\u00a0{worn}"
RUNS_WEAR = "{wear} at hole {hole}"
RUN_STATES: dict[model.RunState, str] = {
    "planned": "planned",
    "recording": "being recorded",
    "drilled": "drilled, not ended",
    "ended": "ended",
}

# --- live -------------------------------------------------------------------------------------
LIVE_TITLE = "At the machine"
LIVE_EMPTY_TITLE = "Nothing is recorded yet"
LIVE_EMPTY = "This page fills by itself as soon as the recording starts:"
LIVE_EMPTY_PLAN = "Plan a run first: the trial's page says with which cutting data."
LIVE_EMPTY_GO = "To the trial"
LIVE_LOAD = "Spindle load now"
LIVE_NO_VALUE = "–"
LIVE_STALE_VALUE = "?"
LIVE_NOT_KNOWN = "not known"
LIVE_LAST_VALUE = "last value {load}, {age} ago"
LIVE_LIMIT = "limit {limit}"
LIVE_METER = "Spindle load {load}, limit {limit}"
LIVE_METER_UNKNOWN = "Spindle load not known"
LIVE_OK = "Load is below the limit"
LIVE_ALARM = "LOOK NOW"
LIVE_ALARM_TEXT = "{alarm}"
LIVE_STALE = "NO NEW VALUES"
LIVE_STALE_TEXT = "Check the cable, the machine and the recording."
LIVE_ENDED = "Recording has ended"
LIVE_ENDED_TEXT = "What stands here is the end of run {number}, not the machine now. {alarm}"
LIVE_SIGN_OK = "✓"
LIVE_SIGN_ALARM = "▲"
LIVE_SIGN_STALE = "?"
LIVE_SIGN_ENDED = "■"
LIVE_THIS_HOLE = "This hole"
LIVE_THIS_HOLE_NOW = "hole {number}"
LIVE_THIS_HOLE_NOTE = "{age}, peak {peak}"
LIVE_BETWEEN = "between holes"
LIVE_HOLES = "Holes so far"
LIVE_HOLES_NOTE = "at most {most} in this test"
LIVE_LAST_PEAK = "Last hole's peak"
LIVE_LAST_PEAK_NOTE = "{margin} below the limit"
LIVE_LAST_PEAK_OVER = "▲ {margin} OVER the limit"
LIVE_NO_HOLE = "no hole finished yet"
LIVE_LINK = "Link"
LIVE_LINK_NOTE = "newest value {age} old"
LIVE_TRACE = "Load, last minute"
LIVE_TRACE_NONE = "No value has come in yet."
LIVE_TRACE_TEXT = "Highest load shown: {high}; limit {limit}."
LIVE_TRACE_GAP = "Without values for {length}: {reason}."
LIVE_TREND = "Peak load, hole by hole"
LIVE_TREND_NONE = "No hole has been finished yet."
LIVE_TREND_FEW = "{holes} holes so far; a trend is told from six on."
LIVE_TREND_RISE = (
    "From hole {first_hole} to hole {last_hole} the peak has risen by {change} points, to {last}."
)
LIVE_TREND_FALL = (
    "From hole {first_hole} to hole {last_hole} the peak has fallen by {change} points, to {last}."
)
LIVE_HOLES_TITLE = "Newest holes"
LIVE_HOLES_COLUMNS = {
    "number": "Hole",
    "peak": "Peak load",
    "cut": "Cutting time",
    "pecks": "Pecks",
    "flags": "Remarks",
}
LIVE_NO_ANSWER = "NO ANSWER FROM THE DASHBOARD: what stands here is old"

# --- progress ---------------------------------------------------------------------------------
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

# --- holes of a run -----------------------------------------------------------------------------
HOLES_TITLE = "Holes of run {number}"
HOLES_RUNS = "Runs with a recording"
HOLES_RUN = "Run {number}"
HOLES_EMPTY_TITLE = "No run has a finished recording yet"
HOLES_EMPTY = (
    "Once a run was recorded or imported, this page shows every hole that was found, over the "
    "trace, and lets you mend what was counted wrong:"
)
HOLES_EMPTY_COMMANDS = ("holewise log {trial} --source …", "holewise import {trial} FILE.csv")
HOLES_FIGURE = "Load with the holes that were found"
HOLES_MOVE = "Go from hole to hole"
HOLES_FIRST = "First"
HOLES_PREVIOUS = "Previous"
HOLES_NEXT = "Next"
HOLES_LAST = "Last"
HOLES_LOOK = "Next to look at ({count})"
HOLES_NEARER = "Zoom in"
HOLES_FARTHER = "Zoom out"
HOLES_WHOLE = "Whole run"
HOLES_KEYS = (
    "With the keyboard: arrow keys, Home and End go from hole to hole, + and − zoom, while the "
    "focus is here. Drag the figure to move along."
)
HOLES_KEY_HOLE = "hole"
HOLES_KEY_LOOK = "to look at"
HOLES_KEY_IDLE = "idle level"
HOLES_KEY_PECK = "between pecks"
HOLES_SHOWN = "From {start} to {end} of the trace: {holes}; highest load {high}, limit {limit}."
HOLES_SHOWN_NONE = "no holes"
HOLES_SHOWN_ONE = "hole {first}"
HOLES_SHOWN_SOME = "holes {first} to {last}"
HOLES_SHOWN_LOOK = "To look at: {holes}."
HOLES_SHOWN_GAP = "Without values for {length}: {reason}."
HOLES_SHOWN_THIN = (
    "{samples} samples are drawn as {points} points; the highest and lowest of each group stay."
)
HOLES_TIME = "{value} s"
HOLES_TILE_HOLE = "Hole"
HOLES_TILE_OF = "of {holes}, at {start}"
HOLES_TILE_PEAK = "Peak load"
HOLES_TILE_PEAK_NOTE = "mean {mean}, idle {idle}"
HOLES_TILE_CUT = "Cutting time"
HOLES_TILE_PECKS = "pecks: {pecks}"
HOLES_TILE_SURE = "Sure of it"
HOLES_LOOK_WHY = "Look at this hole: {why}."
HOLES_TABLE = "Holes around it"
HOLES_COLUMNS = {
    "number": "Hole",
    "peak": "Peak load",
    "cut": "Cutting time",
    "pecks": "Pecks",
    "flags": "Remarks",
}
HOLES_CHOOSE = "Show hole {number}"
HOLES_MEND = "Mend what was counted wrong"
HOLES_MEND_TEXT = (
    "An edit lies on top of what was found and can be taken back. Holes, loads and cycle time of "
    "the run follow it."
)
HOLES_MERGE = "Merge with the next"
HOLES_SPLIT = "Split in two"
HOLES_DROP = "Drop"
HOLES_ADD = "Add a hole"
HOLES_UNDO = "Undo"
HOLES_REDO = "Redo"
HOLES_ASK_MERGE = "Holes {number} and {next} become one hole."
HOLES_ASK_SPLIT = "Hole {number} becomes two holes, parted at this time of the trace, in s:"
HOLES_ASK_DROP = "Hole {number} is left out: it is none."
HOLES_ASK_ADD = "A hole that was missed is added between these times of the trace, in s:"
HOLES_ASK_NOT = "Choose a hole first; this one has no next to merge with."
HOLES_SPLIT_AT = "Split at, s"
HOLES_ADD_START = "Starts at, s"
HOLES_ADD_END = "Ends at, s"
HOLES_WHO = "Who says so (kept with the edit)"
HOLES_CONFIRM = "Do it"
HOLES_CANCEL = "Cancel"
HOLES_DONE = "{said} Holes: {before} before, {now} now. {note}"
HOLES_NO_NUMBER = "Fill in the time, in seconds of the trace. Nothing was changed."
HOLES_EDITS = "What was mended"
HOLES_EDITS_NONE = "Nothing was mended in the holes of this run."
HOLES_EDITS_COLUMNS = {
    "number": "Edit",
    "text": "What",
    "by": "By",
    "when": "When (UTC)",
    "now": "Now",
}
HOLES_EDIT_HOLDS = "holds"
HOLES_EDIT_UNDONE = "taken back"
HOLES_EDIT_UNDONE_BY = "taken back by {who}"
HOLES_EDIT_NOT_KEPT = "left out: {reason}"
HOLES_BY_NOBODY = "dashboard"
HOLES_TRENDS = "Is the run steady?"
HOLES_PEAKS = "Peak load, hole by hole"
HOLES_TRENDS_COLUMNS = {
    "feature": "Feature",
    "verdict": "Verdict",
    "since": "Since hole",
    "change": "Change",
    "sure": "How sure",
}
HOLES_FEATURES = {
    "peak_pct": "Peak load",
    "mean_pct": "Mean load",
    "area_pct_s": "Area above idle",
    "cut_s": "Cutting time",
}
HOLES_SINCE = "{hole} ({low}–{high})"
HOLES_TOO_FEW = "too few holes ({holes})"
HOLES_STEADY_SLOPE = "{slope} in 100 holes"
HOLES_ALL_STEADY = "No feature has changed its way."
HOLES_ALL_TOO_FEW = "Too few holes to say; a trend is told from twelve on."
HOLES_CHANGED = "{feature}: {verdict} since hole {hole}. Have a look at the drill."

# --- drills compared ----------------------------------------------------------------------------
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

# --- wear and life ------------------------------------------------------------------------------
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

# --- addresses that lead nowhere ----------------------------------------------------------------
MISSING_TITLE = "There is no such page"
MISSING_TEXT = "The address may be mistyped, or the trial may be in another data folder."
MISSING_BACK = "Back to the trials"

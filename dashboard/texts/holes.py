"""The holes of a run and what can be mended."""

from __future__ import annotations

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
HOLES_SHOWN_CROWDED = (
    "Of so many holes only those to look at have a box; zoom in to see the others."
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
HOLES_TRENDS_WORKING = "Going through the holes…"
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

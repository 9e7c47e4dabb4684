"""The list of trials."""

from __future__ import annotations

TRIALS_TITLE = "Trials"
TRIALS_INTRO = "Each trial asks one question: which cutting data make this hole at the lowest cost?"
TRIALS_EMPTY_TITLE = "No trials yet"
TRIALS_EMPTY = (
    "Begin with the hole that you want to make cheaper: four short steps ask for the hole, the "
    "machine and the drills, and say which of them fit. Who prefers a file fills one in on the "
    "command line; the last line opens an invented shop to look around in:"
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
TRIALS_NEWEST = "These {shown} of {all} trials were changed last."
TRIALS_ALL = "Show all"
TRIALS_RUNS = "{ended} of {runs}"
NOT_KNOWN_YET = "not known yet"

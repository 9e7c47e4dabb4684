"""The list of trials."""

from __future__ import annotations

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
TRIALS_NEWEST = "These {shown} of {all} trials were changed last."
TRIALS_ALL = "Show all"
TRIALS_RUNS = "{ended} of {runs}"
NOT_KNOWN_YET = "not known yet"

"""Sentences and labels of the page that takes in packages and sheets of earlier runs."""

from __future__ import annotations

TITLE = "Take in a package or a sheet of runs"
INTRO = (
    "A package of a trial from another shop, an answered one, or your own sheet of earlier runs, "
    "saved as CSV. Nothing is stored before you say so, and it can be taken out again."
)
CHOOSE = "Choose a file, or drop it here"
ODD = "This is neither a package (.zip) nor a sheet saved as text (.csv, .txt)."
UNREADABLE = "The browser did not hand over a whole file. Try again, or take it in by command."
READ = "Read as {how}; decimal {mark}."
MARKS = {",": "comma", ".": "point"}
TRIAL = "Trial of these runs"
NO_TRIAL = (
    "There is no trial yet that these runs could belong to. Begin one for this hole first, then "
    "take the sheet in."
)
COLUMNS = "What each column is"
COLUMNS_HELP = "Found by its name, its unit and its values. Choose another where it is wrong."
COLUMN_HEAD = {"column": "Column", "is": "Is", "unit": "Unit", "sure": "How sure"}
NOT_USED = "not used"
SURE = {"said": "you said so", "sure": "sure", "likely": "likely", "guess": "a guess"}
NO_NAME = "column {number}, without a name"
OPTIONS = "If the sheet does not say it"
OPTION_LABELS = {
    "inch": "Columns without a unit",
    "decimal": "Decimal mark",
    "days": "In days comes first",
    "end": "A run ended",
    "new_drills": "Drills that the trial lacks",
    "refused": "Rows that are refused",
}
OPTION_CHOICES = {
    "inch": {"": "find out", "no": "mm, m/min, mm/rev", "yes": "inch, ft/min, in/rev"},
    "decimal": {"": "find out", ",": "comma", ".": "point"},
    "days": {"": "find out", "day first": "the day", "month first": "the month"},
    "end": {"stopped": "stopped early", "worn": "worn"},
    "new_drills": {
        "": "refuse",
        "carbide": "add: carbide",
        "cobalt": "add: cobalt",
        "hss": "add: high-speed steel",
    },
    "refused": {"": "refuse the sheet", "skip": "leave them out"},
}
ROWS = "What the rows become"
ROWS_COUNT = "New runs: {new}. Here already: {here}. Refused: {refused}."
ROWS_REFUSED = (
    'Mend these rows in the sheet and choose it again; or leave them out, under "If the sheet does '
    'not say it".'
)
ROWS_HEAD = {
    "line": "Line",
    "run": "Run",
    "drill": "Drill",
    "data": "Cutting data",
    "holes": "Holes",
    "end": "End",
    "wear": "Wear",
    "day": "Day",
}
ROWS_MORE = "… and {count} more."
REFUSED = "Refused rows"
NEW_DRILL = "New drill for the trial: {name}, {substrate}, without a price."
IMPORT_RUNS = "Store these runs"
STORED_RUNS = "{count} runs are stored."
OPEN = "Open the trial"
UNDO = "It can be taken out again on the page Share of the trial."

PACKAGE = "Package {file}"
NEW_TRIAL = "A trial that is new here, with {runs} runs."
NAME = "Name of the trial here"
KNOWN_TRIAL = "A trial that is here: {trial}. New runs: {new}."
NONE = "none"
RENUMBERED = "Run {there} of the package becomes run {here}, because that number is taken here."
PHOTOS = "New photos: {count}."
LICENCE = "Terms for passing it on: {licence}"
NO_LICENCE = "none stated; ask before you pass it on"
LEFT_OUT = "The sender left out: {removed}. What you know of that stays."
NOTHING = "All of it is here already, as it is there. Nothing to do."
SIDES = "Both sides changed it: choose which holds"
SIDES_HELP = "Everything has to be chosen before anything is stored."
ALL_MINE = "Keep all of mine"
ALL_THEIRS = "Take all of theirs"
SIDE_HEAD = {"what": "What", "mine": "Here", "theirs": "In the package", "side": "Holds"}
MINE = "mine"
THEIRS = "theirs"
STAYS = "stays as it is here"
ANSWERS = "What is said in it"
REMARK = "{who}: {text}"
PROPOSAL = "{who} proposes for {drill}: {data}"
SOMEBODY = "Somebody"
IMPORT_PACKAGE = "Take it in"
STORED_PACKAGE = "{file} is taken in."

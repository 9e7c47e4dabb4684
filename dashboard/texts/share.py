"""Sentences and labels of the page that passes a trial on and shows what came back."""

from __future__ import annotations

NAV = "Share"
TITLE = "Share"
SEND = "Pass it on"
SEND_HELP = (
    "A package holds everything as tables, pictures and recorded loads, and can be taken in by "
    "another shop. A report is one page to read and print. Neither needs a connection."
)
LEAVE = "Leave out"
LEAVE_CHOICES = {
    "prices": "prices and rates",
    "names": "names of trial, hole and batches",
    "machines": "machines and sources",
    "people": "people",
    "photos": "photos",
    "times": "dates and times",
    "notes": "everything written freely",
}
ALWAYS = "The sender of this trial had left out: {removed}. That stays so."
TRACES = {"yes": "with the recorded loads", "no": "without"}
TRACES_LABEL = "Recorded loads"
LICENCE = "On what terms it may be passed on"
LICENCE_HELP = "such as CC-BY-4.0, or a sentence; empty states none"
GONE = "What is left out"
GONE_COUNT = "What is left out: {values} values in {fields} places"
GONE_NOTHING = "Nothing is left out: the other side sees prices, names, people and places."
GONE_NOTES = "Notes go with each of the others but photos, because names may stand in them."
GONE_COLUMNS = {"file": "File", "field": "What", "why": "Because of", "values": "Values"}
SHOW = "Show what the other side will read"
SEEN = "What the other side will read"
PACKAGE = "Download package"
REPORT = "Download report"
PDF = "Download report as PDF"
TOO_LARGE = (
    "This package is too large to come through the browser. Write it by command: "
    "holewise export {trial} --out {trial}.zip"
)
MADE = "{file}: {size}."
MADE_REMOVED = "Left out: {removed}."
ANSWERS = "What others say of it"
ANSWERS_NONE = (
    "Nothing yet. Whoever gets a package can answer it with remarks and proposed cutting data, "
    "also in a spreadsheet. Take the answer in, and it stands here."
)
REMARK = "{who} on {about}: {text}"
REMARK_ALL = "the trial"
REMARK_RUN = "run {number}"
SOMEBODY = "somebody"
CAME_FROM = "{file}, {day}"
PROPOSALS = "Proposed cutting data"
PROPOSAL_COLUMNS = {
    "number": "No.",
    "drill": "Drill",
    "data": "Cutting data",
    "who": "By",
    "why": "Why",
    "state": "",
}
USE = "Plan a run with it"
USED = "is run {number}"
USE_DONE = "Run {number} is planned with proposal {proposal}. Nothing is sent to the machine."
CAME = "What came in"
CAME_NONE = "Nothing was taken in for this trial: it was begun and drilled here."
CAME_COLUMNS = {"file": "File", "kind": "What", "day": "When", "terms": "Terms"}
KINDS = {"package": "package", "sheet": "sheet"}
UNDO = "Take out what came in last"
UNDO_HELP = (
    "Takes {file} out again and puts back what it changed. Refused once that was worked on. Taking "
    "the file in again brings it back."
)
UNDONE = "{file} was taken out again."
TAKE_IN = "Take in a package or a sheet"
NO_PRICES = "Prices left out"
NO_PRICES_LONG = "The sender left out prices and rates (currency XXX): no cost can be said."

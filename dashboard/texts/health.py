"""Words of the page that shows how the loggers do."""

from __future__ import annotations

TITLE = "Loggers"
INTRO = (
    "What is recorded now, as it stands in the journals on disk and in the database. No logger is "
    "asked: this page cannot hold one up."
)
EMPTY_TITLE = "Nothing is being recorded"
EMPTY = "As soon as a logger starts, it is shown here. Plan a run first, then:"
EMPTY_COMMANDS = ("holewise doctor", "holewise log TRIAL --source tcp://machine:7878")
TILE_AT_WORK = "Recordings at work"
TILE_STALE = "Without new values"
TILE_ALARMS = "Alarms that stand"
TILE_FREE = "Free on the disk"
TILE_FREE_NOTE = "a day of recording takes up to 1 GB"
FREE_LOW = "▲ less than 1 GB: make room"
FIGURE = "Lines of each recording"
TABLE = "Each recording"
COLUMNS = {
    "run": "Recording",
    "state": "Link",
    "age": "Newest value",
    "rate": "Lines a second",
    "rejected": "Rejected lines",
    "gaps": "Gaps, last 2 min",
    "behind": "Not read here yet",
    "journal": "Journal",
    "alarms": "Alarms",
}
RUN = "{trial}, run {number}"
AGE = "{age} ago"
AGE_NONE = "none yet"
RATE_WAIT = "measuring…"
REJECTED_NONE = "none"
REJECTED = "{count} ({reasons})"
REASON = "{reason} {count}"
ALARMS_NONE = "none"
SIGNS = {"ok": "✓", "stale": "?", "bad": "▲"}
SAID_OK = "{run}: values come in, the newest is {age} old."
SAID_STALE = (
    "{run}: NO NEW VALUES for {age}. What its pages show is old; look at cable and machine."
)
SAID_NONE = "{run}: no value has come in yet."
SAID_STOPPED = (
    "{run}: its logger has stopped. Nothing that was recorded is lost; start it again with "
    "--resume."
)
SAID_TROUBLE = "{run}: {state}."
DURABLE = (
    "A logger writes each line to its journal before it reads it, and makes the journal safe "
    "against a power cut every half second. If the disk refuses, it says so as an alarm."
)
BY_RECORDING = "From {source}, {lines} lines, {samples} values."

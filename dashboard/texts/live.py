"""The page beside the machine."""

from __future__ import annotations

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
LIVE_LAST_PEAK_NOTE = "{margin} points below the limit"
LIVE_LAST_PEAK_OVER = "▲ {margin} points OVER the limit"
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

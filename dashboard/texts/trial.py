"""One trial: where it stands, what to do next, its runs."""

from __future__ import annotations

from trials import model

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
PLANNED_STEP_WATCH = "Watch the load while you drill, on the page beside the machine."
RECORDING_TITLE = "Run {number} is being recorded"
RECORDING_TEXT = "Load, holes and alarm are on the page beside the machine."
DRILLED_TITLE = "Run {number} is drilled: look at the drill"
OPEN_LIVE = "Open the page beside the machine"
COMMAND_LOG = (
    "holewise log {trial} --run {number} --source tcp://machine:7878 "
    "--format key=value --map load=load,unit=%,time=t"
)

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

"""More on what to do next: which drill, what is learned from, several tests at once."""

from __future__ import annotations

WORKING = "Looking at like jobs and other drills…"

TEST_LENGTH = (
    "Drill up to {most} holes; the test may stop after {enough} though the drill still cuts."
)
TEST_LENGTH_WHOLE = "Drill up to {most} holes, or to the end of the edge."
AFTER_IT = "Planned after it: {runs}."
TAKE_BACK_LAST = "Take back the last plan, run {number}"

DRILLS_TITLE = "Which drill to test next"
DRILLS_GO = (
    "Test {drill}: its next test is expected to save {saves} over the holes still to make and "
    "costs {costs}."
)
DRILLS_GO_PLAIN = "Test {drill}: its next test is worth most."
DRILLS_STOP = (
    "No drill's next test is worth its price; that of {drill} comes nearest. Compare the drills "
    "and choose."
)
DRILLS_SHOW = "Show {drill}"
DRILLS_COLUMNS = {
    "drill": "Drill",
    "runs": "Runs",
    "data": "Next test",
    "holes": "Holes to wear",
    "cost": "Cost per hole",
    "saves": "Expected to save",
    "costs": "The test costs",
}
DRILLS_NOTHING = "nothing left to try"

LIKE_TITLE = "Learned from like jobs"
LIKE_NONE = (
    "No earlier trial in this data folder is like this one, so only its own runs tell something."
)
LIKE_COLUMNS = {
    "trial": "Trial",
    "drill": "Drill",
    "runs": "Runs",
    "alike": "Alike",
    "why": "Because",
    "counts": "Counts",
}
LIKE_THIS = "this trial"
LIKE_COUNTS, LIKE_COUNTS_NOT = "yes", "left out"
LIKE_CHANGE = (
    "With them {with_them} holes to wear ({with_span}) are expected of the suggestion, without "
    "them {without} ({without_span}). They count less with each run of this drill; no prices go "
    "along."
)
LIKE_LEAVE = "Leave other trials out"
LIKE_COUNT = "Count other trials"

PLAN_TITLE = "Plan several tests at once"
PLAN_TEXT = (
    "For a day at the machine: tests that are drilled before any of them is looked at, each with a "
    "fresh edge."
)
PLAN_COUNT = "How many"
PLAN_COLUMNS = {
    "run": "Run",
    "rpm": "Spindle speed",
    "rate": "Feed rate",
    "pecks": "Pecking",
    "length": "May stop after",
    "holes": "Holes to wear",
    "load": "Worn peak load",
    "cost": "Cost per hole",
}
PLAN_WHY = "Run {numbers}: {why}"
PLAN_USE = "Plan these runs"
PLAN_USE_DOES = "Plans runs {first} to {last} with drill {drill}. Nothing is sent to the machine."
PLAN_PRINT = "Sheet to print"
PLAN_FILE = "plan-of-tests.html"
PLAN_OPEN = "Runs {runs} are planned already; drill or end them before planning more."
PLAN_CHANGED = (
    "The plan has changed since you looked at it, because a run was added or mended meanwhile. "
    "Nothing was planned. Look at the new plan and choose again."
)

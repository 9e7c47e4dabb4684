"""Planning a run by hand, and what to do with an open run."""

from __future__ import annotations

TITLE = "Plan a run with your own cutting data"
HELP = (
    "For when you know better than the suggestion. Any number may carry its unit: 80 m/min, 260 "
    "sfm, 0.15 mm/rev, 0.006 ipr. The machine's limits are checked before anything is planned."
)
DRILL = "Drill"
SPEED = "Cutting speed"
FEED = "Feed"
PECK_MODE = "Pecking"
PECK_DEPTH = "Peck depth, × D"
BATCH = "Workpiece batch or heat"
MACHINE = "Machine, if not the trial's"
REGROUND = "Times this edge was reground"
NOTE = "Note"
WITHIN = "Within the limits of {machine}:"
PLAN = "Plan this run"
PLANNED = "Run {number} is planned. What to do now stands above."
MEANWHILE = (
    "Run {number} was planned meanwhile, by you or somebody else. Nothing was planned now: look at "
    "it above, then plan again if you still want to."
)
TAKE_BACK = "Take this plan back"
TAKEN_BACK = "The plan of run {number} is taken back. Nothing was recorded of it."

LOG_HERE = (
    "Start recording the spindle load before the first hole, on the computer that hears the "
    "machine. Type there (with the same --data as this dashboard, if it was started with one):"
)
LOG_FIRST = (
    "No machine's way of talking is kept yet. Find it out once; this looks at what comes in and "
    "asks what is what:"
)
LOG_THEN = "Then, for each run (or with source, format and map written out):"
LOG_WHY = "The dashboard does not record by itself: each goes on when the other one stops."
COMMAND_PROFILE = "holewise log {trial} --run {number} --profile {profile}"
COMMAND_SETUP = "holewise log --setup --source tcp://machine:7878 --profile machine"
NO_LOAD = "Without a link to the machine, count the holes and enter them when you end the run."
LOOK = "Look at the drill, and end the run"
LOOK_STEP = "Measure the wear, take a photo if you like, and say how the run ended or drill on:"
MORE_STEP = "To drill on with the same edge, go on recording:"
COMMAND_RESUME = "holewise log {trial} --run {number} --resume"

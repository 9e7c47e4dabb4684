"""The page at the drill: readings, photos, the end of a run."""

from __future__ import annotations

from trials import model

NAV = "Look at the drill"
TITLE = "Look at the drill"
OF_RUN = "Run {number}, {drill}"
RUNS = "Runs of this trial"
EMPTY_TITLE = "No run is planned yet"
EMPTY = "Readings, photos and the end belong to a run. Plan one first, on the page of the trial."
READER = "You may look, not enter. Readings and photos below are as the shop entered them."

READ = "What do you see?"
READ_HELP = (
    "Fill in what you measured and leave the rest empty. A number without a unit is in {unit}; "
    "comma and point both work."
)
UNITS = {"metric": "mm", "inch": "inch"}
HOLE = "After hole"
NEWEST = "Newest hole: {hole}"
FIELDS = {
    "vb_average_mm": "VB average",
    "vb_maximum_mm": "VB maximum",
    "corner_chipping_mm": "Corner chipping",
    "margin_chipping_mm": "Margin chipping",
    "hole_diameter_mm": "Hole diameter",
}
UNIT_AFTER = "{name}, {unit}"
NOTE = "Note"
WHO = "Who"
KEYS = "Keys for gloves"
KEY_BACK = "⌫"
KEY_BACK_SAID = "Rub out"
KEY_NEXT = "Next field"
KEEP = "Keep this reading"
KEPT = "Kept: hole {hole}, {values}."
KEPT_NOTE = "only a note"
NOTHING = "Nothing is filled in but the hole. Fill in one value or a note, then keep it."
NO_HOLE = "hole number"
LESS = (
    "{name} is less than at hole {hole} before ({before}). Wear does not heal: look again, and "
    "take it back below if it was mistyped."
)
FAR_MORE = (
    "{name} is more than four times that of hole {hole} ({before}). If a digit slipped, take it "
    "back below."
)
AGAIN = "What you typed is still there. Look at what changed, then keep it again."
STANDS = "How it stands"
LEFT = "Holes left to the wear limit"
LEFT_NOW = "none: it is worn"
LEFT_MORE = "over {holes}"
LEFT_UNKNOWN = "not known yet"
LEFT_KINDS = {
    "observed": "seen at hole {at}",
    "interpolated": "reached near hole {at}",
    "projected": "curve carried on, 90 %: hole {span}",
    "censored": "not near its limit so far",
}
DRILLED = "Holes drilled"
NEXT_LOOK = "next look after hole {hole}"
NEXT_LOOK_DUE = "▲ a look is due since hole {hole}"
NO_LOOKS = "no looks are planned in this trial"
CURVE_NONE = "After the first reading the wear stands here against the holes."
READINGS = "Readings of this run"
READINGS_NONE = "No reading yet."
READINGS_COLUMNS = {"hole": "Hole", "values": "Seen", "note": "Note", "undo": "Mistyped?"}
TAKE_BACK = "Take back"
TAKE_BACK_SAID = "Take back the reading at hole {hole}"
PUT_BACK = "Put back"
PUT_BACK_SAID = "Put back the reading at hole {hole}"
TAKEN_BACK = "The reading at hole {hole} is taken back. It can be put back below."
PUT_BACK_DONE = "The reading at hole {hole} stands again."
EARLIER = "Earlier readings ({count})"
REMOVED = "Taken back: {count}"
REMOVED_READING = "hole {hole}: {values}"

PHOTO = "Photo and measuring"
PHOTO_HELP = (
    "A photo is kept at the hole number above. Place, time and name that a phone writes into it "
    "are left out."
)
PHOTO_TAKE = "Take a photo"
PHOTO_CHOOSE = "Choose a file"
PHOTO_NONE = "No photo of this run yet."
PHOTO_TOO_LARGE = "This file is no picture, or larger than 15 MB. Nothing was kept."
PHOTO_KEPT = "Photo kept at hole {hole}."
PHOTO_ALT = "Photo of run {number} at hole {hole}"
PHOTO_SHOW = "Hole {hole}"
PHOTO_SHOW_SAID = "Show the photo at hole {hole}, number {place}"
PHOTO_PLACE = "Hole {hole}, photo {place}"
PHOTO_REMOVE = "Take this photo out"
PHOTO_REMOVED = "The photo is taken out. It can be put back below."
PHOTO_RESTORE = "Put back the photo of hole {hole}"
PHOTO_RESTORED = "The photo at hole {hole} stands again."
STEP_SCALE = "1. Scale"
STEP_SCALE_HELP = (
    "Tap both ends of something whose length you know, such as the drill's diameter or a scale in "
    "the picture."
)
STEP_MEASURE = "2. Measure"
STEP_MEASURE_HELP = "Tap both ends of the wear. Drag an end, or move it with the arrow keys."
LENGTH = "Length of the scale line"
LARGER = "Larger"
SMALLER = "Smaller"
LINES = "Lines on the photo"
HANDLES = {
    "scale-0": "Scale line, first end",
    "scale-1": "Scale line, second end",
    "measure-0": "Measuring line, first end",
    "measure-1": "Measuring line, second end",
}
MEASURED_NONE = "Draw the scale line first, then the measuring line."
MEASURED_SCALE = "Scale kept: one pixel is {pixel}. Now measure."
MEASURED_SCALE_THERE = "This photo has its scale. Measure at once, or draw the scale anew."
MEASURED = "{length}"
MEASURED_SURE = (
    "Good to about {sure}, two pixels. True only where scale and wear lie in one plane, straight "
    "before the lens."
)
TAKE_OVER = "Take over as"

END = "Is this run over?"
END_HELP = "Say how it ended. You are asked once more, and it can be taken back."
END_ASK = "Run {number} ends: {means}."
END_HOLES = "Holes drilled"
END_HOLES_COUNTED = "Holes drilled ({holes} were counted)"
END_HOLES_TYPED = "Nothing was recorded, so give the number of holes that were drilled."
END_NOTE = "Note (kept with the run)"
END_DO = "Yes, end run {number}"
END_CANCEL = "No, go on"
ENDED = "Run {number} has ended after {holes} holes: {means}."
ENDED_COST = "A hole of it cost {cost}."
ENDED_NEXT = "What to do next"
ENDED_UNDO = "That was wrong: open it again"
ENDED_UNDONE = "Run {number} is open again."
END_WORDS: dict[model.End, str] = {
    "worn": "Worn",
    "stopped": "Stopped",
    "chipped": "Chipped",
    "broken": "Broken",
    "out_of_tolerance": "Out of tolerance",
    "load_limit": "Load limit",
}
END_MEANS: dict[model.End, str] = {
    "worn": "the wear limit is reached",
    "stopped": "it would still cut; its life counts as longer than this",
    "chipped": "an edge or a margin is chipped",
    "broken": "the drill broke",
    "out_of_tolerance": "the holes are out of tolerance",
    "load_limit": "the load limit is reached",
}
END_RECORDING = (
    "It is being recorded. End the recording first: press Ctrl and C where the logger runs."
)

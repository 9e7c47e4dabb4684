"""Sentences and labels of the guided page that begins a trial."""

from __future__ import annotations

TITLE = "Begin a trial"
INTRO = (
    "Four short steps: the hole, the machine, the drills, and which of them fit. Nothing is stored "
    "before the last button, and nothing is sent to a machine."
)
STEPS = ("The hole", "The machine", "The drills", "Which drills fit")
STEP = "Step {number} of {steps}: {name}"
UNITS_LABEL = "Numbers without a unit are in"
UNITS_METRIC = "mm, m/min, kW, N, bar"
UNITS_INCH = "inch, ft/min, hp, lb, psi"
UNITS_HELP = "Any number may carry its unit instead: 8.5 mm, 0.3346 in, 300 sfm, 15 hp."
NEEDED = "needed"
NEEDED_MISSING = "Fill this in, please."
READ_AS = "{one} = {other}"
NEXT = "Next"
BACK = "Back"
BEGIN = "Begin this trial"
MENDED = "Look at the marked fields, then go on. Nothing was lost."
WORKING = "Working it out…"

GROUP = "ISO 513 group"
LIKE = "Most like, of the catalogue (if any fits)"
LIKE_NONE = "the group in general"
KINDS = {"blind": "blind", "through": "through"}
YES_NO = {"no": "no", "yes": "yes"}
FINISH = {"drilled": "drilled only", "reamed": "reamed after drilling"}
SUBSTRATES = {"hss": "high-speed steel", "cobalt": "cobalt", "carbide": "carbide"}
COATINGS = {"bright": "bright", "black_oxide": "black oxide", "TiN": "TiN", "TiCN": "TiCN",
            "TiAlN": "TiAlN"}  # fmt: skip
LENGTHS = {"": "not standard", "stub": "stub, DIN 1897", "jobber": "jobber, DIN 338",
           "long": "long, DIN 340", "carbide_short": "short carbide, DIN 6537",
           "carbide_long": "long carbide, DIN 6537"}  # fmt: skip
DRILL = "Drill {letter}"
DRILL_MORE = "Add drill {letter}"
MAKER = "The maker's range for this work (goes before the catalogue)"
TEST_MATERIAL = "Work material for the test (may be left out)"

VERDICTS = "Which drills fit"
ALL_RULES = "All rules for {drill}"
RULE_COLUMNS = {
    "rule": "Rule",
    "outcome": "Verdict",
    "reason": "Why",
    "value": "Found",
    "limit": "Needed",
    "source": "Source",
}
OUTCOME_SIGNS = {"fits": "✓", "fits with a condition": "!", "does not fit": "✕"}
CONDITIONS = "Conditions"
AGAINST = "What speaks against it"
WAYS_OUT = "What would make it possible, the least change first"
NO_WAY_OUT = "No few changes make it possible."
COSTS = "What it would cost, before any test"
COST_COLUMNS = {
    "drill": "Drill",
    "life": "Holes an edge",
    "hole": "A hole, long run",
    "trying": "Price of trying",
    "run": "This run, with trying",
}
COST_FIGURE = "Cost per hole against the size of the run, before any test"
WORTH = {"yes": "A trial is worth it.", "perhaps": "A trial may be worth it.",
         "no": "A trial is not worth it."}  # fmt: skip
CHOOSE_DRILL = "Begin with"
START = "First cutting data"
REASONS = "Why these"
EXPECT = "Expected load"
EXPECT_NOTE = "sharp {fresh} · limit {limit}"
THRUST = "Thrust, worn"
THRUST_NOTE = "limit {limit}"
TIME = "Time of a hole"
TIME_NOTE = "{pecks} pecks"
BOUNDS = "A search may go"
BOUND_COLUMNS = {
    "what": "",
    "low": "From",
    "why_low": "Because",
    "high": "To",
    "why_high": "Because",
}
PLAN = "Plan of the test"
PLAN_RUN = "One run of at most {holes} holes"
PLAN_RUNS = "{runs} runs of at most {holes} holes"
GRID = "Holes on the test plate"
GRID_SENTENCE = (
    "{holes} holes; runs planned: {runs}, one after the other. At least {wall} between holes and "
    "{edge} to the edge. Positions are for a person: no program for a control."
)
OVERRULE = "Why you take this drill all the same (kept in the record)"
OVERRULE_NEEDED = (
    "{drill} does not fit: {rules}. Say why you take it all the same, or choose another drill."
)
OVERRULE_NEVER = (
    "{drill} is beyond what the machine can do ({rules}), and that cannot be overruled."
)
CARD = "Card to print"
CARD_FILE = "card-for-the-machine.html"
BEGUN = "Trial {trial} has begun."
BEGUN_OPEN = "Open the trial"
BEGUN_NEXT = "Plan the first run there, or with: holewise run new {trial}"

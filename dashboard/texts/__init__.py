"""Every sentence and label of the screens, so that they can be read, mended and translated.

Names in braces are filled in by `str.format`; what fills them is shown as text, never as markup.
Here is what several pages say; each page's own words are in the file of its name.
"""

from __future__ import annotations

from dashboard.texts.compare import *  # noqa: F403 - every word of it
from dashboard.texts.holes import *  # noqa: F403 - every word of it
from dashboard.texts.live import *  # noqa: F403 - every word of it
from dashboard.texts.missing import *  # noqa: F403 - every word of it
from dashboard.texts.progress import *  # noqa: F403 - every word of it
from dashboard.texts.trial import *  # noqa: F403 - every word of it
from dashboard.texts.trials import *  # noqa: F403 - every word of it
from dashboard.texts.wear import *  # noqa: F403 - every word of it
from trials import model

PROGRAM = "Holewise"
SKIP_TO_CONTENT = "Skip to the content"
NAV_TRIALS = "Trials"
NAV_HISTORY = "History"
NAV_HEALTH = "Loggers"
NAV_SETTINGS = "Settings"
UNITS_LABEL = "Units"
UNITS_METRIC = "mm"
UNITS_INCH = "inch"
DECIMAL_LABEL = "Decimal mark"
DECIMAL_POINT = "1.5"
DECIMAL_COMMA = "1,5"
LOADING = "Loading…"
EMPTY_GO = "What to do next"
NEEDS_SCRIPT = "These screens need JavaScript. Nothing is fetched from outside this machine."
PROBLEM_TITLE = "This page cannot be shown"
PROBLEM_UNEXPECTED = (
    "Something went wrong in the program, and nothing was changed. Load the page again; if it "
    "happens again, look at the messages where the dashboard was started."
)

THROUGH = "through"
BLIND = "blind"
HOLE = "⌀ {diameter} × {depth} {kind}"
INVENTED = "Invented data"
INVENTED_LONG = "Invented data for trying things out: no real machine made them."

PECKING: dict[model.PeckMode, str] = {
    "none": "no pecking",
    "chip_break": "chip break",
    "full_retract": "full retract",
}
PECK_EVERY = "{mode} {depth_xd} × D ({depth})"
PECK_MODE_EVERY = "{mode}, {depth_xd} × D"

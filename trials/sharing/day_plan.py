"""A day's plan of tests as one sheet to print: what to set for each, how long, what to write down.

Like the card for the machine it is one HTML page that needs nothing from outside, for a person who
sets the machine; nothing here is a program for a control.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from trials import units
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CAUTIONS, Drill, Trial
from trials.optimizer import Suggestion
from trials.sharing.machine_card import STYLE, Writer, plain_text

_LINES_TO_WRITE = 3
_FOUR = ".four { grid-template-columns: repeat(4, 1fr); } .four .value { font-size: 13pt; }"


def day_plan(
    trial: Trial,
    drill: str,
    tests: Sequence[Suggestion],
    *,
    first_number: int = 1,
    system: units.UnitSystem = "metric",
) -> str:
    """The plan as one HTML page; no price is on it, so that it may hang at the machine.

    Args:
        trial: what is tested.
        drill: name of the drill.
        tests: in the order in which they are drilled, each with a fresh edge.
        first_number: number of the first run.
        system: metric or inch first; the other one stands beside it.
    """
    write, used = Writer(system), trial.drill(drill)
    title = f"{plain_text(trial.name)}: plan of {len(tests)} tests"
    hole = trial.hole
    body = [
        f"<h1>{title}</h1>",
        *(
            ['<p class="invented">Invented data: no real machine, drill or shop.</p>']
            if trial.invented
            else []
        ),
        (
            f"<p><b>Hole</b> {write.both(hole.diameter_mm, 'mm')} × "
            f"{write.both(hole.depth_mm, 'mm')} {'through' if hole.through else 'blind'}. "
            f"<b>Work</b> {plain_text(trial.work.material)} (ISO {trial.work.group}). "
            f"<b>Machine</b> {plain_text(trial.machine.name)}. <b>Drill</b> "
            f"{plain_text(used.name)}, a fresh edge for each run.</p>"
        ),
        (
            f"<p><b>Stop and look</b> when the peak load reaches {trial.load_limit_pct:g} %. "
            f"<b>Worn</b> at {write.both(trial.wear_limit_mm, 'mm')}.</p>"
        ),
    ]
    for number, test in enumerate(tests, start=first_number):
        body += _test(number, test, trial, used, write)
    body += [
        (
            '<div class="sign"><span>Date</span><span>Machine</span><span>Drilled by</span>'
            "<span>Batch of the work</span></div>"
        ),
        f'<div class="cautions"><b>Before you drill.</b> {plain_text(CAUTIONS)}</div>',
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title><style>{STYLE}{_FOUR}</style></head>"
        f"<body>\n{chr(10).join(body)}\n</body></html>\n"
    )


def _test(number: int, test: Suggestion, trial: Trial, drill: Drill, write: Writer) -> list[str]:
    data = test.cutting_data
    spindle = rpm(data.speed_m_per_min, drill.diameter_mm)
    rate = feed_rate_mm_per_min(spindle, data.feed_mm_per_rev)
    pecks, mode = "none", "in one go"
    if data.peck_mode != "none":
        pecks = write.down(data.peck_depth_xd * drill.diameter_mm, "mm")
        mode = f"{data.peck_mode.replace('_', ' ')}, {data.peck_depth_xd:g} × D"
    boxes = [
        ("Spindle speed", f"{math.floor(spindle + 1e-6):,} /min",
         write.down(data.speed_m_per_min, "m/min")),
        ("Feed rate", write.down(rate, "mm/min"), write.down(data.feed_mm_per_rev, "mm/rev")),
        ("Pecks", pecks, mode),
        ("Holes", f"up to {trial.max_test_holes:,}", _may_stop(test, trial)),
    ]  # fmt: skip
    load, holes = test.load_worn_pct, test.holes
    lines = "<tr><td>&nbsp;</td><td></td><td></td><td></td><td></td></tr>" * _LINES_TO_WRITE
    return [
        f'<h2 id="run-{number}">Run {number}</h2>',
        '<div class="set four">',
        *(
            f'<div><span class="name">{name}</span><br><span class="value">{value}</span><br>'
            f'<span class="other">{other}</span></div>'
            for name, value, other in boxes
        ),
        "</div>",
        (
            f"<p>Expected: {holes.low:.0f} to {holes.high:.0f} holes to wear; worn peak load "
            f"{load.low:.0f} to {load.high:.0f} %.</p>"
        ),
        (
            '<table class="write"><tr><th>Hole</th><th>VB average</th><th>VB maximum</th>'
            f"<th>Peak load, %</th><th>Seen; how it ended</th></tr>{lines}</table>"
        ),
    ]


def _may_stop(test: Suggestion, trial: Trial) -> str:
    if not test.test_holes or test.test_holes >= trial.max_test_holes:
        return "or to its end"
    return f"may stop after {test.test_holes:,}"

"""``holewise interval``: after how many holes production changes the drill."""

from __future__ import annotations

import math
from typing import Annotated

import typer

from trials import units
from trials.cli.common import DrillName, TrialName, common, workbench
from trials.cli.life import RunOfData, show_life
from trials.cli.show import say


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("interval")(interval)


def interval(
    context: typer.Context,
    name: TrialName,
    drill: DrillName = None,
    run: RunOfData = None,
    risk: Annotated[
        str | None,
        typer.Option(help="At most this share may fail before the change: '1 in 100', 1%, 0.01."),
    ] = None,
    planned_cost: Annotated[
        float | None, typer.Option(help="Money for a planned change; left out: edge and time.")
    ] = None,
    failure_cost: Annotated[
        float | None,
        typer.Option(help="Money for a failure: scrap, stop, drill and change; left out: by the "
                          "trial's prices."),
    ] = None,
    holes_per_part: Annotated[int, typer.Option(help="Holes in a part.", min=1)] = 1,
    parts_per_shift: Annotated[
        int | None, typer.Option(help="Parts in a shift; rounds to shifts.", min=1)
    ] = None,
) -> None:  # fmt: skip
    """After how many holes to change the drill, by cost and by a risk; or why not at all."""
    share = None if risk is None else read_risk(risk)
    with workbench(context) as bench:
        found = bench.interval(
            name, drill, run, planned_cost=planned_cost, failure_cost=failure_cost, risk=share,
            holes_per_part=holes_per_part, parts_per_shift=parts_per_shift,
        )  # fmt: skip
    show_life(found.life, common(context))
    answer = found.interval
    if answer is None:
        return
    say(f"A planned change costs {found.planned_cost:.2f} {found.currency}, a failure "
        f"{found.failure_cost:.2f} {found.currency}.")  # fmt: skip
    say("An edge counts as failed when it chipped, broke, left the tolerance or reached the wear "
        "limit.")  # fmt: skip
    say(answer.why)
    if found.rounded is not None:
        say(f"In production: {found.rounded.text}.")
    if found.whole_parts is not None and found.rounded != found.whole_parts:
        say(f"Without regard to shifts: {found.whole_parts.text}.")
    if answer.holes is not None and answer.low is not None and answer.high is not None:
        high = "never" if math.isinf(answer.high) else f"{answer.high:.0f} holes"
        low = "never" if math.isinf(answer.low) else f"{answer.low:.0f} holes"
        say(f"By these lives the cheapest interval lies between {low} and {high} (90 %).")
    if answer.fails_before is not None:
        low_share, middle, high_share = answer.fails_before
        say(f"Fail before it: {middle:.1%} of drills ({low_share:.1%} to {high_share:.1%}).")


def read_risk(text: str) -> float:
    """``1 in 100``, ``1 %`` or ``0.01`` as a share.

    Raises:
        InputError: none of these.
    """
    words = text.strip().lower().split(" in ")
    if len(words) == 2:
        first, of = (units.parse_number(word, what="--risk") for word in words)
        return first / of if of else math.inf
    if text.strip().endswith("%"):
        return units.parse_number(text.strip()[:-1], what="--risk") / 100.0
    return units.parse_number(text, what="--risk")

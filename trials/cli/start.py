"""``holewise start``: first cutting data of a drill, each with its reason."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.choose import MaybeTrial, TrialFile, asked
from trials.cli.common import Common, common, cutting_data_text, workbench
from trials.cli.show import say
from trials.errors import InputError
from trials.model import CAUTIONS

if TYPE_CHECKING:
    from trials.mechanics import Start
    from trials.workbench import Beginning

OneDrill = Annotated[
    str | None, typer.Option("--drill", help="Name of the drill; left out: the one that fits best.")
]


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("start")(start)


def start(
    context: typer.Context,
    name: MaybeTrial = None,
    file: TrialFile = None,
    drill: OneDrill = None,
    use: Annotated[
        bool, typer.Option("--use", help="Make them the start and bounds of the stored trial.")
    ] = False,
) -> None:
    """First cutting data of a drill: from the maker's range or the catalogue, within the machine.

    Shows where each value comes from, the load, thrust and time to expect, and where a search may
    go from there.
    """
    shown = common(context)
    with workbench(context) as bench:
        beginning = bench.begin(asked(bench, name, file), drill)
        if use:
            if name is None:
                raise InputError("--use needs a stored trial",
                                 do="Begin it first: holewise trial new --file …")  # fmt: skip
            bench.use_start(name, beginning.screening.drill.name)
    show_start(beginning, shown)
    if use:
        say(f"They are now the start and bounds of {beginning.screening.drill.name} in {name}.")
    say(CAUTIONS)


def show_start(beginning: Beginning, shown: Common) -> None:
    """Cutting data, reasons, what to expect, bounds, and conditions of the drill."""
    trial, found = beginning.trial, beginning.start
    screening = beginning.screening
    say(f"{trial.name}: start with {screening.drill.name} ({screening.outcome})")
    say(f"  {cutting_data_text(found.cutting_data, shown)}")
    say(
        f"  {math.floor(found.rpm)} /min, "
        f"{shown.show(math.floor(found.feed_rate_mm_per_min), 'mm/min')}"
        f"{_breakthrough(found, shown)}"
    )
    say("Why:")
    for reason in found.reasons:
        say(f"  - {shown.words(reason)}")
    say("Expected, from the catalogue:")
    say(
        f"  load {found.load_fresh_pct:.0f} % sharp, {found.load_worn_pct:.0f} % worn, above idle; "
        f"your limit is {trial.load_limit_pct:g} %"
    )
    say(
        f"  torque {shown.show(found.torque_n_m, 'N*m')} and power "
        f"{shown.show(found.power_kw, 'kW')} sharp; thrust {shown.show(found.thrust_n, 'N')} worn, "
        f"limit {shown.show(found.thrust_limit_n, 'N')} ({_whose(found)})"
    )
    say(
        f"  chip load {shown.show(found.feed_per_lip_mm, 'mm')} a lip, "
        f"{shown.show(found.chip_thickness_mm, 'mm')} thick"
    )
    time = found.time
    say(f"  {time.total_s:.1f} s a hole, {time.cut_s:.1f} s of it cutting, {time.pecks} "
        f"peck{'s' if time.pecks > 1 else ''}")  # fmt: skip
    bounds, why = found.bounds, found.bound_reasons
    say("A search may go:")
    for what, (low, high), unit, low_why, high_why in (
        ("speed", bounds.speed_m_per_min, "m/min", why.speed_low, why.speed_high),
        ("feed", bounds.feed_mm_per_rev, "mm/rev", why.feed_low, why.feed_high),
    ):
        say(f"  {what} from {shown.show(low, unit)}: {shown.words(low_why)}")
        say(f"  {what} to {shown.show(high, unit)}: {shown.words(high_why)}")
    say(f"  pecks {', '.join(mode.replace('_', ' ') for mode in bounds.peck_modes)}: {why.pecks}")
    for verdict in screening.against:
        say(f"DOES NOT FIT: {verdict.rule}: {shown.words(verdict.reason)}")
    for verdict in screening.conditions:
        text = f"OVERRULED, {verdict.overruled}" if verdict.overruled else verdict.reason
        say(f"Mind: {verdict.rule}: {shown.words(text)}")


def _breakthrough(found: Start, shown: Common) -> str:
    data = found.cutting_data
    if data.breakthrough_feed_factor >= 1:
        return ""
    rate = math.floor(found.feed_rate_mm_per_min * data.breakthrough_feed_factor)
    return (
        f"; for the last {shown.show(data.breakthrough_mm, 'mm')} before the point breaks through "
        f"{shown.show(rate, 'mm/min')}"
    )


def _whose(found: Start) -> str:
    return "the drill buckles" if found.thrust_limit_of == "buckling" else "the machine"

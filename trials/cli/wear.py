"""``holewise wear``: write down what was seen on the drill."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated

import typer

from trials import units
from trials.cli.common import RunNumber, TrialName, common, wear_limits_text, workbench
from trials.cli.show import say, table
from trials.cli.show_progress import working

if TYPE_CHECKING:
    from trials.cli.common import Common
    from trials.figures import WearCurveFigure
    from trials.model import Run
    from trials.workbench import DrillOnAdvice


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("wear")(wear)


def wear(
    context: typer.Context,
    name: TrialName,
    hole: Annotated[int | None, typer.Option(help="Holes drilled when the drill was seen.")] = None,
    run: RunNumber = None,
    vb_average: Annotated[str | None, typer.Option(help="Wear VB, average.")] = None,
    vb_maximum: Annotated[str | None, typer.Option(help="Wear VB, maximum.")] = None,
    corner_chipping: Annotated[str | None, typer.Option(help="Chipping at the corner.")] = None,
    margin_chipping: Annotated[str | None, typer.Option(help="Chipping at the margin.")] = None,
    hole_diameter: Annotated[str | None, typer.Option(help="Measured hole diameter.")] = None,
    note: Annotated[str, typer.Option(help="Anything worth remembering.")] = "",
    more_holes: Annotated[
        int | None,
        typer.Option(help="Weigh drilling on so many holes; left out: one, two and four looks."),
    ] = None,
    looks: Annotated[
        int | None, typer.Option(help="Looks at the drill during these holes.")
    ] = None,
) -> None:
    """Add a wear reading to a run; without --hole, show its wear, and whether to drill on."""
    from trials.model import WearReading

    def length(text: str | None, option: str) -> float | None:
        return None if text is None else units.parse(text, to="mm", what=option)

    shown = common(context)
    with workbench(context) as bench:
        if hole is not None:
            reading = WearReading(
                hole=hole,
                vb_average_mm=length(vb_average, "--vb-average"),
                vb_maximum_mm=length(vb_maximum, "--vb-maximum"),
                corner_chipping_mm=length(corner_chipping, "--corner-chipping"),
                margin_chipping_mm=length(margin_chipping, "--margin-chipping"),
                hole_diameter_mm=length(hole_diameter, "--hole-diameter"),
                note=note,
            )
            found = bench.add_wear(name, run, reading)
        else:
            found = bench.run(name, run)
        trial = bench.trial(name)
        life = bench.holes_to_wear(name, found.number)
        curve = bench.wear_curve(name, found.number)
        load = bench.second_witness(name, found.number) if curve.readings else None
        advice = bench.regrind_advice(name, found.number) if found.wear else None
        on = None
        if found.end is None and curve.readings:
            with working("playing through what more holes would teach") as told:
                on = bench.drill_on(
                    name, found.number, more_holes=more_holes, looks=looks, on_progress=told
                )
    _readings(found, shown)
    limits = wear_limits_text(trial, shown)
    say(f"{limits[0].upper()}{limits[1:]}.")
    say(shown.words(f"Holes to wear: {life.why}"))
    if life.holes is not None and life.kind != "observed":
        high = "open" if life.high is None else f"{life.high:.0f}"
        say(f"That is {life.kind}: {life.holes:.0f} holes, range {life.low:.0f} to {high}.")
    if load is not None and load.load.readings:
        say(shown.words(load.why))
    _curve(curve, shown)
    if advice is not None:
        say(shown.words(f"Regrind or retire: {advice.action}. {advice.rule} {advice.money}"))
    if on is not None:
        _drill_on(on)


def _readings(found: Run, shown: Common) -> None:
    columns = ("hole", "VB average", "VB maximum", "corner", "margin", "hole diameter", "note")
    rows = [
        (
            str(reading.hole),
            shown.show(reading.vb_average_mm, "mm"),
            shown.show(reading.vb_maximum_mm, "mm"),
            shown.show(reading.corner_chipping_mm, "mm"),
            shown.show(reading.margin_chipping_mm, "mm"),
            shown.show(reading.hole_diameter_mm, "mm"),
            reading.note,
        )
        for reading in found.wear
    ]
    table(f"Wear of run {found.number}, {found.drill}", columns, rows)


def _curve(curve: WearCurveFigure, shown: Common) -> None:
    odd = [str(number) for number, _, off in curve.readings if off]
    if odd:
        say(f"Far off the curve through the others: hole {', '.join(odd)}. Look again.")
    if not curve.middle or curve.holes[-1] <= 0:
        return
    low, middle, high = curve.low[-1], curve.middle[-1], curve.high[-1]
    if curve.shares:
        low, middle, high = (100 * value / curve.limit_mm for value in (low, middle, high))
        at = f"{middle:.0f} % of the limit ({low:.0f} to {high:.0f} %)"
    else:
        at = (f"{shown.show(middle, 'mm')} ({shown.show(low, 'mm')} to {shown.show(high, 'mm')}); "
              f"the limit is {shown.show(curve.limit_mm, 'mm')}")  # fmt: skip
    say(f"The curve through the readings stands, after {curve.holes[-1]:.0f} holes, at {at}.")


def _drill_on(on: DrillOnAdvice) -> None:
    say()
    if on.choices:
        rows = []
        for choice in on.choices:
            look, money = choice.look, choice.money
            rows.append(
                (
                    str(look.more_holes), str(look.looks),
                    f"{look.holes_expected or 0:.0f} and {look.looks_expected or 0:.1f}",
                    f"{look.chance_reached or 0:.0%}",
                    f"{_factor(look.width_now)} → {_factor(look.width_then)}",
                    f"{money.price:.2f}",
                    "–" if money.worth is None else f"{money.worth:.2f}",
                )
            )  # fmt: skip
        table(
            "Stop now, or drill on",
            ("holes more", "looks", "on average", "worn by then", "range of holes, factor",
             f"costs, {on.currency}", f"worth, {on.currency}"), rows,
        )  # fmt: skip
    say(on.why)


def _factor(width: float) -> str:
    return "open" if math.isinf(width) else f"{width:.2g}"

"""``holewise wear``: write down what was seen on the drill."""

from __future__ import annotations

from typing import Annotated

import typer

from trials import units
from trials.cli.common import RunNumber, TrialName, common, workbench
from trials.cli.show import say, table


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
) -> None:
    """Add a wear reading to a run; without --hole, show the readings there are."""
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
        life = bench.holes_to_wear(name, found.number)
        limit_mm = bench.trial(name).wear_limit_mm
        curve = bench.wear_curve(name, found.number)
        advice = bench.regrind_advice(name, found.number) if found.wear else None
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
    say(shown.words(f"Holes to wear: {life.why}"))
    if life.holes is not None and life.kind != "observed":
        high = "open" if life.high is None else f"{life.high:.0f}"
        say(f"That is {life.kind}: {life.holes:.0f} holes, range {life.low:.0f} to {high}.")
    odd = [str(number) for number, _, off in curve.readings if off]
    if odd:
        say(f"Far off the curve through the others: hole {', '.join(odd)}. Look again.")
    if curve.middle and curve.holes[-1] > 0:
        last = len(curve.holes) - 1
        say(
            f"The curve stands at {shown.show(curve.middle[last], 'mm')} "
            f"({shown.show(curve.low[last], 'mm')} to {shown.show(curve.high[last], 'mm')}) after "
            f"{curve.holes[last]:.0f} holes; the limit is {shown.show(limit_mm, 'mm')}."
        )
    if advice is not None:
        say(shown.words(f"Edge: {advice.action}. {advice.rule} {advice.money}"))

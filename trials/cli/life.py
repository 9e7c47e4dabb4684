"""``holewise life``: how long edges of a drill last, and how sure that is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import DrillName, TrialName, common, cutting_data_text, workbench
from trials.cli.show import say, table

if TYPE_CHECKING:
    from trials.cli.common import Common
    from trials.life import Life
    from trials.workbench import DrillLife

RunOfData = Annotated[
    int | None,
    typer.Option("--run", help="At this run's cutting data; left out: those tried most.", min=1),
]


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("life")(life)


def life(
    context: typer.Context, name: TrialName, drill: DrillName = None, run: RunOfData = None
) -> None:
    """How many holes an edge lasts at one cutting data; a verdict where runs cannot tell."""
    with workbench(context) as bench:
        found = bench.life(name, drill, run)
    show_life(found, common(context))
    if found.choice is None:
        return
    _models(found)
    _modes(found)
    _equation(found, common(context))


def show_life(found: DrillLife, shown: Common) -> None:
    """The lives themselves, as a table."""
    if found.cutting_data is None:
        say(f"{found.drill}: no run has ended yet, so nothing is known of its life.")
        return
    rows = [(str(run), _holes(one), (one.mode or "stopped, lasts longer").replace("_", " "))
            for run, one in zip(found.runs, found.lives, strict=True)]  # fmt: skip
    table(f"Edges of {found.drill} at {cutting_data_text(found.cutting_data, shown)}",
          ("run", "holes", "end"), rows)  # fmt: skip
    if found.mixed_regrinds:
        say("New and reground edges are mixed here; where regrinds cost life, judge them apart.")


def _holes(one: Life) -> str:
    if not one.ended:
        return f"more than {one.low:.0f}"
    return f"{one.high:.0f}" if one.exact else f"{one.low:.0f} to {one.high:.0f}"


def _models(found: DrillLife) -> None:
    assert found.choice is not None  # noqa: S101 - the caller has looked
    fits = [fit for fit in found.choice.fits if fit.ok]
    if not fits:
        say(f"No life is fitted: {found.choice.verdict}")
        if found.survival and len(found.lives) > 2:
            step = found.survival[-1]
            say(f"After {step.holes:.0f} holes {step.share:.0%} of the edges still cut "
                f"({step.low:.0%} to {step.high:.0%}).")  # fmt: skip
        return
    rows = []
    for fit in fits:
        for share, words in ((0.1, "one in ten"), (0.5, "half"), (0.9, "nine in ten")):
            low, high = fit.interval_at(share)
            rows.append((fit.model, words, f"{fit.holes_at(share):.0f}",
                         f"{low:.0f} to {high:.0f}"))  # fmt: skip
    table("Edges that have ended by", ("model", "edges", "holes", "90 % range"), rows)
    best = found.choice.best
    low, high = best.interval_at(0.5)
    say(
        f"Half of the edges last {best.holes_at(0.5):.0f} holes or more; in nine cases of ten that "
        f"number lies between {low:.0f} and {high:.0f}."
    )
    say(found.choice.verdict)
    if best.note:
        say(best.note)


def _modes(found: DrillLife) -> None:
    if len(found.modes) < 2:
        return
    rows = [
        (mode.replace("_", " "), str(fit.failures),
         f"{fit.holes_at(0.5):.0f}" if fit.ok else "not enough failures")
        for mode, fit in found.modes.items()
    ]  # fmt: skip
    table("Ways to end, each as if it were alone", ("end", "edges", "half by, holes"), rows)
    say(found.ends_apart)


def _equation(found: DrillLife, shown: Common) -> None:
    equation = found.equation
    for sentence in equation.said():
        say(sentence)
    if not equation.ok:
        return
    if found.cutting_data is not None:
        at = equation.life_at(
            found.cutting_data.speed_m_per_min, found.cutting_data.feed_mm_per_rev
        )
        speed = shown.show(found.cutting_data.speed_m_per_min, "m/min")
        say(f"By all runs of it together, about {at.holes:.0f} holes at {speed}.")

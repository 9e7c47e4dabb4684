"""``holewise suggest`` and ``handover``: what to try, what to keep."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import DrillName, TrialName, common, cutting_data_text, workbench
from trials.cli.show import say, table
from trials.model import CAUTIONS

if TYPE_CHECKING:
    from trials.cli.common import Common
    from trials.figures import ResponseMap
    from trials.optimizer import Suggestion


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("suggest")(suggest)
    app.command("handover")(handover)


def show_suggestion(suggestion: Suggestion, shown: Common, currency: str) -> None:
    """Print a suggestion: cutting data, what is expected of it, and why."""
    say(f"Cutting data: {cutting_data_text(suggestion.cutting_data, shown)}")
    rows = [
        ("holes to wear", *(f"{value:.0f}" for value in suggestion.holes)),
        ("worn peak load, %", *(f"{value:.1f}" for value in suggestion.load_worn_pct)),
        (f"cost per hole, {currency}", *(f"{value:.3f}" for value in suggestion.cost_per_hole)),
    ]
    table("Expected (90 % range)", ("", "low", "median", "high"), rows)
    say(f"Chance that the worn load stays below the limit: {suggestion.p_safe:.0%}")
    if suggestion.test_holes:
        say(f"A test may stop after {suggestion.test_holes} holes although the drill still cuts.")
    say(f"Why: {suggestion.why}")


def suggest(
    context: typer.Context,
    name: TrialName,
    drill: DrillName = None,
    use: Annotated[bool, typer.Option("--use", help="Plan the next run with it.")] = False,
    production: Annotated[
        bool, typer.Option("--production", help="The best for production now, not the next test.")
    ] = False,
    why: Annotated[
        bool, typer.Option("--why", help="Also what is believed of speed, feed and breaking.")
    ] = False,
    count: Annotated[
        int, typer.Option(min=1, max=8, help="Plan so many tests before any is looked at.")
    ] = 1,
) -> None:
    """The cutting data to test next, what is expected of them, and why."""
    shown = common(context)
    with workbench(context) as bench:
        currency = bench.trial(name).economics.currency
        found = bench.recommend(name, drill) if production else bench.suggest(name, drill)
        show_suggestion(found, shown, currency)
        if found.stop and not production:
            say("Trying more costs more than it saves: stop here, unless you want to know.")
        if why:
            _say_beliefs(bench.response_map(name, drill), shown, currency)
        if count > 1 and not production:
            for number, one in enumerate(bench.plan(name, count, drill)[1:], start=2):
                say(f"Test {number} of the plan: {cutting_data_text(one.cutting_data, shown)}")
                say(f"Why: {one.why}")
        if use:
            run = bench.use_suggestion(name, drill)
            say(f"Run {run.number} planned with it. Next: holewise log {name} --source …")
    say(CAUTIONS)


def _say_beliefs(found: ResponseMap, shown: Common, currency: str) -> None:
    say(f"Believed around {cutting_data_text(found.recommended, shown)}, with 90 % ranges:")
    for sentence in found.beliefs:
        say(f"- {sentence}")
    say(f"A hole for {found.lowest_possible:.3f} {currency} is still possible by what is known.")


def handover(
    context: typer.Context,
    name: TrialName,
    drill: DrillName = None,
    without_prices: Annotated[
        bool, typer.Option("--without-prices", help="Leave out prices, rates and costs.")
    ] = False,
    out: Annotated[Path | None, typer.Option(help="Write it to this file (Markdown).")] = None,
) -> None:
    """The record for production and for the representative: cutting data, limits, interval."""
    with workbench(context) as bench:
        text = bench.hand_over(name, drill, prices=not without_prices)
    if out is None:
        typer.echo(text)
        return
    from trials.errors import InputError

    try:
        with out.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise InputError(f"{out} is there already", do="Choose another name for --out.") from None
    except OSError as error:
        raise InputError(f"{out} cannot be written ({error.strerror})") from None
    say(f"Written to {out}.")

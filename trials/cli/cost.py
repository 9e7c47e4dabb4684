"""``holewise cost``: what a hole costs, part by part, and what the trial itself has cost."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import DrillName, TrialName, common, cutting_data_text, workbench
from trials.cli.show import say, table
from trials.cli.show_progress import working

if TYPE_CHECKING:
    from trials.economics import CostPerHole, RunMoney


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("cost")(cost)


def cost(
    context: typer.Context,
    name: TrialName,
    drill: DrillName = None,
    run: Annotated[
        int | None,
        typer.Option("--run", help="At this run's cutting data; left out: where it did best.",
                     min=1),
    ] = None,
) -> None:  # fmt: skip
    """Cost per hole in parts, with its 90 % range, and what the tests have cost."""
    shown = common(context)
    with workbench(context) as bench:
        trial = bench.trial(name)
        with working("drawing what is uncertain") as told:
            found = bench.cost_range(name, drill, run, on_progress=told)
        spent = bench.trial_cost(name)
        single = None if run is None else bench.run(name, run)
        advice = None if run is None else bench.regrind_advice(name, run)
        own = None if single is None or not single.holes else bench.cost(name, run)
    which = trial.drill(drill if single is None else single.drill).name
    if single is not None:
        say(f"Run {single.number}: {single.drill}, {cutting_data_text(single.cutting_data, shown)}")
    if found.cost is None:
        say(found.verdict)
        if own is not None:
            known = "at most " if single is not None and single.end in (None, "stopped") else ""
            say(f"This run's edge alone: {known}{own.total:.3f} {own.currency} a hole.")
            _parts(f"Parts of run {run}", own, {})
    else:
        _parts(f"Cost per hole of {which}, {found.cost.currency}", found.cost, found.parts)
        assert found.holes is not None  # noqa: S101 - a cost has a life
        low, middle, high = found.holes
        say(
            f"{which}: {found.cost.total:.3f} {found.cost.currency} a hole, in nine cases of ten "
            f"between {found.low:.3f} and {found.high:.3f}; edges last about {middle:.0f} holes "
            f"({low:.0f} to {high:.0f}) by {found.ended} of {found.runs} edges that came to their "
            "end."
        )
        if found.note:
            say(found.note)
    if advice is not None:
        say(shown.words(f"Regrind or retire: {advice.action}. {advice.rule} {advice.money}"))
    _trial(name, spent, trial.economics.currency)


def _parts(title: str, found: CostPerHole, ranges: object) -> None:
    from trials.figures import PART_NAMES

    spans = ranges if isinstance(ranges, dict) else {}
    rows = []
    shown = found.shown_parts()
    for name, part in shown.items():
        low, high = spans.get(name, (part, part))
        if part == 0 and high < 0.0005:
            continue
        span = f"{low:.3f} to {high:.3f}" if name in spans and high - low > 0.0005 else ""
        rows.append((PART_NAMES[name], f"{part:.3f}", span,
                     f"{part / found.total:.0%}" if found.total else "–"))  # fmt: skip
    rows.append(("together", f"{sum(shown.values()):.3f}", "", "100%"))
    table(title, ("part", found.currency, "90 % range", "share"), rows)


def _trial(name: str, spent: list[RunMoney], currency: str) -> None:
    if not spent:
        return
    say()
    rows = [
        (
            str(one.run), one.drill, str(one.holes), f"{one.total:.2f}",
            f"{one.parts['machine']:.2f}", f"{one.parts['drill']:.2f}",
            f"{one.total - one.parts['machine'] - one.parts['drill']:.2f}",
        )
        for one in spent
    ]  # fmt: skip
    total = sum(one.total for one in spent)
    table(f"What the runs of {name} have cost themselves, {currency}",
          ("run", "drill", "holes", "together", "machine time", "drill", "the rest"),
          rows)  # fmt: skip
    say(
        f"The trial has cost {total:.2f} {currency} so far, its {sum(o.holes for o in spent):,} "
        "holes counted as worth nothing. Holes made in good parts take off what they would have "
        "cost anyway."
    )

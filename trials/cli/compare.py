"""``holewise compare``: drills on cost per hole, how sure that is, and for which run size."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import TrialName, workbench
from trials.cli.show import say, table
from trials.cli.show_progress import working

if TYPE_CHECKING:
    from trials.workbench import DrillsCompared, RunSizeAdvice


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("compare")(compare)


def compare(
    context: typer.Context,
    name: TrialName,
    holes: Annotated[
        int | None, typer.Option(help="Size of the run; left out: the trial's.", min=1)
    ] = None,
    without_tests: Annotated[
        bool, typer.Option("--without-tests", help="Leave out what the tests have cost.")
    ] = False,
) -> None:
    """Compare the trial's drills on cost per hole, and say which is for what size of run."""
    with workbench(context) as bench:
        currency = bench.trial(name).economics.currency
        with working("comparing drills") as told:
            compared = bench.comparison(name, on_progress=told)
        with working("costing the job against its size") as told:
            sizes = bench.run_size(
                name, holes=holes, count_tests=not without_tests, on_progress=told
            )
    _show_drills(name, compared, currency)
    _show_differences(compared, currency)
    _show_sizes(sizes, currency)


def _show_drills(name: str, compared: DrillsCompared, currency: str) -> None:
    rows = [
        (
            item.drill,
            f"{item.runs} ({item.ended} to the end)",
            "–" if item.holes_per_edge is None else f"{item.holes_per_edge:.0f}",
            "–" if item.cost is None else f"{item.cost.total:.3f}",
            _range(item.low, item.high),
            "no other to compare with" if item.verdict == "alone" else item.verdict,
        )
        for item in compared.found.drills
    ]
    columns = ("drill", "runs", "holes an edge", f"cost per hole, {currency}", "90 % range",
               "verdict")  # fmt: skip
    table(f"Drills of {name}, each at the cutting data where it did best", columns, rows)
    for item in compared.found.drills:
        say(item.why)


def _show_differences(compared: DrillsCompared, currency: str) -> None:
    if not compared.found.differences:
        return
    from trials.economics import sureness

    say()
    rows = [
        (
            f"{pair.cheaper} against {pair.dearer}",
            sureness(pair.p_cheaper),
            f"{pair.low:.3f} to {pair.high:.3f}",
            str(pair.paired) if pair.paired else "–",
            "settled" if not pair.tie else _runs(pair.runs_to_settle),
        )
        for pair in compared.found.differences
    ]
    columns = ("pair", "first is cheaper", f"by, {currency} a hole (90 %)", "shared batches",
               "more runs of each")  # fmt: skip
    table("How sure", columns, rows)
    for step in compared.steps:
        say(step.why)


def _runs(runs: int | None) -> str:
    return "over 12" if runs is None else f"about {runs}"


def _show_sizes(advice: RunSizeAdvice, currency: str) -> None:
    found = advice.sizes
    if found is None:
        return
    say()
    from trials.figures import run_size_figure

    shown = run_size_figure(found)
    rows = []
    for size in shown.table_sizes:
        costs = {line.drill: shown.per_hole(line.drill, size) for line in found.lines}
        own = " (this run)" if size == found.holes_to_make else ""
        rows.append(
            (
                f"{size:,}{own}",
                *(f"{middle:.3f} ({low:.3f} to {high:.3f})" for low, middle, high in
                  costs.values()),
                *([min(costs, key=lambda drill: costs[drill][1])] if len(costs) > 1 else []),
            )
        )  # fmt: skip
    inside = "with" if advice.tests_counted else "without"
    table(
        f"Cost per hole, {currency}, against the size of the run, {inside} the price of the tests",
        (
            "holes",
            *(line.drill for line in found.lines),
            *(["cheapest"] if len(found.lines) > 1 else []),
        ),
        rows,
    )
    say(found.advice)
    for paid in advice.dialling_in:
        say(paid.why)
    for sentence in advice.without:
        say(sentence)


def _range(low: float | None, high: float | None) -> str:
    if low is not None and high is not None:
        return f"{low:.3f} to {high:.3f}"
    return "–" if high is None else f"at most about {high:.3f}"

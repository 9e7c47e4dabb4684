"""``holewise choose``: which drills suit the hole, which do not and why, and what they cost."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import Common, common, workbench
from trials.cli.show import say, table
from trials.errors import InputError
from trials.model import CAUTIONS

if TYPE_CHECKING:
    from trials.mechanics import Verdict
    from trials.model import Trial
    from trials.workbench import BeforeTest, Candidate, Choice, Workbench

MaybeTrial = Annotated[
    str | None, typer.Argument(help="Name of the trial; left out with --file.", metavar="TRIAL")
]
TrialFile = Annotated[
    Path | None,
    typer.Option("--file", help="A trial file instead of a stored trial; nothing is stored."),
]
_SIGNS = {"fits": "+", "fits with a condition": "!", "does not fit": "x"}


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("choose")(choose)


def choose(
    context: typer.Context,
    name: MaybeTrial = None,
    file: TrialFile = None,
    drill: Annotated[
        str | None, typer.Option(help="Name of the drill; left out: every drill.")
    ] = None,
    short: Annotated[
        bool, typer.Option("--short", help="Only what does not fit or has a condition.")
    ] = False,
    overrule: Annotated[
        str | None, typer.Option(help="Rule that does not hold here.", metavar="RULE")
    ] = None,
    because: Annotated[str, typer.Option(help="Why it is overruled; kept in the record.")] = "",
    by: Annotated[str, typer.Option(help="Who overrules it; kept in the record.")] = "",
    hold_again: Annotated[
        str | None, typer.Option(help="Take an overruling back.", metavar="RULE")
    ] = None,
) -> None:  # fmt: skip
    """Which drills suit the hole, which do not and why, and what they would cost.

    Every rule says its verdict, the reason, what was found, what is needed, and the source of the
    limit. For a drill that does not fit: what to change so that it does.
    """
    shown = common(context)
    with workbench(context) as bench:
        if overrule is not None or hold_again is not None:
            _overrule(bench, name, drill, overrule, because, by, hold_again)
        found = bench.choose(asked(bench, name, file))
    candidates = [
        one for one in found.candidates if drill is None or one.screening.drill.name == drill
    ]
    if not candidates:
        found.trial.drill(drill)  # says which drills there are
    hole = found.trial.hole
    say(
        f"{found.trial.name}: {shown.show(hole.diameter_mm, 'mm')} × "
        f"{shown.show(hole.depth_mm, 'mm')} {'through' if hole.through else 'blind'}"
        f"{' ' + hole.tolerance if hole.tolerance else ''} in {found.trial.work.material} "
        f"(ISO {found.trial.work.group})"
    )
    if found.trial.invented:
        say("Invented demonstration data: no real machine, drill or shop.")
    for candidate in candidates:
        say()
        _show_candidate(candidate, shown, short=short)
    say()
    _show_before(found, shown)
    say(CAUTIONS)


def asked(bench: Workbench, name: str | None, file: Path | None) -> str | Trial:
    """The stored trial's name, or the trial of the file.

    Raises:
        InputError: neither or both are given.
    """
    if (name is None) == (file is None):
        raise InputError(
            "TRIAL and --file", got="both" if name else "none of them", allowed="one of them",
            do="Name a stored trial, or a trial file: holewise trial template > trial.toml",
        )  # fmt: skip
    return bench.draft(file, any_start=True) if file is not None else str(name)


def _overrule(
    bench: Workbench, name: str | None, drill: str | None, rule: str | None, because: str, by: str,
    hold_again: str | None,
) -> None:  # fmt: skip
    from trials.model import Overrule

    if name is None or drill is None:
        raise InputError("overruling needs a stored trial and --drill",
                         do="The record is kept with the trial and its drill.")  # fmt: skip
    if rule is not None:
        bench.overrule(name, Overrule(drill, rule, because, by))
    if hold_again is not None:
        bench.hold_again(name, drill, hold_again)


def _show_candidate(candidate: Candidate, shown: Common, *, short: bool) -> None:
    screening = candidate.screening
    say(f"{screening.drill.name}: {screening.outcome}")
    for verdict in screening.verdicts:
        if not short or verdict.outcome != "fits":
            _show_verdict(verdict, shown)
    if short:
        left = sum(verdict.outcome == "fits" for verdict in screening.verdicts)
        say(f"  + {left} other rules fit.")
    if not screening.against:
        return
    if candidate.ways_out:
        say("  What would make it possible, the least change first:")
        for way in candidate.ways_out:
            say(f"    - {shown.words('; and '.join(way.changes))}")
        return
    say("  No few changes make it possible. Try another drill, or:")
    texts = {change.text for verdict in screening.against for change in verdict.changes}
    for text in sorted(texts):
        say(f"    - {shown.words(text)}")


def _show_verdict(verdict: Verdict, shown: Common) -> None:
    say(f"  {_SIGNS[verdict.outcome]} {verdict.outcome}: {verdict.rule}: "
        f"{shown.words(verdict.reason)}")  # fmt: skip
    say(f"      found {shown.words(verdict.value)} | needed {shown.words(verdict.limit)} | "
        f"{verdict.source}")  # fmt: skip
    if verdict.overruled:
        say(f"      OVERRULED, {verdict.overruled}")


def _show_before(found: Choice, shown: Common) -> None:
    before = found.before
    if before is None:
        say(f"Costs before any test: {found.without}")
        return
    money = before.currency
    holes = found.trial.holes_to_make
    rows = [
        (
            cost.drill,
            f"{cost.life.middle:,.0f} ({cost.life.low:,.0f} to {cost.life.high:,.0f})",
            _span(cost.per_hole, 3),
            f"{cost.trying:,.0f}",
            "–" if cost.run is None else _span(cost.run, 0),
        )
        for cost in before.costs
    ]
    run = "this run" if holes is None else f"this run of {holes:,}"
    table(
        f"Costs expected before any test, {money}, with 90 % ranges",
        ("drill", "holes an edge", "a hole, long run", "price of trying", f"{run}, with trying"),
        rows,
    )
    for cost in before.costs:
        if cost.life.source.startswith("own trials"):
            say(f"Holes an edge of {cost.drill} from {cost.life.source}.")
    _show_sizes(before)
    say(before.advice)
    say(f"Is a trial worth it: {before.worth}. {before.why}")
    say(shown.words(before.sure))


def _show_sizes(before: BeforeTest) -> None:
    from trials.figures import run_size_figure

    figure = run_size_figure(before.sizes)
    rows = []
    for size in figure.table_sizes:
        spans = [figure.per_hole(line.drill, size) for line in before.sizes.lines]
        own = " (this run)" if size == before.sizes.holes_to_make else ""
        texts = [f"{middle:.3f} ({low:.3f} to {high:.3f})" for low, middle, high in spans]
        best = min(zip(before.sizes.lines, spans, strict=True), key=lambda one: one[1][1])
        rows.append((f"{size:,}{own}", *texts, best[0].drill))
    table("Cost per hole against the size of the run, with the price of trying",
          ("holes", *(line.drill for line in before.sizes.lines), "cheapest"), rows)  # fmt: skip


def _span(span: tuple[float, float, float], digits: int) -> str:
    low, middle, high = span
    return f"{middle:,.{digits}f} ({low:,.{digits}f} to {high:,.{digits}f})"

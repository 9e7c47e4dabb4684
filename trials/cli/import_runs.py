"""``holewise import-runs``: a spreadsheet of earlier runs becomes runs of a trial."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import Common, common, cutting_data_text, workbench
from trials.cli.show import say, table
from trials.errors import InputError, require

if TYPE_CHECKING:
    from trials.sharing import SheetChoices
    from trials.workbench import RunsPreview

_SHOWN_ROWS = 30


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("import-runs")(import_runs)


def import_runs(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="Sheet saved as CSV or text.", metavar="FILE")],
    trial: Annotated[
        str | None, typer.Option(help="Trial of these runs; left out: the only one there is.")
    ] = None,
    yes: Annotated[
        bool, typer.Option("--yes", help="Store the runs; else only show them.")
    ] = False,
    column: Annotated[
        list[str] | None,
        typer.Option(
            "--map", help="What a column is: 'its name=field', or =- for none. Repeatable."
        ),
    ] = None,
    skip_bad_rows: Annotated[
        bool, typer.Option("--skip-bad-rows", help="Leave refused rows out and take the others.")
    ] = False,
    decimal: Annotated[
        str | None, typer.Option(help="Decimal mark , or . where the sheet leaves it open.")
    ] = None,
    inch: Annotated[
        bool | None,
        typer.Option("--inch/--no-inch", help="Columns without a unit are in, ft/min and in/rev."),
    ] = None,
    days: Annotated[
        str | None, typer.Option(help="What comes first in days: 'day' or 'month'.")
    ] = None,
    end: Annotated[
        str, typer.Option(help="How runs ended where the sheet is silent, such as worn.")
    ] = "stopped",
    new_drills: Annotated[
        str | None,
        typer.Option(help="Add drills that the trial lacks, made of hss, cobalt or carbide."),
    ] = None,
    material: Annotated[
        str | None, typer.Option(help="Name in the sheet for the trial's work material.")
    ] = None,
) -> None:
    """Take in a sheet of earlier runs; shows first what each row becomes.

    Columns are found by their names in English, German, French, Spanish or Italian, their units
    and their values. The same sheet again adds nothing. 'holewise package undo TRIAL' takes the
    runs out again.
    """
    shown = common(context)
    choices = _choices(column, decimal, days, end, new_drills, material, inch=inch)
    with workbench(context) as bench:
        found = bench.preview_runs(file, trial, choices=choices)
        _show(found, shown)
        if found.found.problem is not None:
            raise found.found.problem
        if not found.new:
            say("Nothing new to store.")
            return
        if not (yes or _asked(found, skip_bad_rows=skip_bad_rows)):
            say("Nothing was stored. With --yes it is.")
            return
        bench.import_runs(file, found.trial, choices=choices, skip_refused=skip_bad_rows)
    say(f"Stored {len(found.new)} runs in trial {found.trial}. Take them out again with: "
        f"holewise package undo {found.trial}")  # fmt: skip


def _asked(found: RunsPreview, *, skip_bad_rows: bool) -> bool:
    refused = bool(found.found.refused) and not skip_bad_rows
    if not (sys.stdin.isatty() and sys.stdout.isatty()) or refused:
        return False
    return typer.confirm(f"Store {len(found.new)} runs in trial {found.trial}?")


def _choices(
    columns: list[str] | None, decimal: str | None, days: str | None, end: str,
    new_drills: str | None, material: str | None, *,
    inch: bool | None,
) -> SheetChoices:  # fmt: skip
    from typing import get_args

    from trials.model import ENDS, Substrate
    from trials.sharing import SheetChoices

    said = {}
    for one in columns or ():
        name, sign, field = one.rpartition("=")
        if not sign or not name.strip():
            raise InputError("--map", got=one, allowed="'name of the column=field'")
        said[name] = field
    marks = {None: None, ",": ",", ".": "."}
    orders = {None: None, "day": "day first", "month": "month first"}
    require(decimal in marks, "--decimal", decimal, "a comma or a point")
    require(days in orders, "--days", days, "day or month")
    require(end in ENDS, "--end", end, "one of " + ", ".join(ENDS))
    require(new_drills is None or new_drills in get_args(Substrate), "--new-drills", new_drills,
            "one of " + ", ".join(get_args(Substrate)))  # fmt: skip
    return SheetChoices(
        said, marks[decimal], inch, orders[days], end, new_drills, material  # type: ignore[arg-type]  # looked at just above
    )  # fmt: skip


def _show(found: RunsPreview, shown: Common) -> None:
    from trials.sharing import SHEET_FIELDS

    sheet = found.found.sheet
    say(
        f"{sheet.name}: {sheet.how}; decimal mark {found.found.decimal!r}. For trial {found.trial}."
    )
    rows = [
        (
            str(one.number), one.header or "(no name)",
            "not used" if one.field is None else f"{SHEET_FIELDS[one.field].means} ({one.field})",
            one.unit, "" if one.field is None else one.sure, one.remark,
        )
        for one in found.found.columns
    ]  # fmt: skip
    table("Columns", ("no", "column", "is", "unit", "how sure", ""), rows)
    lines = [
        (
            str(one.line), str(one.run.number), one.run.drill,
            cutting_data_text(one.run.cutting_data, shown), str(one.run.holes), str(one.run.end),
            shown.show(one.run.wear[-1].largest_mm, "mm") if one.run.wear else "–",
            "–" if one.day is None else f"{one.day:%Y-%m-%d}",
        )
        for one in found.new[:_SHOWN_ROWS]
    ]  # fmt: skip
    if lines:
        head = ("line", "run", "drill", "cutting data", "holes", "end", "wear", "day")
        table("Will become", head, lines)
    if len(found.new) > _SHOWN_ROWS:
        say(f"… and {len(found.new) - _SHOWN_ROWS:,} more.")
    if found.here:
        say(f"{found.here} rows are here already; they stay as they are.")
    for drill in found.found.drills:
        say(f"New drill for the trial: {drill.name}, {drill.substrate}, without a price.")
    for remark in found.found.remarks:
        say(remark)
    if found.found.refused:
        say(f"Refused rows: {len(found.found.refused)}")
        for refused in found.found.refused[:_SHOWN_ROWS]:
            say(f"  {refused.why}")
        if len(found.found.refused) > _SHOWN_ROWS:
            say(f"  … and {len(found.found.refused) - _SHOWN_ROWS:,} more.")

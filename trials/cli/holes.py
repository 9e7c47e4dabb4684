"""``holewise holes``: the holes of a run or of any file, and mending them by hand."""

from __future__ import annotations

import getpass
import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.core import TyperGroup

from trials import units
from trials.cli import holes_again
from trials.cli.common import RunNumber, TrialName, common, workbench
from trials.cli.file_progress import file_progress
from trials.cli.line_options import (
    Decimal,
    Delimiter,
    Encoding,
    FormatText,
    MapText,
    ProfileName,
    line_format_from,
    mapping_from,
    with_profile,
)
from trials.cli.show import say, table
from trials.errors import InputError

if TYPE_CHECKING:
    import pandas as pd

    from trials.workbench import Mended, Workbench

_DEFAULT = "list"


class _HolesGroup(TyperGroup):
    """``holewise holes FILE`` means ``holewise holes list FILE``."""

    def parse_args(self, ctx: Any, args: list[str]) -> Any:
        if args and args[0] not in (*self.commands, *ctx.help_option_names):
            args = [_DEFAULT, *args]
        return super().parse_args(ctx, args)


app = typer.Typer(
    cls=_HolesGroup,
    help="Holes of a run, or of any file: holewise holes TRIAL --run 2, holewise holes FILE.csv. "
    "A trial that is named like one of these commands: holewise holes list NAME.",
    no_args_is_help=True,
)

holes_again.add_to(app)

Who = Annotated[str | None, typer.Option("--by", help="Who says so; left out: your login name.")]
HoleNumber = Annotated[int, typer.Argument(help="Number of the hole.", metavar="HOLE", min=1)]


@app.command(_DEFAULT)
def list_holes(
    context: typer.Context,
    target: Annotated[
        str, typer.Argument(help="Name of a trial, or a recorded file.", metavar="TRIAL|FILE")
    ],
    run: RunNumber = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="Write the holes to this CSV file.")
    ] = None,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Replace the file of --out if it is there.")
    ] = False,
    expected: Annotated[
        Path | None,
        typer.Option(
            "--expected",
            help="For a file: a trial file whose hole, first drill and first cutting data say "
            "what a hole should look like.",
        ),
    ] = None,
    profile: ProfileName = None,
    line_format: FormatText = None,
    mapping: MapText = None,
    delimiter: Delimiter = None,
    decimal: Decimal = None,
    encoding: Encoding = None,
    skip_bad_lines: Annotated[
        bool, typer.Option("--skip-bad-lines", help="For a file: count bad lines and go on.")
    ] = False,
) -> None:
    """List holes with their features; the word list may be left out. Edits are laid on."""
    if out is not None and out.exists() and not overwrite:
        raise InputError(
            f"--out {out}", got="a file that is there already", allowed="a new name",
            do="Nothing was read. Choose another name, or replace it with --overwrite.",
        )  # fmt: skip
    file = Path(target)
    if not file.is_file():
        _refuse_file_options(
            target,
            profile,
            expected,
            line_format,
            mapping,
            delimiter,
            decimal,
            encoding,
            skip_bad_lines,
        )
        with workbench(context) as bench:
            found_run = bench.run(target, run)
            holes = bench.holes(target, found_run.number)
            trends = bench.trends(target, found_run.number)
        _show(context, f"Holes of run {found_run.number} of {target}", holes, out)
        if out is None:
            for trend in trends:
                say(f"{_FEATURES[trend.feature]}: {trend.words}.")
        return
    if run is not None:
        raise InputError("--run", got=run, allowed="with the name of a trial, not with a file")
    from trials.workbench import Workbench

    trial = None
    if expected is not None:
        from trials.sharing import read_trial

        trial = read_trial(expected)
    read_format = line_format_from(line_format, delimiter, decimal, encoding)
    read_mapping = mapping_from(mapping)
    if profile is not None:
        with workbench(context) as bench:
            _, read_format, read_mapping = with_profile(
                bench, profile, None, read_format, read_mapping
            )
    with file_progress(f"Reading {file.name}") as update:
        found = Workbench.holes_in_file(
            file,
            expected=trial,
            line_format=read_format,
            mapping=read_mapping,
            skip_bad_lines=skip_bad_lines,
            on_progress=update,
        )
    _show(context, f"Holes in {file.name}", found.holes, out)
    say(
        f"{len(found.holes)} holes, {found.samples:,} samples in {found.duration_s:,.1f} s, "
        f"{found.gaps} gaps, {found.rejected} rejected lines."
    )


@app.command("merge")
def merge(
    context: typer.Context,
    name: TrialName,
    first: HoleNumber,
    last: Annotated[int, typer.Argument(help="The hole up to which.", metavar="LAST", min=1)],
    run: RunNumber = None,
    who: Who = None,
) -> None:
    """Make one hole of the neighbours HOLE to LAST. Wear readings stay at the number typed."""
    with workbench(context) as bench:
        _say(bench.merge_holes(name, _run(bench, name, run), first, last, who=_who(who)))


@app.command("split")
def split(
    context: typer.Context,
    name: TrialName,
    hole: HoleNumber,
    at: Annotated[
        float | None,
        typer.Option("--at", help="Time in the trace, s; left out: the longest deep dip."),
    ] = None,
    run: RunNumber = None,
    who: Who = None,
) -> None:
    """Make two holes of one. Wear readings stay at the hole number that was typed."""
    with workbench(context) as bench:
        _say(bench.split_hole(name, _run(bench, name, run), hole, at, who=_who(who)))


@app.command("drop")
def drop(
    context: typer.Context,
    name: TrialName,
    hole: HoleNumber,
    run: RunNumber = None,
    who: Who = None,
) -> None:
    """Leave a hole out that is none. Wear readings stay at the hole number that was typed."""
    with workbench(context) as bench:
        _say(bench.drop_hole(name, _run(bench, name, run), hole, who=_who(who)))


@app.command("add")
def add(
    context: typer.Context,
    name: TrialName,
    start: Annotated[float, typer.Option("--start", help="Time of first contact in the trace, s.")],
    end: Annotated[float, typer.Option("--end", help="Time of its end in the trace, s.")],
    run: RunNumber = None,
    who: Who = None,
) -> None:
    """Add a hole that was missed. Wear readings stay at the hole number that was typed."""
    with workbench(context) as bench:
        _say(bench.add_hole(name, _run(bench, name, run), start, end, who=_who(who)))


@app.command("undo")
def undo(
    context: typer.Context, name: TrialName, run: RunNumber = None, who: Who = None
) -> None:  # fmt: skip
    """Take the newest edit back; it stays in the list of edits."""
    with workbench(context) as bench:
        _say(bench.undo_edit(name, _run(bench, name, run), who=_who(who)))


@app.command("redo")
def redo(
    context: typer.Context, name: TrialName, run: RunNumber = None, who: Who = None
) -> None:  # fmt: skip
    """Do again what was taken back last, if nothing else was mended since."""
    with workbench(context) as bench:
        _say(bench.redo_edit(name, _run(bench, name, run), who=_who(who)))


@app.command("edits")
def edits(context: typer.Context, name: TrialName, run: RunNumber = None) -> None:
    """List what was mended in the holes of a run, by whom and when, and whether it holds."""
    with workbench(context) as bench:
        number = _run(bench, name, run)
        shown = bench.edits(name, number)
    if not shown:
        say(f"Nothing was mended in the holes of run {number} of {name}.")
        return
    rows = [
        (
            str(edit.number),
            edit.text,
            edit.made_by,
            f"{edit.made_utc:%Y-%m-%d %H:%M} UTC",
            f"taken back by {edit.undone_by or 'somebody'}"
            if edit.undone_utc
            else edit.not_kept or "holds",
        )
        for edit in shown
    ]
    table(f"Edits of run {number} of {name}", ("edit", "what", "by", "when", "now"), rows)


_FEATURES = {
    "peak_pct": "Peak load",
    "mean_pct": "Mean load",
    "area_pct_s": "Area above idle",
    "cut_s": "Cutting time",
}
_COLUMNS = ("hole", "start s", "cutting s", "pecks", "peak", "mean", "area %·s", "idle", "trend",
            "sure", "remarks")  # fmt: skip


def _show(context: typer.Context, title: str, holes: pd.DataFrame, out: Path | None) -> None:
    if out is not None:
        _write(holes, out)
        say(f"{title}: {len(holes)} written to {out}.")
        return
    shown = common(context)
    rows = [
        (
            str(row["number"]),
            f"{row['start_s']:.2f}",
            f"{row['cut_s']:.2f}",
            str(row["pecks"]),
            shown.show(row["peak_pct"], "%"),
            shown.show(row["mean_pct"], "%"),
            f"{row['area_pct_s']:.0f}",
            shown.show(row["idle_pct"], "%"),
            f"{row['trend_pct']:+.0f} %",
            f"{row['confidence']:.2f}",
            str(row["flags"]),
        )
        for row in holes.to_dict("records")
    ]
    if rows:
        table(title, _COLUMNS, rows)
    else:
        say(f"{title}: none found.")


def _write(holes: pd.DataFrame, out: Path) -> None:
    """The whole table under its name, or nothing of it."""
    pecks = ["; ".join(f"{peak:.6g}" for peak in peaks) for peaks in holes["peck_peaks_pct"]]
    plain = holes.assign(peck_peaks_pct=pecks)
    partial = out.with_name(f"{out.name}.partial-{os.getpid()}")
    try:
        plain.to_csv(partial, index=False, float_format="%.6g", lineterminator="\n")
        partial.replace(out)
    except OSError as error:
        raise InputError(f"--out {out}", got=error.strerror or str(error),
                         allowed="a place that can be written") from error  # fmt: skip
    finally:
        partial.unlink(missing_ok=True)


def _refuse_file_options(target: str, *given: object) -> None:
    if Path(target).suffix.lower() in (".csv", ".txt", ".log", ".tsv") or any(given):
        raise InputError(
            f"file {target}", got="no such file", allowed="a recorded file that is there",
            do="Options such as --expected, --profile and --map go with a file; a trial's holes "
            "are listed by its name and --run.",
        )  # fmt: skip


def _run(bench: Workbench, name: str, run: int | None) -> int:
    return bench.run(name, run).number


def _who(given: str | None) -> str:
    if given is not None:
        return given
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "command line"


def _say(done: Mended) -> None:
    say(f"Run {done.run.number}: {done.said}")
    say(f"Holes: {done.holes_before} before, {done.holes} now.")
    if done.run.load_fresh_pct is not None and done.run.load_worn_pct is not None:
        say(
            f"Peak load: fresh {units.show(done.run.load_fresh_pct, '%')}, "
            f"worn {units.show(done.run.load_worn_pct, '%')}."
        )
    if done.note:
        say(done.note)

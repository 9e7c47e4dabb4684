"""``holewise import``: a recorded file becomes a run's recording."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

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
from trials.cli.show import say

if TYPE_CHECKING:
    from trials.workbench import RecordingSummary


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("import")(import_file)


def import_file(
    context: typer.Context,
    name: TrialName,
    file: Annotated[Path, typer.Argument(help="Recorded file.")],
    run: RunNumber = None,
    profile: ProfileName = None,
    line_format: FormatText = None,
    mapping: MapText = None,
    delimiter: Delimiter = None,
    decimal: Decimal = None,
    encoding: Encoding = None,
    skip_bad_lines: Annotated[
        bool,
        typer.Option("--skip-bad-lines", help="Count bad lines and go on; else nothing is taken."),
    ] = False,
) -> None:
    """Take a recorded file as a run's recording: all of it, or nothing and the reason."""
    shown = common(context)
    with workbench(context) as bench:
        _, read_format, read_mapping = with_profile(
            bench, profile, None,
            line_format_from(line_format, delimiter, decimal, encoding), mapping_from(mapping),
        )  # fmt: skip
        with file_progress(f"Reading {file.name}") as update:
            summary = bench.import_trace(
                name,
                run,
                file,
                line_format=read_format,
                mapping=read_mapping,
                skip_bad_lines=skip_bad_lines,
                on_progress=update,
            )
        found = bench.holes(name, summary.run.number)
    say_summary(summary)
    if len(found):
        say(
            f"Peak load first {shown.show(found['peak_pct'].iloc[0], '%')}, "
            f"last {shown.show(found['peak_pct'].iloc[-1], '%')}."
        )
    say(f"Next: holewise wear {name} --hole {summary.holes} --vb-average …")


def say_summary(summary: RecordingSummary) -> None:
    """What a recording or an import gave, in a sentence or two."""
    say(
        f"Run {summary.run.number} of {summary.trial}: {summary.holes} holes, "
        f"{summary.samples:,} samples in {summary.duration_s:,.1f} s, {summary.gaps} gaps, "
        f"{summary.rejected} rejected lines. {summary.ended_because}"
    )
    told = {name: count for name, count in summary.counters.items() if count}
    if summary.rejected or summary.gaps:
        say("Counted: " + ", ".join(f"{name} {count}" for name, count in told.items()))

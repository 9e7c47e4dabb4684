"""``holewise journal``: look after what was recorded, byte for byte."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import RunNumber, workbench
from trials.cli.import_file import say_summary
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
from trials.cli.show import console, say
from trials.errors import InputError

if TYPE_CHECKING:
    from trials.logger import LineFormat, Mapping
    from trials.workbench import JournalReport, Workbench

app = typer.Typer(
    help="Verify what was recorded, and rebuild samples and holes from it.", no_args_is_help=True
)

Target = Annotated[
    str, typer.Argument(help="Name of the trial, or the folder of a journal.", metavar="TRIAL")
]
_DAMAGED_STATUS = 1


@app.command("verify")
def verify(context: typer.Context, target: Target, run: RunNumber = None) -> None:
    """Read a journal to its end and say what is whole, what is torn and what was lost.

    Exit status 1 says that something in it is damaged.
    """
    folder = _folder(target)
    if folder is not None:
        from trials.workbench import Workbench

        found = Workbench.report_on(folder)
    else:
        with workbench(context) as bench:
            found = bench.journal_report(target, run)
    _say_report(found)
    if found.losses:
        raise typer.Exit(_DAMAGED_STATUS)


@app.command("rebuild")
def rebuild(
    context: typer.Context,
    target: Target,
    run: RunNumber = None,
    profile: ProfileName = None,
    line_format: FormatText = None,
    mapping: MapText = None,
    delimiter: Delimiter = None,
    decimal: Decimal = None,
    encoding: Encoding = None,
    out: Annotated[
        Path | None,
        typer.Option(help="For a journal of another shop: a new file for its samples, CSV."),
    ] = None,
    yes: Annotated[
        bool, typer.Option("--yes", help="Replace what changes without asking.")
    ] = False,
) -> None:
    """Make samples and holes again from the journal, by the same settings or by new ones.

    The same settings give the same trace, byte for byte. Where something changes it is said, and
    asked, before anything is replaced; what was there is kept in the folder "former".
    """
    with workbench(context) as bench:
        _, read_format, read_mapping = with_profile(
            bench, profile, None,
            line_format_from(line_format, delimiter, decimal, encoding), mapping_from(mapping),
        )  # fmt: skip
        folder = _folder(target)
        if folder is None:
            _rebuild_run(bench, target, run, read_format, read_mapping, yes=yes)
        elif (owner := _owner(bench, folder)) is not None:
            _rebuild_run(bench, *owner, read_format, read_mapping, yes=yes)
        else:
            _rebuild_elsewhere(folder, out, read_format, read_mapping)


def _folder(target: str) -> Path | None:
    """The folder, when a folder was meant."""
    path = Path(target)
    return path if path.is_dir() and any(path.glob("segment-*.journal")) else None


def _owner(bench: Workbench, folder: Path) -> tuple[str, int] | None:
    """Trial and run of a journal of this shop; None for one from elsewhere."""
    from trials.logger import JournalReader

    if folder.resolve().parent != (bench.folder / "journals").resolve():
        return None
    settings = JournalReader(folder, strict=False).settings()
    return str(settings["trial"]), int(settings["run"])


def _rebuild_run(
    bench: Workbench,
    trial: str,
    run: int | None,
    line_format: LineFormat | None,
    mapping: Mapping | None,
    *,
    yes: bool,
) -> None:
    check = bench.check_rebuild(trial, run, line_format=line_format, mapping=mapping)
    what = f"Run {check.run} of {trial}"
    if check.same:
        say(
            f"{what}: the journal gives the same trace again, byte for byte, and the same "
            f"{check.holes} holes from {check.samples:,} samples. Nothing was replaced."
        )
        return
    say(f"{what}: a rebuild gives {check.samples:,} samples and {check.holes} holes.")
    if check.same_bytes:
        say("The trace is the same, byte for byte.")
    for change in check.changes:
        say(f"  {change}")
    if not yes and not _agreed():
        say("Nothing was replaced.")
        return
    summary = bench.rebuild(trial, check.run, line_format=line_format, mapping=mapping)
    say_summary(summary)
    if not check.same_bytes:
        say(f"What was there is kept in {bench.folder / 'former'}.")


def _agreed() -> bool:
    console().print("Replace what is stored? (y/n) [n]: ", end="")
    sys.stdout.flush()
    line = sys.stdin.readline()
    if not line:
        raise InputError(
            "an answer", got="the end of the input", allowed="y or n",
            do="Without a keyboard use --yes.",
        )  # fmt: skip
    return line.strip().casefold().startswith("y")


def _rebuild_elsewhere(
    folder: Path, out: Path | None, line_format: LineFormat | None, mapping: Mapping | None
) -> None:
    from trials.logger import rebuild as rebuild_samples

    if out is None or out.exists():
        raise InputError(
            "--out" if out is None else f"--out {out.name}",
            got="nothing" if out is None else "a file that is there already",
            allowed="a new CSV file for the samples",
            do="This journal belongs to no run of this shop, so there is nothing to replace.",
        )  # fmt: skip
    found = rebuild_samples(folder, line_format=line_format, mapping=mapping, strict=False)
    found.samples.to_csv(out, index=False)
    say(
        f"Wrote {len(found.samples):,} samples to {out}; {len(found.gaps)} gaps, "
        f"{found.counters.rejected} rejected lines."
    )
    for damage in found.damaged:
        say(f"Damaged: {damage}")


def _say_report(found: JournalReport) -> None:
    say(f"Journal {found.folder}")
    trial, run = found.settings.get("trial"), found.settings.get("run")
    if trial is not None:
        say(f"Recorded for run {run} of {trial}.")
    ended = (
        "closed in good order" if found.closed else "not closed: it is being written or was cut off"
    )
    say(
        f"{found.records:,} whole records with {found.data_bytes:,} bytes from the source, "
        f"{_span(found.first_utc, found.last_utc)}; {ended}."
    )
    for loss in found.losses:
        lost = ""
        if loss.records:
            lost = f" Lost: {loss.records} record{'' if loss.records == 1 else 's'}."
        say(f"DAMAGED {loss.where}.{lost} {_around(loss.after_utc, loss.before_utc)}")
    if found.torn is not None:
        say(
            f"Torn end: {found.torn}. That is the record in flight when the logger was cut off; "
            "everything before it is whole. --resume cuts it away and goes on."
        )
    if not found.losses and found.torn is None:
        say("Whole: every record has its checksum.")


def _span(first: datetime | None, last: datetime | None) -> str:
    if first is None or last is None:
        return "no time known"
    return f"{first:%Y-%m-%d %H:%M:%S} to {last:%H:%M:%S} UTC"


def _around(after: datetime | None, before: datetime | None) -> str:
    left = "the beginning" if after is None else f"{after:%H:%M:%S.%f}"[:-3]
    right = "the end" if before is None else f"{before:%H:%M:%S.%f}"[:-3]
    return f"It came in between {left} and {right} UTC; a rebuild makes it a gap."

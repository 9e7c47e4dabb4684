"""``holewise export`` and ``holewise package``: a trial as one file to pass on."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import TrialName, workbench
from trials.cli.show import say, table
from trials.cli.show_progress import working
from trials.errors import ConflictError, require

if TYPE_CHECKING:
    from trials.workbench import PackagePreview
    from trials.workbench._share_merge import Side

app = typer.Typer(help="Look at packages of trials.", no_args_is_help=True)
PackageFile = Annotated[Path, typer.Argument(help="Package of a trial.", metavar="FILE")]


def add_to(top: typer.Typer) -> None:
    """Add this file's commands."""
    top.command("export")(export)
    top.command("report")(report)


def export(
    context: typer.Context,
    name: TrialName,
    out: Annotated[Path, typer.Option("--out", help="File to write, such as bracket.zip.")],
    licence: Annotated[
        str,
        typer.Option(help="Terms for passing it on: CC-BY-4.0, or a sentence of your own."),
    ] = "",
    traces: Annotated[
        bool, typer.Option("--traces/--no-traces", help="With the recorded load, or without.")
    ] = True,
    without: Annotated[
        list[str] | None,
        typer.Option(
            help="Leave out: prices, names, machines, people, photos, times or notes. May be "
            "given several times."
        ),
    ] = None,
    preview: Annotated[
        bool, typer.Option("--preview", help="Show what would be left out; write nothing.")
    ] = False,
    replace: Annotated[bool, typer.Option("--replace", help="Write over the file.")] = False,
) -> None:
    """Write a trial as a package that opens in a spreadsheet and can be checked."""
    remove = without or []
    if preview:
        with workbench(context) as bench:
            fields = bench.preview_removal(name, remove)
        if not fields:
            say("Nothing would be left out. Choose it with --without.")
            return
        rows = [(one.removal, one.file, one.field, str(one.values)) for one in fields]
        table("Would be left out", ("because of", "file", "field", "values"), rows)
        say("The name of a thing is also taken out of texts that stay.")
        return
    with workbench(context) as bench, working("Writing the package") as told:
        done = bench.export(
            name, out, licence=licence, traces=traces, remove=remove, replace=replace,
            on_progress=told,
        )  # fmt: skip
    say(
        f"Wrote {done.path}: {done.size_bytes:,} bytes, {done.traces} traces, {done.photos} photos."
    )
    if done.removed:
        say(f"Left out: {', '.join(done.removed)}.")
    if not licence:
        say("No licence was stated; say on what terms it may be passed on with --licence.")


def report(
    context: typer.Context,
    name: TrialName,
    out: Annotated[
        Path, typer.Option("--out", help="File to write: bracket.html, or bracket.pdf.")
    ],
    without: Annotated[
        list[str] | None,
        typer.Option(help="Leave out: prices, names, machines or others; see 'export'."),
    ] = None,
    paper: Annotated[str, typer.Option(help="Sheets of a PDF: A4 or Letter.")] = "A4",
) -> None:
    """Write a trial as a page to read and print: summary first, then all of it; HTML or PDF.

    A PDF is made by a Chromium (or a browser of its kind) of this computer; HOLEWISE_CHROMIUM
    names one. Without one, open the HTML in any browser and print it from there.
    """
    from trials.store import disk_error

    sheets = {"a4": "A4", "letter": "Letter"}
    require(paper.lower() in sheets, "--paper", paper, "A4 or Letter")
    with workbench(context) as bench, working("Writing the report"):
        if out.suffix.lower() == ".pdf":
            data = bench.report_pdf(name, remove=without or [], paper=sheets[paper.lower()])  # type: ignore[arg-type]  # one of both
        else:
            data = bench.report(name, remove=without or []).encode()
    try:
        out.write_bytes(data)
    except OSError as error:
        raise disk_error("report", out, error) from error
    if out.suffix.lower() == ".pdf":
        say(f"Wrote {out}, for sheets of {sheets[paper.lower()]}.")
    else:
        say(f"Wrote {out}. Open it in a browser; it prints on A4 and Letter, also to PDF.")


@app.command("verify")
def verify(file: PackageFile) -> None:
    """Say whether a package is as it was written: every byte, cell and sample."""
    from trials.workbench import Workbench

    with working("Checking the package") as told:
        found = Workbench.verify_package(file, on_progress=told)
    say(
        f"{file} is whole: trial {found.plain.get('name')}, {len(found.files)} files, written by "
        f"Holewise {found.version}. SHA-256 {found.digest}."
    )
    if found.removed:
        say(f"Removed by the sender: {', '.join(found.removed)}.")


@app.command("import")
def import_package(
    context: typer.Context,
    file: PackageFile,
    name: Annotated[
        str | None, typer.Option(help="Name for the trial here; left out: the sender's.")
    ] = None,
    preview: Annotated[
        bool, typer.Option("--preview", help="Show what it would do; take nothing in.")
    ] = False,
    theirs: Annotated[
        list[str] | None,
        typer.Option(help="Take the package's side: 'run 3, end', 'run 3', trial or all."),
    ] = None,
    mine: Annotated[
        list[str] | None, typer.Option(help="Keep this shop's side of the same.")
    ] = None,
) -> None:
    """Take in a package: all of it, or nothing and the reason.

    Where both sides went on with a trial, what differs is shown side by side, and --theirs and
    --mine say which side holds; the most exact name goes first. What is only in the package is
    added; a run whose number is another run's here gets the next one.
    """
    choices: dict[str, Side] = {}
    choices |= dict.fromkeys(mine or (), "mine")
    for one in theirs or ():
        require(choices.get(one) is None, "--theirs and --mine", one, "each name once")
        choices[one] = "theirs"
    with workbench(context) as bench, working("Checking the package") as told:
        if preview:
            found = bench.preview_package(file, name=name, on_progress=told)
        else:
            try:
                found = bench.import_package(file, name=name, choices=choices, on_progress=told)
            except ConflictError:
                differing = bench.preview_package(file, name=name)
                _show_differences(differing)
                raise
    done = "Would take" if preview else "Took"
    if found.nothing_to_do:
        say(f"All of {found.file} is here already, in trial {found.trial}. Nothing to do.")
    elif found.new_trial:
        say(f"{done} in trial {found.trial} with {found.runs} runs from {found.file}.")
    else:
        new = ", ".join(map(str, found.new_runs)) or "none"
        say(f"{done} in for trial {found.trial} from {found.file}: new runs {new}.")
    for there, here in found.renumbered:
        say(f"Run {there} of the package is run {here} here, because that number was taken.")
    if found.new_photos:
        say(f"Photos: {found.new_photos}.")
    if preview or not choices:
        _show_differences(found)
    elif found.differences:
        say(f"{len(found.differences)} values differed; they stand as you chose.")
    _show_answers(found)
    if found.removed:
        say(f"The sender left out: {', '.join(found.removed)}. Those values are not known here.")
    say(f"Licence: {found.licence or 'none stated; ask before you pass it on'}.")


def _show_differences(found: PackagePreview) -> None:
    if not found.differences:
        return
    rows = [(one.key, one.here, one.there, "" if one.takeable else "stays as it is here")
            for one in found.differences]  # fmt: skip
    table("Differs", ("what", "here", "in the package", ""), rows)


def _show_answers(found: PackagePreview) -> None:
    for remark in found.remarks:
        about = found.trial if remark.run is None else f"run {remark.run}"
        say(f"Remark of {remark.made_by or 'somebody'} on {about}: {remark.text}")
    if found.proposals:
        say(f"Proposals: {len(found.proposals)}. See them with: holewise proposals {found.trial}")
    for one in found.proposals:
        if one.problem:
            say(f"A proposal for {one.drill} cannot be drilled here: {one.problem}")


@app.command("undo")
def undo(context: typer.Context, name: TrialName) -> None:
    """Take out what was taken in last, a package or a sheet, unless it was worked on since."""
    with workbench(context) as bench:
        taken = bench.undo_import(name)
    if taken.made.get("trial"):
        say(f"Took {name} out again, which came from {taken.file}.")
    else:
        say(f"Took out of {name} again what came from {taken.file}.")

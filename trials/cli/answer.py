"""``holewise package answer`` and ``holewise proposals``: what somebody else says of a trial."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from trials.cli.common import TrialName, common, cutting_data_text, workbench
from trials.cli.package import PackageFile
from trials.cli.package import app as package_app
from trials.cli.show import say, table
from trials.cli.show_progress import working
from trials.errors import InputError, require


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("proposals")(proposals)


@package_app.command("answer")
def answer(
    file: PackageFile,
    out: Annotated[Path, typer.Option("--out", help="The answered package to write.")],
    remark: Annotated[
        list[str] | None, typer.Option(help="A remark on the trial, or on --run. Repeatable.")
    ] = None,
    run: Annotated[int | None, typer.Option(help="Run that the remarks are about.", min=1)] = None,
    propose: Annotated[
        list[str] | None,
        typer.Option(help="Cutting data: '90 m/min, 0.18 mm/rev, chip_break 1 xD'. Repeatable."),
    ] = None,
    drill: Annotated[
        str | None, typer.Option(help="Drill of the proposals; left out: the trial's first.")
    ] = None,
    why: Annotated[str, typer.Option(help="Why it is proposed.")] = "",
    proposals_file: Annotated[
        Path | None, typer.Option("--proposals", help="Proposals filled in in a spreadsheet, CSV.")
    ] = None,
    by: Annotated[str, typer.Option(help="Who answers.")] = "",
    replace: Annotated[bool, typer.Option("--replace", help="Write over the file.")] = False,
) -> None:
    """Answer a package with remarks and proposed cutting data; needs no shop's data."""
    from trials.sharing import Proposal, Remark, answer_package, open_package, read_cutting_data

    if not (remark or propose or proposals_file):
        raise InputError("nothing to answer", do="Give --remark, --propose or --proposals.")
    require(not drill or bool(propose), "--drill", drill, "together with --propose")
    with open_package(file) as package:
        first = str(package.plain["drills"][0]["name"])
    proposed = [Proposal(drill or first, read_cutting_data(one), why) for one in propose or ()]
    with working("Writing the answer") as told:
        remarks, made = answer_package(
            file, out, remarks=[Remark(one, run) for one in remark or ()], proposals=proposed,
            sheet=proposals_file, made_by=by, replace=replace, on_progress=told,
        )  # fmt: skip
    say(f"Wrote {out}: {remarks} remarks and {made} proposals added. {file} stays as it was.")
    say("The shop takes it in with: holewise package import, and checks it before it is drilled.")


def proposals(
    context: typer.Context,
    name: TrialName,
    use: Annotated[
        int | None, typer.Option(help="Plan the next run with the proposal of this number.", min=1)
    ] = None,
    file: Annotated[
        Path | None,
        typer.Option(help="Take in proposals that were filled in in a spreadsheet, CSV."),
    ] = None,
    by: Annotated[str, typer.Option(help="Who filled that file in.")] = "",
) -> None:
    """Show remarks and proposals of others, each with what the machine says; use one."""
    shown = common(context)
    with workbench(context) as bench:
        if file is not None:
            say(f"New proposals: {bench.import_proposals(name, file, made_by=by)}.")
        if use is not None:
            run = bench.use_proposal(name, use)
            say(f"Run {run.number} of {name} planned with proposal {use}: {run.note}.")
            say(f"Next: holewise log {name} --source …")
            return
        remarks, found = bench.remarks(name), bench.proposals(name)
    if not (remarks or found):
        say("No remarks or proposals. They come with a package that was answered.")
        return
    for one in remarks:
        about = name if one.run is None else f"run {one.run}"
        say(f"{one.made_by or 'Somebody'} on {about} ({one.came_from}): {one.text}")
    rows = [
        (
            str(each.number), each.drill, cutting_data_text(each.cutting_data, shown),
            each.made_by or "–", each.came_from,
            f"run {each.run}" if each.run else "too much for the machine" if each.problem
            else "can be drilled", each.why,
        )
        for each in found
    ]  # fmt: skip
    if rows:
        head = ("no", "drill", "cutting data", "by", "came in", "", "why")
        table("Proposals", head, rows)
    for each in found:
        if each.problem and each.run is None:
            say(f"Proposal {each.number}: {each.problem}")
    if found:
        say(f"Use one with: holewise proposals {name} --use NUMBER")

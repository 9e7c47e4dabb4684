"""``holewise holes again``: find the holes of all recordings again."""

from __future__ import annotations

from typing import Annotated

import typer

from trials.cli.common import workbench
from trials.cli.show import say
from trials.cli.show_progress import working
from trials.errors import InputError


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("again")(again)


def again(
    context: typer.Context,
    name: Annotated[
        str | None, typer.Argument(help="Name of a trial; left out with --all.", metavar="TRIAL")
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Every recording of the shop.")] = False,
    workers: Annotated[
        int | None,
        typer.Option(help="Processes of this computer; left out: one for each core.", min=1),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(help="Address of a Dask scheduler instead, such as tcp://server:8786.",
                     metavar="ADDRESS"),
    ] = None,
    fresh: Annotated[
        bool, typer.Option("--fresh", help="Begin anew instead of where it was interrupted.")
    ] = False,
    filter_delay: Annotated[
        float,
        typer.Option(help="Seconds by which the drive's filter delays the load; holes are given as "
                     "much earlier.", min=0.0),
    ] = 0.0,
    load_alone: Annotated[
        bool,
        typer.Option("--load-alone", help="By the load alone, whatever cutting data say of a "
                     "hole: where they were noted wrong."),
    ] = False,
) -> None:  # fmt: skip
    """Find the holes of finished recordings again, with the program as it is now or other settings.

    What comes out otherwise replaces what is stored; that is kept in the folder "former", and
    edits of people stay. After an interruption the same command goes on where it was. Exit status
    1 says that some recordings could not be done.
    """
    if (name is None) == (not every):
        raise InputError("TRIAL and --all", got="both" if every else "none of them",
                         allowed="one of them")  # fmt: skip
    from trials.workbench import FindSettings

    with workbench(context) as bench, working("finding holes again") as told:
        found = bench.find_all_again(
            trial=name, workers=workers, scheduler=scheduler, fresh=fresh,
            settings=FindSettings(filter_delay, load_alone),
            on_progress=lambda done, total, _: told(done / total),
        )  # fmt: skip
        former = bench.folder / "former"
    if found.done_before:
        say(f"{found.done_before:,} were done before the interruption.")
    say(f"{found.recordings:,} recordings: {found.same:,} give the same holes, {found.changed:,} "
        f"give others, {len(found.problems):,} could not be done.")  # fmt: skip
    if found.changed:
        say(f"What was there is kept in {former}.")
    for problem in found.problems:
        say(f"  {problem}")
    if found.problems:
        raise typer.Exit(1)

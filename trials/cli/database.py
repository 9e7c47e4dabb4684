"""``holewise database``, ``backup`` and ``restore``: where the shop's tables are, and copies."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from trials.cli.common import common, workbench
from trials.cli.show import say
from trials.cli.show_progress import working

app = typer.Typer(help="Where the shop's tables are: a file of this computer, or a server.")


def add_to(top: typer.Typer) -> None:
    """Add this file's commands."""
    top.command("backup")(backup)
    top.command("restore")(restore)


def backup(
    context: typer.Context,
    folder: Annotated[Path, typer.Argument(help="A new folder, or that of an earlier backup.")],
    leave_objects: Annotated[
        bool,
        typer.Option(
            "--leave-objects",
            help="Files that lie on the object store alone stay there; the copy reads them there.",
        ),
    ] = False,
) -> None:
    """Copy the whole shop, also while it records, into a folder that opens by itself."""
    with workbench(context) as bench, working("Copying the shop") as told:
        done = bench.back_up_shop(folder, told, leave_objects=leave_objects)
    say(f"{done.files} files, {done.size / 2**20:,.1f} MiB, are in {done.folder}.")
    say(f"Next: look into it with 'holewise --data {done.folder} trial list', and keep it on "
        "another disk.")  # fmt: skip


def restore(
    context: typer.Context,
    folder: Annotated[Path, typer.Argument(help="The folder that 'holewise backup' made.")],
) -> None:
    """Make a new data folder, the one after --data, from a backup; every file is checked."""
    from trials.workbench import Workbench

    target = common(context).data
    if target is None:
        raise typer.BadParameter("say where to with --data before the command: a new folder")
    with working("Restoring the shop") as told:
        done = Workbench.restore(folder, target, told)
    say(f"{done.files} files, {done.size / 2**20:,.1f} MiB, are in {done.folder}, each as it was.")


@app.command()
def show(context: typer.Context) -> None:
    """Say where the shop's tables are."""
    with workbench(context) as bench:
        say(f"The tables are in {bench.database_place}; all else is in {bench.folder}.")


@app.command()
def use(
    context: typer.Context,
    address: Annotated[
        str, typer.Argument(help="postgresql://user@server/database, or 'file' for one here.")
    ],
) -> None:
    """Keep the tables on a PostgreSQL server, or in a file here again, with all that is in them."""
    from trials.workbench import Workbench

    data = common(context).data
    moved = Workbench.use_file(data) if address == "file" else Workbench.use_server(data, address)
    if moved.joined:
        say(f"This folder now uses the shop in {moved.place}.")
    else:
        say(f"The tables are in {moved.place} now, {moved.rows:,} rows taken along.")

"""``holewise people``: who may look at the dashboard from other computers."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from trials.cli.common import workbench
from trials.cli.show import say, table
from trials.errors import InputError, require

app = typer.Typer(
    help="Say who may sign in to the dashboard, and what they see.", no_args_is_help=True
)


@app.command("add")
def add(
    context: typer.Context,
    name: Annotated[str, typer.Argument(help="What is typed when signing in.", metavar="NAME")],
    role: Annotated[
        str, typer.Option(help="editor: may change things; reader: only looks.")
    ] = "reader",
    prices: Annotated[
        bool | None,
        typer.Option(
            "--prices/--no-prices",
            help="Show prices and costs, or hide them; left out: shown to editors only.",
        ),
    ] = None,
    password_file: Annotated[
        Path | None,
        typer.Option("--password-file", help="Take the password from the first line of this file."),
    ] = None,
) -> None:
    """Let somebody sign in. The password is asked for, and kept as a salted hash only."""
    require(role in ("editor", "reader"), "--role", role, "editor or reader")
    password = read_password(password_file) if password_file is not None else _asked(name)
    with workbench(context) as bench:
        person = bench.add_person(
            name, password, "editor" if role == "editor" else "reader",
            sees_prices=role == "editor" if prices is None else prices,
        )  # fmt: skip
    money = "sees prices" if person.sees_prices else "sees no prices"
    say(f"{person.name} may sign in now as {person.role} and {money}.")


@app.command("list")
def list_people(context: typer.Context) -> None:
    """List who may sign in."""
    with workbench(context) as bench:
        people = bench.people()
    if not people:
        say("Nobody was added. The dashboard is open on this computer, and closed to others.")
        return
    table(
        "People",
        ("name", "role", "prices", "added (UTC)"),
        [
            (one.name, one.role, "shown" if one.sees_prices else "hidden", one.added_utc)
            for one in people
        ],
    )


@app.command("remove")
def remove(
    context: typer.Context,
    name: Annotated[str, typer.Argument(help="Whom to remove.", metavar="NAME")],
) -> None:
    """Let somebody sign in no longer; where they are signed in, that ends at once."""
    with workbench(context) as bench:
        person = bench.remove_person(name)
    say(f"{person.name} can sign in no longer.")


def read_password(path: Path, option: str = "--password-file") -> str:
    """The first line of a file that ``option`` named.

    Raises:
        InputError: it cannot be read, is empty, or everybody on this computer may read it.
    """
    try:
        with path.open(encoding="utf-8") as file:
            mode = path.stat().st_mode
            line = file.readline(2000).rstrip("\r\n")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{option} {path}", got=str(error), allowed="a text file") from None
    if sys.platform != "win32" and mode & 0o004:
        raise InputError(
            f"{option} {path}: everybody on this computer may read it",
            allowed="a file for its owner's eyes", do=f"Close it with: chmod 600 {path}",
        )  # fmt: skip
    require(bool(line), f"{option} {path}", "an empty first line", "a password or token")
    return line


def _asked(name: str) -> str:
    if not sys.stdin.isatty():
        raise InputError(
            "no terminal to ask for the password on", allowed="a terminal, or --password-file FILE"
        )
    found: str = typer.prompt(f"Password for {name}", hide_input=True, confirmation_prompt=True)
    return found

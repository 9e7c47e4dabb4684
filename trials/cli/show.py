"""How the command line shows things: tables, sentences and errors, plain when piped."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

import typer

from trials.errors import HolewiseError

if TYPE_CHECKING:
    from rich.console import Console

PIPED_WIDTH = 200


def console() -> Console:
    """A console that never reads markup in what users wrote, and does not wrap when piped."""
    from rich.console import Console

    width = None if sys.stdout.isatty() else PIPED_WIDTH
    return Console(markup=False, highlight=False, emoji=False, width=width)


def table(title: str, columns: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Print a table; the first column is what rows are called by."""
    from rich import box
    from rich.table import Table

    shown = Table(
        box=box.SIMPLE_HEAD if sys.stdout.isatty() else None,
        pad_edge=False,
        padding=(0, 1),
    )
    for column in columns:
        shown.add_column(column)
    for row in rows:
        shown.add_row(*row)
    if title:
        say(title)  # beside the table it would be folded to the table's width
    console().print(shown)


def say(text: str = "") -> None:
    """Print a sentence or a paragraph."""
    console().print(text, soft_wrap=not sys.stdout.isatty())


def complain(error: HolewiseError) -> None:
    """Print an error as one paragraph on standard error."""
    typer.echo(f"holewise: {error}", err=True)

"""How far a file is read: a bar on a screen, a line for each tenth when piped."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import typer

from trials.cli.show import console

if TYPE_CHECKING:
    from trials.workbench import OnProgress, Progress


@contextmanager
def file_progress(title: str) -> Iterator[OnProgress]:
    """Show it on standard error while the ``with`` statement goes on; give what is to be called."""
    from rich.console import Console
    from rich.progress import BarColumn, TextColumn, TimeRemainingColumn
    from rich.progress import Progress as Bar

    if not sys.stderr.isatty():
        tenths = 0

        def tell(progress: Progress) -> None:
            nonlocal tenths
            if int(10 * (progress.share or 0.0)) > tenths:
                tenths = int(10 * (progress.share or 0.0))
                typer.echo(f"{title}: {10 * tenths} %, {_told(progress)}", err=True)

        yield tell
        return
    columns = (
        TextColumn("{task.description}", markup=False), BarColumn(),
        TextColumn("{task.percentage:>3.0f} %  {task.fields[told]}", markup=False),
        TimeRemainingColumn(),
    )  # fmt: skip
    target = Console(stderr=True, markup=False, highlight=False, width=console().width)
    with Bar(*columns, console=target, transient=True) as bar:
        task = bar.add_task(title, total=1.0, told="")
        yield lambda progress: bar.update(
            task, completed=progress.share or 0.0, told=_told(progress)
        )


def _told(progress: Progress) -> str:
    return f"{progress.samples:,} samples, {progress.holes:,} holes"

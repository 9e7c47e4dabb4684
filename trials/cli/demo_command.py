"""``holewise demo``: an invented trial from beginning to end."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from trials.cli.common import common


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("demo")(demo)


def demo(
    context: typer.Context,
    folder: Annotated[
        Path | None,
        typer.Option(
            help="New or empty folder for the demo; left out: holewise-demo in this folder, or the "
            "next free number after it."
        ),
    ] = None,
    keep_open: Annotated[
        bool,
        typer.Option(
            "--keep-open/--once", help="Leave the dashboard open until Ctrl-C, or stop at its end."
        ),
    ] = True,
    port: Annotated[
        int | None,
        typer.Option(
            help="Port of the dashboard; left out: 8050, or a free one.", min=1, max=65535
        ),
    ] = None,
    seed: Annotated[int, typer.Option(help="Another number is another set of drills.", min=0)] = 1,
) -> None:
    """Run an invented trial: simulated machine, recorded runs, wear, suggestion, dashboard."""
    from trials.cli.demo import demo as run_demo

    run_demo(common(context), folder, keep_open=keep_open, port=port, seed=seed)

"""``holewise dashboard``: the screens, in a browser, on this computer."""

from __future__ import annotations

from typing import Annotated

import typer

from trials.cli.common import workbench
from trials.cli.show import say
from trials.errors import require


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("dashboard")(dashboard)


def dashboard(
    context: typer.Context,
    port: Annotated[int, typer.Option(help="Port to serve on.", min=1, max=65535)] = 8050,
    host: Annotated[
        str, typer.Option(help="Address to serve on; only this computer's own for now.")
    ] = "127.0.0.1",
) -> None:
    """Serve the dashboard to a browser on this computer, until Ctrl-C."""
    require(
        host in ("127.0.0.1", "localhost", "::1"),
        "--host",
        host,
        "127.0.0.1, localhost or ::1",
        "Other computers may not reach the dashboard yet: it has no sign-in.",
    )
    from dashboard import serve

    with workbench(context) as bench:
        say(f"Dashboard of {bench.folder}: http://{host}:{port}/    Ctrl-C stops it.")
        serve(bench, host=host, port=port)

"""``holewise dashboard``: the screens, in a browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from trials.cli.common import workbench
from trials.cli.telling import tell


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("dashboard")(dashboard)


def dashboard(
    context: typer.Context,
    port: Annotated[int, typer.Option(help="Port to serve on.", min=1, max=65535)] = 8050,
    host: Annotated[
        str,
        typer.Option(
            help="Address to serve on. Others than this computer's own ask for people "
            "(holewise people add) or --password-file."
        ),
    ] = "127.0.0.1",
    password_file: Annotated[
        Path | None,
        typer.Option(
            "--password-file",
            help="Ask everybody for the password in the first line of this file.",
        ),
    ] = None,
    behind_tls: Annotated[
        bool,
        typer.Option(
            "--behind-tls",
            help="A proxy in front speaks TLS and says on whose behalf it asks.",
        ),
    ] = False,
    metrics_token_file: Annotated[
        Path | None,
        typer.Option(
            "--metrics-token-file",
            help="Let a monitoring system that shows the token in the first line of this file read "
            "/metrics where people have to sign in.",
        ),
    ] = None,
    known_as: Annotated[
        list[str] | None,
        typer.Option(
            "--known-as",
            help="A host name that people type for this computer; may be given several times.",
        ),
    ] = None,
) -> None:
    """Serve the dashboard to browsers, until Ctrl-C."""
    from dashboard import rules_for, serve
    from trials.cli.people import read_password

    password = None if password_file is None else read_password(password_file)
    token = (
        None if metrics_token_file is None
        else read_password(metrics_token_file, "--metrics-token-file")
    )  # fmt: skip
    with workbench(context) as bench:
        rules = rules_for(
            bench, host, shared_password=password, behind_tls=behind_tls,
            known_as=tuple(known_as or ()),
            metrics_token=token,
        )  # fmt: skip
        text = f"Dashboard of {bench.folder}: http://{host}:{port}/    Ctrl-C stops it."
        tell("dashboard", "serves", text)
        serve(bench, host=host, port=port, rules=rules)

"""``holewise metrics``: figures for a monitoring system, where no dashboard serves them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from trials.cli.common import workbench
from trials.cli.show import say


def add_to(app: typer.Typer) -> None:
    """Add this file's command."""
    app.command("metrics")(metrics)


def metrics(
    context: typer.Context,
    out: Annotated[
        Path | None,
        typer.Option(help="Write them to this file as a whole, for an agent that collects files."),
    ] = None,
) -> None:
    """Print how the shop runs, in the text format of Prometheus; the dashboard has /metrics."""
    from trials.store import write_whole

    with workbench(context) as bench:
        families = bench.metrics()  # says so when the library is not installed
    from prometheus_client import CollectorRegistry, generate_latest

    class Given:
        def collect(self) -> list[object]:
            return families

    registry = CollectorRegistry()
    registry.register(Given())  # type: ignore[arg-type]  # any object that collects will do
    text = generate_latest(registry)
    if out is None:
        typer.echo(text.decode(), nl=False)
        return
    write_whole(out, text, "file for metrics")
    say(f"Wrote {out}.")

"""The command ``holewise``: every group of commands is one file beside this one."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from trials import __version__
from trials.cli import (
    answer,
    choose,
    compare,
    cost,
    dashboard,
    database,
    demo_command,
    doctor,
    files,
    forward,
    history,
    holes,
    import_file,
    import_runs,
    interval,
    journal,
    life,
    log,
    metrics,
    package,
    people,
    photo,
    plan,
    run,
    start,
    suggest,
    trial,
    wear,
)
from trials.cli.common import Common
from trials.cli.show import complain
from trials.cli.telling import set_up_logs, tell, tells_json
from trials.errors import HolewiseError, require

app = typer.Typer(
    name="holewise",
    help="Choose, dial in and compare drills with test holes, spindle load, wear and cost.",
    epilog="Advisory only: Holewise never writes to a machine control.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.add_typer(trial.app, name="trial")
app.add_typer(run.app, name="run")
app.add_typer(journal.app, name="journal")
app.add_typer(holes.app, name="holes")
app.add_typer(package.app, name="package")
app.add_typer(database.app, name="database")
app.add_typer(files.app, name="files")
app.add_typer(photo.app, name="photo")
app.add_typer(people.app, name="people")
for module in (
    choose, start, plan, log, import_file, import_runs, wear, life, cost, interval, compare,
    suggest, history, dashboard, demo_command, doctor, forward, metrics, package, answer, database,
):  # fmt: skip
    module.add_to(app)


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"holewise {__version__}")
        raise typer.Exit


@app.callback()
def _common(
    context: typer.Context,
    data: Annotated[
        Path | None,
        typer.Option(
            "--data",
            envvar="HOLEWISE_DATA",
            help="The shop's data folder; left out: the usual place of this system.",
        ),
    ] = None,
    units: Annotated[str, typer.Option("--units", help="Show values as metric or inch.")] = (
        "metric"
    ),
    log_format: Annotated[
        str,
        typer.Option(
            "--log-format",
            envvar="HOLEWISE_LOG_FORMAT",
            help="How long-running commands tell: text, or json for one record a line on standard "
            "error.",
        ),
    ] = "text",
    log_level: Annotated[
        str,
        typer.Option(
            "--log-level",
            envvar="HOLEWISE_LOG_LEVEL",
            help="Least that json tells: debug, info, warning or error.",
        ),
    ] = "info",
    version: Annotated[  # noqa: ARG001 - its callback does the work
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Show the version."),
    ] = False,
) -> None:
    require(units in ("metric", "inch"), "--units", units, "metric or inch")
    set_up_logs(log_format, log_level)
    context.obj = Common(data=data, system="inch" if units == "inch" else "metric")


def main() -> None:
    """Run the command line; an error for the user is one paragraph and exit status 1."""
    try:
        app()
    except HolewiseError as error:
        if tells_json():
            tell("command", "failed", str(error), level="error")
        else:
            complain(error)
        sys.exit(1)
    except KeyboardInterrupt:
        sys.exit(130)


if __name__ == "__main__":
    main()

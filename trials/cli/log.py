"""``holewise log``: record a run from a live source, or find out how a source talks."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import RunNumber, test_words, workbench
from trials.cli.ending import stop_on_signal
from trials.cli.import_file import say_summary
from trials.cli.line_options import (
    Decimal,
    Delimiter,
    Encoding,
    FormatText,
    MapText,
    ProfileName,
    line_format_from,
    mapping_from,
    with_profile,
)
from trials.cli.show import say
from trials.cli.telling import tell, tells_json
from trials.errors import InputError

if TYPE_CHECKING:
    from trials.cli.log_screen import PlainLines, Screen
    from trials.logger import LineFormat, Mapping
    from trials.workbench import RecordingSummary, Workbench

ALARM_STATUS = 3


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("log")(log)


def log(
    context: typer.Context,
    name: Annotated[
        str | None, typer.Argument(help="Name of the trial; not with --setup.", metavar="TRIAL")
    ] = None,
    source: Annotated[
        str | None,
        typer.Option(
            help="Where values come from: serial:/dev/ttyUSB0?baud=9600, tcp://host:port, "
            "shdr://host:7878, mtconnect://host:5000, csv:FILE?follow=1, replay:FILE, or any "
            "address that pyserial knows."
        ),
    ] = None,
    run: RunNumber = None,
    profile: ProfileName = None,
    line_format: FormatText = None,
    mapping: MapText = None,
    delimiter: Delimiter = None,
    decimal: Decimal = None,
    encoding: Encoding = None,
    resume: Annotated[
        bool, typer.Option("--resume", help="Go on with a recording that was cut off.")
    ] = False,
    resume_if_cut_off: Annotated[
        bool,
        typer.Option(
            "--resume-if-cut-off",
            help="Go on with a recording that was cut off, else begin the next planned run; for "
            "services that start again by themselves.",
        ),
    ] = False,
    reconnect: Annotated[
        bool,
        typer.Option(help="When the link breaks, note a gap and try again until Ctrl-C."),
    ] = True,
    holes: Annotated[int | None, typer.Option(help="Stop after so many holes.", min=1)] = None,
    seconds: Annotated[
        float | None,
        typer.Option(help="Stop after so long; with --setup, listen so long.", min=0.1),
    ] = None,
    alarm_file: Annotated[
        Path | None, typer.Option(help="File with a line for each alarm that stands.")
    ] = None,
    alarm_command: Annotated[
        str | None,
        typer.Option(
            help="Program with its arguments, run when an alarm changes: no shell, for at most "
            "10 s, beside the recording. What it is about stands in HOLEWISE_ALARM… variables."
        ),
    ] = None,
    sound: Annotated[bool, typer.Option(help="Ring the bell while an alarm stands.")] = True,
    setup: Annotated[
        bool,
        typer.Option(
            "--setup",
            help="Listen, show every field, offer what is what, and save it as a profile "
            "(named by --profile).",
        ),
    ] = False,
    yes: Annotated[
        bool, typer.Option("--yes", help="With --setup: take what is offered, ask nothing.")
    ] = False,
) -> None:
    """Record a run while test holes are drilled, until Ctrl-C. Only listens, never writes.

    Exit status 3 says that an alarm stood at the end that nobody had acknowledged.
    """
    read_format = line_format_from(line_format, delimiter, decimal, encoding)
    read_mapping = mapping_from(mapping)
    if setup:
        from trials.cli.log_setup import set_up

        with workbench(context) as bench:
            set_up(
                bench, source, profile, name, read_format, read_mapping,
                seconds=seconds, yes=yes,
            )  # fmt: skip
        return
    if name is None:
        raise InputError(
            "trial", got="none given", allowed="the name of a trial",
            do="holewise trial list shows them; holewise log --setup needs none.",
        )  # fmt: skip
    with workbench(context) as bench:
        found_run = bench.run(name, run)
        resume = resume or (resume_if_cut_off and found_run.state == "recording")
        source, read_format, read_mapping = with_profile(
            bench, profile, source, read_format, read_mapping
        )
        if not resume:
            _require_source(source, read_format, read_mapping)
        stop = _stop_after(seconds)
        begins = f"Recording run {found_run.number} of {name} from {source or 'its source'}."
        tell("recording", "began", begins, trial=name, run=found_run.number)
        if not tells_json():
            if found_run.test_holes is not None:
                say(test_words(found_run.test_holes, bench.trial(name).max_test_holes))
            say("It only listens. Ctrl-C ends it in good order.")
        with _view(bench, name, found_run.number, source, sound=sound) as view:
            summary = bench.record(
                name,
                found_run.number,
                source,
                line_format=read_format,
                mapping=read_mapping,
                resume=resume,
                reconnect=reconnect,
                stop=stop,
                on_progress=view.update,
                max_holes=holes,
                alarm_file=alarm_file,
                alarm_command=alarm_command,
            )
    if tells_json():
        tell("recording", "ended", summary.ended_because, trial=name, run=summary.run.number,
             holes=summary.holes, samples=summary.samples, gaps=summary.gaps,
             rejected=summary.rejected)  # fmt: skip
    else:
        say_summary(summary)
        say(
            f"Next: look at the drill, then: holewise wear {name} --hole {summary.holes} "
            "--vb-average …"
        )
        say(f"At its end: holewise run end {name} --end worn    (or stopped, chipped, broken …)")
    _end_by_alarms(summary)


def _end_by_alarms(summary: RecordingSummary) -> None:
    """Say what nobody has seen, and let a script know by the exit status."""
    for alarm in summary.alarms:
        text = f"ALARM not acknowledged: {alarm.text}"
        tell("recording", "alarm_left", text, level="warning")
    if summary.alarms:
        raise typer.Exit(ALARM_STATUS)


def _view(
    bench: Workbench, name: str, number: int, source: str | None, *, sound: bool
) -> Screen | PlainLines:
    from trials.cli.log_screen import PlainLines, Screen, fit_for_a_view

    limit_pct = bench.trial(name).load_limit_pct
    if not fit_for_a_view():
        return PlainLines(limit_pct)
    from trials.cli.log_view import Head

    head = Head(name, number, source or "its source", limit_pct)
    return Screen(head, lambda: bench.acknowledge(name, number, who="terminal"), sound=sound)


def _require_source(
    source: str | None, line_format: LineFormat | None, mapping: Mapping | None
) -> None:
    if source is None:
        raise InputError(
            "--source", got="nothing", allowed="serial:PORT, tcp://host:port, csv:FILE …",
            do="Say where values come from. Ports of this computer: holewise doctor",
        )  # fmt: skip
    if line_format is None or mapping is None:
        raise InputError(
            "--profile, or --format and --map", got="not given", allowed="one of both",
            do=f"holewise log --setup --source {source} finds out and saves a profile. By hand: "
            "--format key=value --map load=load,unit=%,time=t",
        )  # fmt: skip


def _stop_after(seconds: float | None) -> threading.Event:
    """Set when asked to end, or after a time: the recording ends cleanly."""
    stop = stop_on_signal()
    if seconds is not None:
        timer = threading.Timer(seconds, stop.set)
        timer.daemon = True
        timer.start()
    return stop

"""``holewise log`` and ``holewise import``: from a source or a file to samples and holes."""

from __future__ import annotations

import signal
import sys
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from trials import units
from trials.cli.common import RunNumber, TrialName, common, workbench
from trials.cli.show import console, say
from trials.errors import InputError

if TYPE_CHECKING:
    from types import FrameType

    from rich.console import Console
    from rich.progress import Progress as ProgressBar

    from trials.logger import LineFormat, Mapping
    from trials.workbench import Progress, RecordingSummary

MapText = Annotated[
    str | None,
    typer.Option(
        "--map",
        help="Which field is what, in which unit: load=S1load,unit=%,time=t,time_unit=ms,rpm=n. "
        "Load units %, ratio, kW, A, N*m (the last three with reference=…, the value of 100 %).",
    ),
]
FormatText = Annotated[
    str | None, typer.Option("--format", help="How lines are written: key=value, csv or shdr.")
]
Delimiter = Annotated[str | None, typer.Option(help="For csv: comma, semicolon, tab, | or space.")]
Decimal = Annotated[str | None, typer.Option(help="For csv and key=value: decimal mark, . or ,")]
Encoding = Annotated[str | None, typer.Option(help="utf-8, utf-16-le, utf-16-be or latin-1.")]


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("log")(log)
    app.command("import")(import_file)


def _line_format(
    kind: str | None, delimiter: str | None, decimal: str | None, encoding: str | None
) -> LineFormat | None:
    from trials.logger import LineFormat

    options: dict[str, Any] = {
        name: value
        for name, value in
        (("delimiter", delimiter), ("decimal", decimal), ("encoding", encoding))
        if value is not None
    }  # fmt: skip
    if kind is None and not options:
        return None
    return LineFormat.parse(kind or "csv", **options)


def _mapping(text: str | None) -> Mapping | None:
    from trials.logger import Mapping

    return None if text is None else Mapping.parse(text)


def log(
    context: typer.Context,
    name: TrialName,
    source: Annotated[
        str | None,
        typer.Option(
            help="Where values come from: serial:/dev/ttyUSB0?baud=9600, tcp://host:port, "
            "csv:FILE?follow=1, replay:FILE, or any address that pyserial knows."
        ),
    ] = None,
    run: RunNumber = None,
    line_format: FormatText = None,
    mapping: MapText = None,
    delimiter: Delimiter = None,
    decimal: Decimal = None,
    encoding: Encoding = None,
    resume: Annotated[
        bool, typer.Option("--resume", help="Go on with a recording that was cut off.")
    ] = False,
    reconnect: Annotated[
        bool,
        typer.Option(help="When the link breaks, note a gap and try again until Ctrl-C."),
    ] = True,
    holes: Annotated[int | None, typer.Option(help="Stop after so many holes.", min=1)] = None,
    seconds: Annotated[float | None, typer.Option(help="Stop after so long.", min=0.1)] = None,
) -> None:
    """Record a run while test holes are drilled, until Ctrl-C. Only listens, never writes."""
    read_format = _line_format(line_format, delimiter, decimal, encoding)
    read_mapping = _mapping(mapping)
    with workbench(context) as bench:
        found_run = bench.run(name, run)
        if not resume:
            _require_source(source, read_format, read_mapping)
        stop = _stop_on_signal(seconds)
        limit = bench.trial(name).load_limit_pct
        say(f"Recording run {found_run.number} of {name} from {source or 'its source'}.")
        say("It only listens. Ctrl-C ends it in good order.")
        with _Shown(console(), limit) as shown:
            summary = bench.record(
                name,
                found_run.number,
                source,
                line_format=read_format,
                mapping=read_mapping,
                resume=resume,
                reconnect=reconnect,
                stop=stop,
                on_progress=shown.update,
                max_holes=holes,
            )
    _say_summary(summary)
    say(
        f"Next: look at the drill, then: holewise wear {name} --hole {summary.holes} --vb-average …"
    )
    say(f"At its end: holewise run end {name} --end worn    (or stopped, chipped, broken …)")


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
            "--format and --map", got="not given", allowed="both",
            do="For example: --format key=value --map load=load,unit=%,time=t",
        )  # fmt: skip


def import_file(
    context: typer.Context,
    name: TrialName,
    file: Annotated[Path, typer.Argument(help="Recorded file.")],
    run: RunNumber = None,
    line_format: FormatText = None,
    mapping: MapText = None,
    delimiter: Delimiter = None,
    decimal: Decimal = None,
    encoding: Encoding = None,
    skip_bad_lines: Annotated[
        bool,
        typer.Option("--skip-bad-lines", help="Count bad lines and go on; else nothing is taken."),
    ] = False,
) -> None:
    """Take a recorded file as a run's recording: all of it, or nothing and the reason."""
    shown = common(context)
    with workbench(context) as bench:
        with _FileProgress(f"Reading {file.name}") as update:
            summary = bench.import_trace(
                name,
                run,
                file,
                line_format=_line_format(line_format, delimiter, decimal, encoding),
                mapping=_mapping(mapping),
                skip_bad_lines=skip_bad_lines,
                on_progress=update,
            )
        found = bench.holes(name, summary.run.number)
    _say_summary(summary)
    if len(found):
        say(
            f"Peak load first {shown.show(found['peak_pct'].iloc[0], '%')}, "
            f"last {shown.show(found['peak_pct'].iloc[-1], '%')}."
        )
    say(f"Next: holewise wear {name} --hole {summary.holes} --vb-average …")


def _say_summary(summary: RecordingSummary) -> None:
    say(
        f"Run {summary.run.number} of {summary.trial}: {summary.holes} holes, "
        f"{summary.samples:,} samples in {summary.duration_s:,.1f} s, {summary.gaps} gaps, "
        f"{summary.rejected} rejected lines. {summary.ended_because}"
    )
    told = {name: count for name, count in summary.counters.items() if count}
    if summary.rejected or summary.gaps:
        say("Counted: " + ", ".join(f"{name} {count}" for name, count in told.items()))


def _stop_on_signal(seconds: float | None) -> threading.Event:
    """Set by Ctrl-C, a polite end from the system, or after a time: the recording ends cleanly."""
    stop = threading.Event()

    def end(number: int, frame: FrameType | None) -> None:  # noqa: ARG001 - given by signal
        stop.set()

    signal.signal(signal.SIGINT, end)
    signal.signal(signal.SIGTERM, end)
    if seconds is not None:
        timer = threading.Timer(seconds, stop.set)
        timer.daemon = True
        timer.start()
    return stop


class _Shown:
    """The recording as it goes: one changing line on a screen, a line a hole when piped."""

    def __init__(self, target: Console, limit_pct: float) -> None:
        self._console = target
        self._limit_pct = limit_pct
        self._holes = 0
        self._trouble: str | None = None
        self._live = sys.stdout.isatty()
        self._last_shown = 0.0

    def __enter__(self) -> _Shown:
        return self

    def __exit__(self, *error: object) -> None:
        if self._live:
            sys.stdout.write("\n")

    def update(self, progress: Progress) -> None:
        """Show how far the recording has come."""
        if progress.trouble and progress.trouble != self._trouble:
            self._console.print(f"\n! {progress.trouble}")
        self._trouble = progress.trouble
        if not self._live:
            if progress.holes > self._holes:
                self._console.print(f"{progress.holes} holes, {progress.samples} samples")
            self._holes = progress.holes
            return
        if time.monotonic() - self._last_shown < 0.1 and progress.holes == self._holes:
            return
        self._last_shown, self._holes = time.monotonic(), progress.holes
        load = units.show(progress.newest_load_pct, "%")
        mark = "  ! OVER THE LIMIT" if progress.over_limit else ""
        text = (
            f"load {load:>5} of {self._limit_pct:g}%   holes {progress.holes}   "
            f"samples {progress.samples:,}   rejected {progress.rejected}{mark}"
        )
        sys.stdout.write("\r\x1b[2K" + text)
        sys.stdout.flush()


class _FileProgress:
    """A progress bar for a file whose length is known."""

    def __init__(self, title: str) -> None:
        from rich.progress import Progress as ProgressBar

        self._bar: ProgressBar = ProgressBar(console=console(), transient=True)
        self._task = self._bar.add_task(title, total=1.0)

    def __enter__(self) -> Any:
        self._bar.start()
        return self._update

    def __exit__(self, *error: object) -> None:
        self._bar.stop()

    def _update(self, progress: Progress) -> None:
        self._bar.update(self._task, completed=progress.share or 0.0)

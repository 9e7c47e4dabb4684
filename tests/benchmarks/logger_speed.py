"""How quick the logger is beside the naive way: rates, share of a core, time from line to alarm.

Each recording runs in a process of its own, so that its processor time is its own; the sender runs
in another. ``python -m tests.benchmarks.logger_speed`` prints the rows.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
import serial

from tests.faults.kills import naive
from tests.faults.row import Row
from tests.helpers.line_sender import ROOT, LineSender
from trials.logger import (
    Alarm,
    AlarmEvent,
    Journal,
    LineFormat,
    Mapping,
    Recorder,
    decoder_from,
    open_source,
    recording_settings,
)

FORM, MAPPING = LineFormat("key=value"), Mapping.parse("load=load,time=t")
LIMIT_PCT = 88.5  # every 90th line of the sender has 89 %


@dataclass(frozen=True, slots=True)
class Measured:
    """Of one recording: lines, seconds by the clock and of the processor, ms to each alarm."""

    lines: int
    wall_s: float
    cpu_s: float
    late_ms: list[float]


def record(link: str, lines: int, rate: float, how: str) -> Measured:
    """Record so many lines in this process, ``ours`` or ``naive``."""
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        seconds = 120.0 if not rate else lines / rate + 60
        with LineSender(link, place / "notes", rate=rate, until=lines, seconds=seconds) as sender:
            used, begin = _cpu_s(), time.perf_counter()
            late_ms: list[float] = []
            if how == "ours":
                late_ms = _ours(sender, place / "j", lines, alarm=bool(rate))
            elif link == "tcp":
                naive(sender.url, place / "file")
            else:
                _naive_pty(sender.url, place / "file", lines)
                lines = (place / "file").read_bytes().count(b"\n")
            wall_s, cpu_s = time.perf_counter() - begin, _cpu_s() - used
    return Measured(lines, wall_s, cpu_s, late_ms)


def _cpu_s() -> float:
    """Of this process and of those that have ended, the keeper."""
    return sum(
        one.ru_utime + one.ru_stime
        for one in (
            resource.getrusage(resource.RUSAGE_SELF),
            resource.getrusage(resource.RUSAGE_CHILDREN),
        )
    )


def _ours(sender: LineSender, folder: Path, lines: int, *, alarm: bool) -> list[float]:
    source = open_source(sender.url)
    settings = recording_settings(source, FORM, MAPPING)
    heard: list[tuple[int, int]] = []
    stop = threading.Event()

    def hear(event: AlarmEvent) -> None:
        if event.kind == "over_limit" and event.active:
            heard.append((round(event.time_s * 1000), time.monotonic_ns()))

    with Journal.create(folder, settings) as journal:
        decoder = decoder_from(settings)

        def enough(_: object) -> None:
            if decoder.counters.lines >= lines:
                stop.set()

        watch = Alarm(LIMIT_PCT, release_pct=10.0) if alarm else None
        Recorder(source, journal, decoder, [enough], alarm=watch, alarm_listeners=[hear]).run(stop)
    assert decoder.counters.samples == lines, decoder.counters
    sent = sender.sent_at()
    return [(at - int(sent[number])) / 1e6 for number, at in heard]


def _naive_pty(url: str, path: Path, lines: int) -> None:
    with serial.Serial(url.removeprefix("serial:"), timeout=2) as port, path.open("ab") as file:
        port.readline()  # opening a port this way drops what waits, often in the middle of a line
        for _ in range(lines):
            line = port.readline()
            if not line.endswith(b"\n"):
                return
            float(line.split(b";")[1][5:])
            file.write(line)


def measured(link: str, lines: int, rate: float, how: str) -> Measured:
    """The same, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.logger_speed", link, str(lines), str(rate), how],
        cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True,
    )  # fmt: skip
    return Measured(**json.loads(done.stdout.splitlines()[-1]))


def sustained(link: str, lines: int, *, judged: bool) -> Row:
    ours = measured(link, lines, 0, "ours")
    other = measured(link, lines if link == "tcp" else lines // 20, 0, "naive")
    rate, naive_rate = ours.lines / ours.cpu_s, other.lines / other.cpu_s
    return Row(
        f"sustained rate, {link}, journal and parsing included",
        "at least 100,000 lines/s on one core",
        f"{rate:,.0f} lines for a second of processor time ({ours.lines / ours.wall_s:,.0f} by the "
        f"clock, sender on the same cores), {rate / naive_rate:.1f} times the naive way",
        rate >= 100_000 if judged else None,
    )  # fmt: skip


def slow_stream(link: str, seconds: float, *, judged: bool) -> list[Row]:
    lines = int(1000 * seconds)
    ours = measured(link, lines, 1000, "ours")
    other = measured(link, lines, 1000, "naive")
    share, naive_share = ours.cpu_s / ours.wall_s, other.cpu_s / other.wall_s
    late = np.array(ours.late_ms)
    return [
        Row(
            f"1,000 lines/s, {link}", "at most 2 % of a core",
            f"{share:.1%} of a core, {share / naive_share:.2f} times the naive way "
            f"({naive_share:.1%}); start of the recording included",
            share <= 0.02 if judged else None,
        ),
        Row(
            f"line sent to alarm, {link}, {len(late)} alarms", "p99 at most 50 ms",
            f"median {np.median(late):.0f} ms, p99 {np.percentile(late, 99):.0f} ms, most "
            f"{late.max():.0f} ms", np.percentile(late, 99) <= 50 if judged else None,
        ),
    ]  # fmt: skip


def run(
    lines: int, seconds: float, links: tuple[str, ...] = ("tcp", "pty"), *, judged: bool = True
) -> list[Row]:
    """The rows; ``judged`` False on a computer that has other work, where they say little."""
    rows = []
    for link in links:
        rows.append(sustained(link, lines, judged=judged))
        rows += slow_stream(link, seconds, judged=judged)
    return rows


def main() -> None:
    if len(sys.argv) == 5:
        link, lines, rate, how = sys.argv[1:]
        print(json.dumps(asdict(record(link, int(lines), float(rate), how))))
        return
    for row in run(2_000_000, 60.0):
        print(row)


if __name__ == "__main__":
    main()

"""A large invented shop for the figures, and a machine that talks while it is watched."""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from tests.helpers import invented_shop
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import PERIOD_S, RATE_HZ, LineServer, stream, up_to_s
from trials.model import WearReading
from trials.workbench import Workbench

LARGE, LIVE = "large trial", "machine 3"
ENDS = ("worn", "stopped", "chipped", "worn", "broken")


@dataclass(frozen=True)
class Size:
    """How large the shop is."""

    trials: int = 50
    runs: int = 200
    samples: int = 1_000_000

    @property
    def holes(self) -> int:
        return round(self.samples / (PERIOD_S * RATE_HZ))


QUICK = Size(trials=6, runs=20, samples=30_000)
MANY = Size(trials=1_000, runs=10_000, samples=1_000_000)
FEW = Size(trials=40, runs=200, samples=30_000)


def fill(folder: Path, size: Size) -> None:
    """Trials with ended runs; the large one has a quarter of all runs and the long trace."""
    names = [f"trial {number}" for number in range(1, size.trials - 1)]
    large = size.runs // 4
    each = (size.runs - large) // len(names)
    more = size.runs - large - each * len(names)
    with Workbench.open(folder) as bench:
        for at, name in enumerate(names):
            _trial(bench, name, each + (more if at == 0 else 0))
    _large_and_live(folder, large, size)


def fill_many(folder: Path, size: Size) -> None:
    """A shop of years: many invented trials, written at once, beside the large and the live one."""
    large = min(50, size.runs // 4)
    with Workbench.open(folder) as bench:
        invented_shop.fill(bench._shop.store, size.trials - 2, size.runs - large)
    _large_and_live(folder, large, size)


def _large_and_live(folder: Path, runs: int, size: Size) -> None:
    trace = folder / "long.csv"
    trace.write_bytes(stream(size.holes, rise_pct=40.0 / size.holes))
    with Workbench.open(folder) as bench:
        _trial(bench, LARGE, runs, trace)
        _trial(bench, LIVE, 0)
    trace.unlink()


def _trial(bench: Workbench, name: str, runs: int, trace: Path | None = None) -> None:
    """A trial with so many ended runs, the last of them with a trace where there is one."""
    bench.new_trial(example_trial(name, max_test_holes=10_000, holes_to_make=100_000))
    for number in range(1, runs + 1):
        speed = 60.0 + 5.0 * (number % 9)
        bench.plan_run(name, replace(START, speed_m_per_min=speed))
        if trace is not None and number == runs:
            bench.import_trace(name, number, trace)
            holes = bench.run(name, number).holes
        else:
            holes = 60 + 17 * (number % 8)
        for part in (1, 2, 3):
            bench.add_wear(name, number, WearReading(holes * part // 3, vb_maximum_mm=0.09 * part))
        end = ENDS[number % len(ENDS)]
        bench.end_run(name, number, end, holes=holes)  # type: ignore[arg-type]  # of ENDS


@contextmanager
def drilling(folder: Path, *, hours: float, faster: float) -> Iterator[threading.Event]:
    """A machine that drills, a logger that records it; set once all has been sent."""
    holes = round(hours * 3600 / PERIOD_S)
    text = stream(holes, rise_pct=20.0 / holes)
    line, over, done = LineServer(text), threading.Event(), threading.Event()

    def talk() -> None:
        began, last_s = time.monotonic(), hours * 3600 - 2.0
        at_s = 0.0
        while not over.wait(0.05) and at_s < last_s:
            at_s = min(last_s, round((time.monotonic() - began) * faster, 1))
            line.release(up_to_s(text, at_s) if at_s > 0 else 0)
        done.set()

    with Workbench.open(folder) as bench:
        bench.plan_run(LIVE, START)
    logger = subprocess.Popen(
        [sys.executable, "-m", "trials.cli.app", "--data", str(folder), "log", LIVE,
         "--source", line.url, "--format", "csv", "--map", "load=load_pct,time=time_s",
         "--no-reconnect"],
        stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    thread = threading.Thread(target=talk)
    thread.start()
    try:
        yield done
    finally:
        over.set()
        thread.join()
        logger.terminate()
        logger.wait(30)
        line.close()
        with Workbench.open(folder) as bench:
            bench.end_run(LIVE, None, "stopped")

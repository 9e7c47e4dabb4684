"""Ten million samples from CSV to holes against pandas' chunked read; memory; cost when live.

Run it: ``python -m tests.benchmarks.holes_speed``. Options: ``--rows 10000000``, ``--hz 1000``.
Asserts nothing. Each way runs in a process of its own; ratios are of the best of three, taken by
turns so that a busy machine slows all of them. Memory is the process's highest resident size.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

CHUNK = 100_000


def trace(rows: int, hz: float, first: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Holes of 3.8 s every 6 s with noise; invented."""
    t = np.arange(first, first + rows) / hz
    phase = t % 6.0
    shape = np.clip(np.minimum(phase / 0.15, (3.8 - phase) / 0.03), 0, 1)
    return t, 6 + 34 * shape + np.random.default_rng(first).normal(0, 0.6, rows)


def write(path: Path, rows: int, hz: float) -> None:
    with path.open("w", encoding="utf-8") as file:
        file.write("time_s,load_pct\n")
        for begin in range(0, rows, 500_000):
            t, load = trace(min(500_000, rows - begin), hz, begin)
            lines = zip(t.tolist(), load.tolist(), strict=True)
            file.write("".join(f"{a:.3f},{b:.2f}\n" for a, b in lines))


def pandas_alone(path: Path) -> int:
    import pandas as pd

    return sum(len(part) for part in pd.read_csv(path, chunksize=CHUNK))


def to_holes(path: Path) -> int:
    from trials.holes import HoleFinder
    from trials.logger import import_file

    finder, holes = HoleFinder(), 0
    for batch in import_file(path):
        holes += len(
            finder.feed(
                batch.time_s, batch.load_pct, batch.gaps, rpm=batch.rpm, depth_mm=batch.depth_mm
            )
        )
    return holes + len(finder.finish())


def into_a_run(path: Path) -> int:
    """The whole import of the program: read, find holes, keep the trace and the holes."""
    from tests.helpers.example_trial import START, example_trial
    from trials.workbench import Workbench

    with tempfile.TemporaryDirectory() as folder, Workbench.open(Path(folder) / "shop") as bench:
        trial = bench.new_trial(example_trial())
        bench.plan_run(trial.name, START)
        return bench.import_trace(trial.name, None, path).holes


WAYS: dict[str, Callable[[Path], int]] = {
    "pandas": pandas_alone, "holes": to_holes, "import": into_a_run,
}  # fmt: skip


def alone(way: str, path: Path) -> None:
    """Run one way and tell how long it took and how much memory was used."""
    begin, used = time.perf_counter(), time.process_time()
    number = WAYS[way](path)
    wall, used = time.perf_counter() - begin, time.process_time() - used
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{wall} {used} {most} {number}")


def compare(path: Path, ways: list[str], turns: int) -> None:
    best: dict[str, list[float]] = {}
    for _ in range(turns):
        for way in ways:
            done = subprocess.run(
                [sys.executable, "-m", "tests.benchmarks.holes_speed", "--alone", way, str(path)],
                check=True, capture_output=True, text=True,
            )  # fmt: skip
            wall, used, most, number = (float(x) for x in done.stdout.split())
            kept = best.setdefault(way, [np.inf, np.inf, 0.0, number])
            best[way] = [min(kept[0], wall), min(kept[1], used), max(kept[2], most), number]
    for way, (wall, used, most, number) in best.items():
        print(
            f"{way:8} {number:12,.0f} {wall:7.2f} s = {wall / best['pandas'][0]:5.2f} x pandas, "
            f"processor {used:7.2f} s = {used / best['pandas'][1]:5.2f} x, {most:5.0f} MiB"
        )


def live() -> None:
    from trials.holes import HoleFinder

    for hz in (20, 100, 1000):
        number = hz * 900
        t, load = trace(number, hz)
        pairs = [(t[i : i + 1], load[i : i + 1]) for i in range(number)]
        finder = HoleFinder()
        begin = time.process_time()
        for one, value in pairs:
            finder.feed(one, value)
        each = (time.process_time() - begin) / number
        finder, asked = HoleFinder(), []
        for at in range(0, number, hz // 4):
            finder.feed(t[at : at + hz // 4], load[at : at + hz // 4])
            begin = time.process_time()
            _ = finder.current, finder.pending
            asked.append(time.process_time() - begin)
        print(
            f"live at {hz:5} Hz: {each * 1e6:5.2f} us a sample one by one; holes so far, asked "
            f"four times a second: {np.mean(asked) * 1e3:.1f} ms, at most {max(asked) * 1e3:.1f} ms"
        )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--rows", type=int, default=10_000_000)
    parser.add_argument("--hz", type=float, default=1000.0)
    parser.add_argument("--turns", type=int, default=3)
    parser.add_argument("--ways", default="pandas,holes")
    parser.add_argument("--alone", nargs=2)
    given = parser.parse_args()
    if given.alone:
        alone(given.alone[0], Path(given.alone[1]))
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "trace.csv"
        write(path, given.rows, given.hz)
        size = path.stat().st_size / 2**20
        print(f"{given.rows:,} rows at {given.hz:g} Hz, {size:.0f} MiB")
        compare(path, given.ways.split(","), given.turns)
    live()


if __name__ == "__main__":
    main()

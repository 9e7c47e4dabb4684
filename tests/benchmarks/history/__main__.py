"""How fast a shop's whole history answers, and is gone through again.

``python -m tests.benchmarks.history questions [--server]``: seconds for each question over 1,000
invented trials with 10,000 runs, on SQLite and with ``--server`` on a PostgreSQL server of its own.

``python -m tests.benchmarks.history again``: holes of 1,000 invented recordings found again in one
process and on two Dask workers; the ratio of the times, and exit status 1 unless holes are equal.
``--write FILE`` puts that between the marks of a file.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_shop import fill
from tests.helpers.invented_stream import RATE_HZ
from tests.helpers.table_in_docs import put, table
from trials.holes import to_frame
from trials.model import LikeJobs, Run
from trials.store import Recording, Store, TraceWriter
from trials.workbench import Workbench
from trials.workbench import _kept as kept_answers

QUESTIONS = {
    "like one job": LikeJobs("P", hardness_hb=(180, 240), diameter_mm=(8, 9), depth_xd=(2, 4)),
    "one group and diameter": LikeJobs("P", diameter_mm=(8, 9)),
    "one group": LikeJobs("P"),
    "everything": LikeJobs(),
}


def questions(trials: int, runs: int, *, server: bool) -> None:
    """Times of every question, of the page's first answer and of asking again."""
    with tempfile.TemporaryDirectory() as folder:
        with Workbench.open(folder) as bench:
            fill(bench._shop.store, trials, runs)
        if server:
            from tests.helpers.postgres import PostgresServer

            running = PostgresServer()
            try:
                Workbench.use_server(folder, running.new_database())
                _ask(folder, "PostgreSQL")
            finally:
                running.stop()
        else:
            _ask(folder, "SQLite")


def _ask(folder: str, engine: str) -> None:
    with Workbench.open(folder) as bench:
        bench.history(LikeJobs(invented=True))  # what is imported once
        bench.history(LikeJobs("N", diameter_mm=(5, 5)))
        print(f"{engine}: {'':32} {'first':>8} {'again':>8}")
        for name, like in QUESTIONS.items():
            kept_answers._kept.clear()
            first = _timed(lambda like=like: bench.history(like))
            again = _timed(lambda like=like: bench.history(like))
            found = bench.history(like)
            print(f"{engine}: {name:24} {found.edges:6} runs {first:7.2f} s {again:7.3f} s")
        print(f"{engine}: {'what there is to ask':36} {_timed(bench.job_counts):7.2f} s")


def _timed(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def again(runs: int, holes: int, write: Path | None) -> bool:
    """One process against two Dask workers, from the same recordings; whether holes are equal."""
    from distributed import Client, LocalCluster

    with tempfile.TemporaryDirectory() as folder:
        tables, seconds = [], []
        ways = {way: Path(folder) / way for way in ("one process", "two Dask workers")}
        _record(ways["one process"], runs, holes)
        shutil.copytree(ways["one process"], ways["two Dask workers"])
        for way, shop in ways.items():
            with Workbench.open(shop) as bench:
                if way == "one process":
                    _warm()
                    took = _timed(lambda bench=bench: bench.find_all_again(workers=1))
                else:
                    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None,
                                      scheduler_port=0) as cluster:  # fmt: skip
                        address = cluster.scheduler_address
                        with Client(address) as client:
                            client.run(_warm)  # starting a worker is not what is measured
                        took = _timed(
                            lambda bench=bench, at=address: bench.find_all_again(scheduler=at)
                        )
                tables.append({row.run: bench.found_holes("bracket", row.run)
                               for row in bench._shop.store.finished_recordings()})  # fmt: skip
            seconds.append(took)
            print(f"{way}: {runs} recordings in {took:.1f} s", flush=True)
        equal = tables[0].keys() == tables[1].keys() and all(
            one.equals(tables[1][run]) for run, one in tables[0].items()
        )
        found = sum(len(one) for one in tables[0].values())
        put(table(("what", "asked", "seen"), (
            ("recordings, holes found", "", f"{runs:,}, {found:,}"),
            ("one process, s", "", f"{seconds[0]:.1f}"),
            ("two Dask workers, s", "", f"{seconds[1]:.1f}"),
            ("two workers against one process", "at least 1.7 times",
             f"{seconds[0] / seconds[1]:.2f} times"),
            ("holes equal", "yes", "yes" if equal else "no"),
            ("load of this computer at the end", "", f"{os.getloadavg()[0]:.1f}"),
        )), write, "again")  # fmt: skip
        return equal and found > 0


def _warm() -> None:
    import trials.workbench._again_find  # noqa: F401 - imported for its time


def _record(shop: Path, runs: int, holes: int) -> None:
    """A shop with so many recorded runs, of which no hole was found yet."""
    rng = np.random.default_rng(1)
    with Workbench.open(shop) as bench:
        bench.new_trial(example_trial())
        store: Store = bench._shop.store
        nothing: pd.DataFrame = to_frame([])
        for number in range(1, runs + 1):
            bench.plan_run("bracket", START)
            recording = Recording(uuid.uuid4(), "import", "invented")
            name = bench.folder / "traces" / f"{recording.uuid}.parquet"
            time_s = np.arange(holes * 6 * RATE_HZ) / RATE_HZ
            load = np.where(time_s % 6.0 < 3.5, 40.0 + 0.05 * (time_s // 6.0), 5.0)
            with TraceWriter(name) as writer:
                writer.append(time_s, np.maximum(load + rng.normal(0, 0.4, len(load)), 0))
                trace = writer.finish()
            finished = Recording(
                recording.uuid, "import", "invented", trace=f"traces/{name.name}",
                trace_sha256=trace.sha256, samples=trace.samples,
            )  # fmt: skip
            store.import_recording("bracket", number, finished, nothing, [], _drilled)


def _drilled(run: Run) -> Run:
    from dataclasses import replace

    return replace(run, state="drilled")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=("questions", "again"))
    parser.add_argument("--trials", type=int, default=1000)
    parser.add_argument("--runs", type=int)
    parser.add_argument("--holes", type=int, default=120)
    parser.add_argument("--server", action="store_true")
    parser.add_argument("--write", type=Path)
    asked = parser.parse_args()
    if asked.what == "questions":
        questions(asked.trials, asked.runs or 10 * asked.trials, server=asked.server)
    else:
        sys.exit(not again(asked.runs or 1000, asked.holes, asked.write))

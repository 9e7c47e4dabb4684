"""``python -m tests.benchmarks.package_speed``: write, check and take in a trial of 500 runs.

Each run has a trace of 36,000 samples (ten minutes at 60 a second) and 100 holes, all invented. It
prints times and the most memory; copying the bytes of the package is measured beside it, so that
the figures can be read on any computer.
"""

from __future__ import annotations

import resource
import shutil
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream, written
from trials.store import Recording, TraceWriter
from trials.workbench import Workbench

HOLES, SAMPLES = 100, 36_000


def fill(shop: Path, scratch: Path, runs: int) -> None:
    with Workbench.open(shop) as bench:
        bench.new_trial(example_trial("many"))
        bench.plan_run("many", START)
        bench.import_trace("many", 1, written(scratch, stream(HOLES)))
        holes, store = bench.holes("many", 1), bench._shop.store
        values = np.random.default_rng(1)
        for number in range(2, runs + 1):
            store.add_run("many", START)
            key = uuid.uuid4()
            with TraceWriter(shop / "traces" / f"{key}.parquet") as writer:
                writer.append(np.arange(SAMPLES) / 60, values.uniform(0, 90, SAMPLES).round(1))
                trace = writer.finish()
            recording = Recording(
                key, "import", "csv:x", trace=f"traces/{key}.parquet", trace_sha256=trace.sha256,
                samples=SAMPLES,
            )  # fmt: skip
            store.import_recording(
                "many", number, recording, holes, [],
                lambda run: replace(run, state="drilled", holes=HOLES),
            )  # fmt: skip


def timed(what: str, work: Callable[[], object]) -> None:
    began = time.perf_counter()
    work()
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{what}: {time.perf_counter() - began:.2f} s, most memory so far {most:.0f} MiB")


def main(runs: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        fill(folder / "shop", folder, runs)
        out = folder / "many.zip"
        told: list[float] = []
        with Workbench.open(folder / "shop") as bench:
            timed(f"write {runs} runs", lambda: bench.export("many", out, on_progress=told.append))
        print(f"{out.stat().st_size / 1e6:.0f} MB; progress was told {len(told)} times")
        timed("copy the same bytes", lambda: shutil.copyfile(out, folder / "copy.zip"))
        timed("check it whole", lambda: Workbench.verify_package(out))
        with Workbench.open(folder / "other") as bench:
            timed("take it in", lambda: bench.import_package(out))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)

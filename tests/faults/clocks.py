"""Clocks that are set: the computer's by an hour, the source's by an hour, either way."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd

from tests.faults.row import Row
from trials.holes import find_holes
from trials.logger import Arrival, Batch, Decoder, Journal, LineFormat, Mapping, rebuild

RATE_HZ, HOLES, PERIOD_S, CUT_S = 100, 6, 12.0, 5.0
HOUR_S = 3600.0
STEP_AT_S = (2.5 * PERIOD_S, 4.45 * PERIOD_S)  # between two holes, and in the middle of one
FORM = LineFormat("key=value")


def values() -> Iterator[tuple[float, float]]:
    """Seconds and load: six holes."""
    noise = np.random.default_rng(4)
    for number in range(int(HOLES * PERIOD_S * RATE_HZ)):
        at_s = number / RATE_HZ
        cutting = 4.0 < at_s % PERIOD_S < 4.0 + CUT_S
        yield at_s, (45.0 if cutting else 6.0) + float(noise.normal(0, 0.3))


def record(own_clock_s: float, wall_clock_s: float, *, timed: bool) -> tuple[Batch, Batch]:
    """A live recording whose clocks are set in the middle: as decoded, and as rebuilt.

    Args:
        own_clock_s: the source's clock is set by so much at both places.
        wall_clock_s: this computer's.
        timed: the lines carry the source's time.
    """
    mapping = Mapping.parse("load=load,time=t" if timed else "load=load")
    settings = {"line_format": FORM.to_dict(), "mapping": mapping.to_dict(), "live": True}
    decoder = Decoder(FORM, mapping, live=True)
    batches = []
    with tempfile.TemporaryDirectory() as name:
        with Journal.create(Path(name) / "j", settings) as journal:
            gulp: list[tuple[bytes, Arrival | None]] = []
            for number, (at_s, load_pct) in enumerate(values()):
                steps = sum(at_s >= step for step in STEP_AT_S)
                time_s = 10_000 + at_s + own_clock_s * steps
                text = (
                    f"t={time_s:.3f};load={load_pct:.2f}\n" if timed else f"load={load_pct:.2f}\n"
                )
                arrival = Arrival(
                    int((500 + at_s) * 1e9), int((1.8e9 + at_s + wall_clock_s * steps) * 1e9)
                )
                journal.append(text.encode(), arrival)
                gulp.append((text.encode(), arrival))
                if number % 7 == 6:
                    batches.append(decoder.feed_all(gulp))
                    gulp = []
            batches.append(decoder.feed_all(gulp))
            journal.note({"event": "ended", "last_line_whole": False})
            batches.append(decoder.finish(last_line_whole=False))
        again = rebuild(Path(name) / "j").batch
    return Batch.join(batches), again


def holes(batch: Batch) -> pd.DataFrame:
    return find_holes(batch.frame())[["number", "start_s", "end_s", "peak_pct"]]


def judge(name: str, own_clock_s: float, wall_clock_s: float, *, timed: bool) -> Row:
    plain, _ = record(0.0, 0.0, timed=timed)
    live, again = record(own_clock_s, wall_clock_s, timed=timed)
    same = (
        np.array_equal(live.time_s, again.time_s)
        and np.array_equal(live.load_pct, again.load_pct)
        and live.gaps == again.gaps
    )
    moved_s = float(np.abs(live.time_s - plain.time_s).max())
    before, after = holes(plain), holes(live)
    unmoved = len(before) == len(after) == HOLES and bool(
        np.allclose(before[["start_s", "end_s"]], after[["start_s", "end_s"]], atol=0.05)
        and np.allclose(before["peak_pct"], after["peak_pct"], atol=1.0)
    )
    told = [gap.reason for gap in live.gaps]
    return Row(
        name, "no effect on holes",
        f"{len(after)} holes of {HOLES}, samples moved by at most {1000 * moved_s:.0f} ms, told as "
        f"{told or 'nothing'}; rebuilt {'the same' if same else 'DIFFERENTLY'}",
        unmoved and same and moved_s < 0.05 and len(told) == (2 if own_clock_s else 0),
    )  # fmt: skip


def run() -> list[Row]:
    return [
        judge("this computer's clock set on by 1 h, twice", 0.0, HOUR_S, timed=False),
        judge("this computer's clock set back by 1 h, twice", 0.0, -HOUR_S, timed=True),
        judge("the source's clock leaps ahead by 1 h, twice", HOUR_S, 0.0, timed=True),
        judge("the source's clock set back by 1 h, twice", -HOUR_S, 0.0, timed=True),
    ]

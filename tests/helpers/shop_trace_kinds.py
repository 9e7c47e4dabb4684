"""What else comes from real shops: slow controls, overload, other tools, cut-off recordings.

Drawn by `wide_traces`; importing this adds the kinds to `KINDS`. Invented; from memory and common
practice, no source. The finder was not mended on any of them before they were first measured.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from tests.helpers.traces import Rng, Trace, drop, kind
from tests.helpers.wide_trace_kinds import plain
from tests.helpers.wide_traces import Drawing, Job, finish, height_of


def shortened(trace: Trace, start_s: float, end_s: float) -> Trace:
    """The trace between two times, its labels cut off there too."""
    samples = trace.samples[trace.samples.time_s.between(start_s, end_s)]
    trace.samples = samples.reset_index(drop=True)
    holes = trace.holes[(trace.holes.end_s > start_s + 0.3) & (trace.holes.start_s < end_s - 0.3)]
    holes = holes.assign(
        start_s=holes.start_s.clip(lower=start_s), end_s=holes.end_s.clip(upper=end_s)
    )
    trace.holes = holes.reset_index(drop=True)
    return trace


@kind
def shop_slow_control(rng: Rng) -> Trace:
    """A control asked 2 to 20 times a second that renews its value less often, times jittered."""
    hz = float(rng.choice([4, 10, 20]))
    job = Job(rng, sample_hz=hz, round_to=float(rng.choice([0.1, 1.0])), cut_s=rng.uniform(3, 10),
              height_pct=float(rng.uniform(12, 70)), move_s=(2.0, 4.0))  # fmt: skip
    trace = finish("shop_slow_control", plain(job))
    every = int(rng.integers(2, 4))
    load = trace.samples.load_pct.to_numpy()
    trace.samples["load_pct"] = np.repeat(load[::every], every)[: len(load)]
    trace.samples["time_s"] = np.sort(
        trace.samples.time_s + rng.uniform(-0.3, 0.3, len(load)) / hz
    )  # fmt: skip
    trace.sample_s *= every
    return trace


@kind
def shop_overload_plateau(rng: Rng) -> Trace:
    """A meter that ends at 100, 150 or 200 %."""
    end = float(rng.choice([100, 150, 200]))
    job = Job(rng, height_pct=end * float(rng.uniform(0.85, 1.2)), wear=1.4)
    trace = finish("shop_overload_plateau", plain(job))
    trace.samples["load_pct"] = trace.samples.load_pct.clip(upper=end)
    trace.holes["peak_pct"] = trace.holes.peak_pct.clip(upper=end)
    return trace


@kind
def shop_negative_retract(rng: Rng) -> Trace:
    """The drive brakes when the drill is drawn out: a dip below zero behind every hole."""
    job = Job(rng)
    drawing = Drawing(job)
    drawing.wait(2.0)
    for i in range(job.holes):
        drawing.hole(height_of(job, i))
        drawing.bump(-job.idle_pct * rng.uniform(1.2, 4.0), rng.uniform(0.15, 0.4))
        drawing.move()
    drawing.wait(2.0)
    return finish("shop_negative_retract", drawing)


@kind
def shop_two_tools(rng: Rng) -> Trace:
    """A centre drill before and a chamfering tool after every block of holes, other tools each."""
    job = Job(rng, holes=24, cut_s=float(rng.uniform(2.5, 7)))
    drawing = Drawing(job)
    drawing.wait(1.0)
    for block in range(3):
        for tool in ("centre", "drill", "chamfer"):
            drawing.stop_spindle(rng.uniform(2, 6))
            drawing.run_up()
            for i in range(8):
                if tool == "drill":
                    drawing.hole(height_of(job, 8 * block + i))
                else:
                    share = 0.12 if tool == "centre" else 0.08
                    drawing.bump(share * job.height_pct * 3, 0.1 * job.cut_s)
                drawing.move()
    drawing.wait(2.0)
    return finish("shop_two_tools", drawing)


@kind
def shop_begins_inside(rng: Rng) -> Trace:
    """The recording begins within a hole."""
    trace = finish("shop_begins_inside", plain(Job(rng, holes=12)))
    first = trace.holes.iloc[1]
    at = first.start_s + rng.uniform(0.2, 0.6) * (first.end_s - first.start_s)
    return shortened(trace, float(at), np.inf)


@kind
def shop_ends_inside(rng: Rng) -> Trace:
    """The recording ends within a hole."""
    trace = finish("shop_ends_inside", plain(Job(rng, holes=12)))
    last = trace.holes.iloc[-1]
    at = last.start_s + rng.uniform(0.5, 0.9) * (last.end_s - last.start_s)
    return shortened(trace, 0.0, float(at))


@kind
def shop_very_short(rng: Rng) -> Trace:
    """One to three holes and hardly any idle around them."""
    trace = finish("shop_very_short", plain(Job(rng, holes=int(rng.integers(1, 4)))))
    start, end = trace.holes.start_s.min(), trace.holes.end_s.max()
    return shortened(trace, float(start - rng.uniform(0.6, 1.5)), float(end + 1.0))


@kind
def shop_dead_columns(rng: Rng) -> Trace:
    """Speed that never changes and a depth that nobody sent."""
    trace = finish("shop_dead_columns", plain(Job(rng)))
    trace.samples["rpm"] = float(rng.choice([0.0, 3000.0]))
    trace.samples["depth_mm"] = np.nan
    return trace


@kind
def shop_depth_known(rng: Rng) -> Trace:
    """Pecks as long apart as holes; the axis position says which is which."""
    pecks = int(rng.integers(2, 6))
    gap = float(rng.uniform(1.0, 2.0))
    job = Job(rng, mode="full_retract", pecks=pecks, cut_s=pecks * float(rng.uniform(1.0, 3.0)),
              gap_s=gap, move_s=(gap, 1.3 * gap), holes=14)  # fmt: skip
    trace = finish("shop_depth_known", plain(job))
    time, depth = trace.samples.time_s.to_numpy(), np.zeros(len(trace.samples))
    for start, end in zip(trace.holes.start_s, trace.holes.end_s, strict=True):
        inside = (time >= start) & (time <= end)
        load = trace.samples.load_pct.to_numpy()[inside] - job.idle_pct
        travel = np.cumsum(np.maximum(load, 0.0))
        depth[inside] = job.depth_mm * travel / max(travel[-1], 1e-9)
    trace.samples["depth_mm"] = depth.round(2)
    return trace


@kind
def shop_converter_steps(rng: Rng) -> Trace:
    """Twelve bits over 300 %, now and then a value that was not sent (an empty field)."""
    job = Job(rng, round_to=300 / 4096, noise_pct=0.1)
    trace = finish("shop_converter_steps", plain(job))
    return drop(trace, rng.random(len(trace.samples)) > 0.03)


@kind
def shop_long_shift(rng: Rng) -> Trace:
    """Hundreds of holes with breaks of minutes."""
    job = Job(rng, sample_hz=float(rng.choice([10, 25])), holes=180, cut_s=float(rng.uniform(2, 5)),
              wear=2.0)  # fmt: skip
    drawing = Drawing(job)
    drawing.wait(2.0)
    for i in range(job.holes):
        drawing.hole(height_of(job, i))
        drawing.move()
        if rng.random() < 0.02:
            drawing.wait(rng.uniform(120, 400))
    return finish("shop_long_shift", drawing, drift=0.3 * job.height_pct)


@kind
def shop_changes_only(rng: Rng) -> Trace:
    """Values sent when they change by 1 %, with a sign of life every ten seconds."""
    job = Job(rng, sample_hz=20.0, round_to=1.0, height_pct=float(rng.uniform(12, 60)),
              noise_pct=0.3, cut_s=float(rng.uniform(2, 8)), move_s=(2.0, 4.0))  # fmt: skip
    trace = finish("shop_changes_only", plain(job))
    load = pd.Series(trace.samples.load_pct)
    keep = (load != load.shift()) | (np.arange(len(load)) % 200 == 0)
    return drop(trace, keep.to_numpy())

"""Kinds of labelled traces drawn by `wide_traces`; importing this adds them to `KINDS`."""

from __future__ import annotations

import numpy as np

from tests.helpers.traces import Rng, Trace, drop, kind
from tests.helpers.wide_traces import Drawing, Job, finish, height_of


def plain(job: Job, pause: float = 3.0) -> Drawing:
    drawing = Drawing(job)
    drawing.wait(job.rng.uniform(0.5, pause))
    for i in range(job.holes):
        drawing.hole(height_of(job, i))
        drawing.move()
    drawing.wait(job.rng.uniform(0.5, pause))
    return drawing


@kind
def wide_any(rng: Rng) -> Trace:
    return finish("wide_any", plain(Job(rng, through=bool(rng.random() < 0.5))))


@kind
def wide_quick(rng: Rng) -> Trace:
    """Thin sheet: holes of half a second, moves hardly longer."""
    quick = float(rng.uniform(0.5, 0.8))
    job = Job(rng, sample_hz=float(rng.choice([50, 100, 250])), cut_s=float(rng.uniform(0.4, 1.1)),
              move_s=(quick, 1.6 * quick), holes=60)  # fmt: skip
    return finish("wide_quick", plain(job))


@kind
def wide_deep(rng: Rng) -> Trace:
    """Deep holes of half a minute without pecks."""
    job = Job(rng, cut_s=float(rng.uniform(15, 45)), holes=int(rng.integers(5, 10)),
              move_s=(2.0, 6.0), packing=0.1, noise="pink")  # fmt: skip
    return finish("wide_deep", plain(job))


@kind
def wide_few(rng: Rng) -> Trace:
    """One to three holes in all."""
    return finish("wide_few", plain(Job(rng, holes=int(rng.integers(1, 4)), cut_s=4.0)))


@kind
def wide_run_up(rng: Rng) -> Trace:
    """The spindle starts and stops every few holes; only the load is known."""
    return run_ups(rng, "wide_run_up", signals=False)


@kind
def wide_run_up_rpm(rng: Rng) -> Trace:
    """The same with the spindle speed beside it."""
    return run_ups(rng, "wide_run_up_rpm", signals=True)


def run_ups(rng: Rng, name: str, signals: bool) -> Trace:
    job = Job(rng, sample_hz=float(rng.choice([10, 20, 50, 200])), holes=25)
    drawing = Drawing(job)
    drawing.rpm = [(0, 0.0)]
    drawing.wait(rng.uniform(0.5, 4))
    drawing.off.append((0, drawing.points))
    drawing.rpm.append((drawing.points, 0.0))
    drawing.run_up()
    every = int(rng.integers(4, 12))
    for i in range(job.holes):
        drawing.hole(height_of(job, i))
        drawing.move()
        if i % every == every - 1 and i + 1 < job.holes:
            drawing.rpm.append((drawing.points, 3000.0))
            drawing.stop_spindle(rng.uniform(1, 30))
            drawing.rpm.append((drawing.points, 0.0))
            drawing.run_up()
    drawing.rpm.append((drawing.points, 3000.0))
    drawing.stop_spindle(rng.uniform(1, 5))
    return finish(name, drawing, signals=signals)


@kind
def wide_coolant(rng: Rng) -> Trace:
    """A pump on the same meter: on from just before the hole to just after it."""
    job = Job(rng)
    drawing = Drawing(job)
    drawing.wait(3.0)
    extra = float(rng.uniform(0.08, 0.25)) * job.height_pct
    lead = float(rng.uniform(0.1, 0.4)) * job.move_s[0]
    for i in range(job.holes):
        start = drawing.points
        drawing.wait(lead)
        drawing.hole(height_of(job, i))
        drawing.wait(0.5 * lead)
        drawing.level(start, drawing.points, extra)
        drawing.move()
    drawing.wait(2.0)
    return finish("wide_coolant", drawing)


@kind
def wide_packing(rng: Rng) -> Trace:
    """Chips pack: the load heaves, more the deeper."""
    job = Job(rng, packing=float(rng.uniform(0.1, 0.35)), cut_s=float(rng.uniform(3, 12)))
    return finish("wide_packing", plain(job))


@kind
def wide_chip_break(rng: Rng) -> Trace:
    pecks = int(rng.integers(2, 10))
    job = Job(rng, sample_hz=float(rng.choice([50, 100, 250])), mode="chip_break", pecks=pecks,
              cut_s=pecks * float(rng.uniform(0.5, 1.5)),
              gap_s=float(rng.uniform(0.1, 0.3)))  # fmt: skip
    return finish("wide_chip_break", plain(job))


@kind
def wide_full_retract(rng: Rng) -> Trace:
    pecks = int(rng.integers(2, 9))
    job = Job(rng, mode="full_retract", pecks=pecks, cut_s=pecks * float(rng.uniform(0.6, 2.0)),
              gap_s=float(rng.uniform(0.5, 1.2)), move_s=(1.8, 5.0))  # fmt: skip
    return finish("wide_full_retract", plain(job))


@kind
def wide_breakthrough(rng: Rng) -> Trace:
    job = Job(rng, breakthrough=True, cut_s=float(rng.uniform(3, 8)))
    trace = finish("wide_breakthrough", plain(job))
    trace.expected |= {"breakthrough_feed_factor": 0.5, "breakthrough_mm": 2.0, "through": True}
    return trace


@kind
def wide_exit_grab(rng: Rng) -> Trace:
    """Through holes where the drill grabs at the exit, each time: not broken."""
    job = Job(rng, through=True, exit_grab=float(rng.uniform(0.3, 0.9)))
    return finish("wide_exit_grab", plain(job))


@kind
def wide_pink_noise(rng: Rng) -> Trace:
    job = Job(rng, noise=str(rng.choice(["pink", "wander"])))
    job.noise_pct = float(rng.uniform(0.03, 0.1)) * job.height_pct
    return finish("wide_pink_noise", plain(job))


@kind
def wide_hum(rng: Rng) -> Trace:
    job = Job(rng, noise="hum")
    job.noise_pct = float(rng.uniform(0.03, 0.12)) * job.height_pct
    return finish("wide_hum", plain(job))


@kind
def wide_second_order_filter(rng: Rng) -> Trace:
    one = float(rng.uniform(0.05, 0.2))
    job = Job(rng, filters_s=(one, one), cut_s=float(rng.uniform(2, 8)))
    return finish("wide_second_order_filter", plain(job))


@kind
def wide_moving_average(rng: Rng) -> Trace:
    job = Job(rng, average_s=float(rng.uniform(0.2, 0.8)), cut_s=float(rng.uniform(2, 8)))
    return finish("wide_moving_average", plain(job))


@kind
def wide_coarse_steps(rng: Rng) -> Trace:
    """Rounded to whole or half percent, 5 to 12 of them above idle, slow sampling."""
    job = Job(rng, sample_hz=float(rng.choice([5, 10, 25])), height_pct=float(rng.uniform(5, 12)),
              noise_pct=0.2, round_to=float(rng.choice([0.5, 1.0])),
              cut_s=float(rng.uniform(2.5, 10)))  # fmt: skip
    return finish("wide_coarse_steps", plain(job))


@kind
def wide_two_samples_a_second(rng: Rng) -> Trace:
    job = Job(rng, sample_hz=2.0, cut_s=float(rng.uniform(4, 12)), move_s=(2.5, 5.0))
    return finish("wide_two_samples_a_second", plain(job))


@kind
def wide_events(rng: Rng) -> Trace:
    """A value is sent when it has changed by a step, polled at 4 to 20 Hz."""
    step = float(rng.choice([0.5, 1.0, 2.0]))
    job = Job(rng, sample_hz=float(rng.choice([4, 10, 20])), height_pct=float(rng.uniform(15, 60)),
              noise_pct=float(rng.uniform(0.2, 1.0)), round_to=step,
              cut_s=float(rng.uniform(3, 10)), move_s=(2.0, 4.0))  # fmt: skip
    trace = finish("wide_events", plain(job))
    load = trace.samples.load_pct.to_numpy()
    return drop(trace, np.concatenate([[True], load[1:] != load[:-1]]))


@kind
def wide_events_repeated(rng: Rng) -> Trace:
    """A poller writes every 50 to 100 ms, the control renews the value every 0.3 to 0.6 s."""
    hz = float(rng.choice([10, 20]))
    job = Job(rng, sample_hz=hz, noise_pct=0.5, round_to=1.0, height_pct=float(rng.uniform(15, 60)),
              cut_s=float(rng.uniform(3, 10)), move_s=(2.0, 4.0))  # fmt: skip
    trace = finish("wide_events_repeated", plain(job))
    every = int(rng.integers(3, 7))
    load = trace.samples.load_pct.to_numpy()
    trace.samples["load_pct"] = np.repeat(load[::every], every)[: len(load)]
    trace.sample_s *= every
    return trace


@kind
def wide_drift(rng: Rng) -> Trace:
    job = Job(rng, holes=40)
    return finish("wide_drift", plain(job), drift=float(rng.uniform(0.3, 1.2)) * job.height_pct)


@kind
def wide_rapid_bumps(rng: Rng) -> Trace:
    """Another machine's idle: bumps of the spindle whenever the axes move quickly."""
    job = Job(rng)
    drawing = Drawing(job)
    drawing.wait(2.0)
    size = float(rng.uniform(0.05, 0.25)) * job.height_pct
    for i in range(job.holes):
        drawing.hole(height_of(job, i))
        rest = rng.uniform(*job.move_s)
        drawing.wait(0.25 * rest)
        drawing.bump(size * rng.uniform(0.6, 1.2), min(0.25, 0.2 * rest))
        drawing.wait(0.3 * rest)
        drawing.bump(-0.7 * size * rng.uniform(0.6, 1.2), min(0.25, 0.2 * rest))
        drawing.wait(0.2 * rest)
    drawing.wait(2.0)
    return finish("wide_rapid_bumps", drawing)


@kind
def wide_irregular_moves(rng: Rng) -> Trace:
    """Holes wherever the part wants them: moves from 0.7 to 20 s."""
    job = Job(rng, holes=35)
    drawing = Drawing(job)
    drawing.wait(2.0)
    for i in range(job.holes):
        drawing.hole(height_of(job, i))
        drawing.wait(float(np.exp(rng.uniform(np.log(0.7), np.log(20)))))
    return finish("wide_irregular_moves", drawing)


@kind
def wide_air(rng: Rng) -> Trace:
    job = Job(rng, holes=30)
    drawing = Drawing(job)
    drawing.wait(2.0)
    for i in range(job.holes):
        if rng.random() < 0.2:
            drawing.wait(job.cut_s, rng.uniform(0.0, 0.06) * job.height_pct)
        else:
            drawing.hole(height_of(job, i))
        drawing.move()
    return finish("wide_air", drawing)


@kind
def wide_broken(rng: Rng) -> Trace:
    """The drill breaks in any hole but the first two; then air, a stop, or the trace ends."""
    job = Job(rng, holes=26, pecks=1, cut_s=float(rng.uniform(2, 9)))
    drawing = Drawing(job)
    drawing.wait(2.0)
    breaks = int(rng.integers(2, 22))
    for i in range(breaks):
        drawing.hole(height_of(job, i))
        drawing.move()
    drawing.hole(height_of(job, breaks), job.cut_s * float(rng.uniform(0.15, 0.75)))
    # Instead of leaving the hole the load shoots up and is gone.
    fall = drawing.parts.pop()
    drawing.points -= len(fall)
    top = drawing.job.height_pct * float(rng.uniform(1.7, 4.0))
    drawing.ramp(float(drawing.parts[-1][-1]), top, rng.uniform(0.04, 0.4))
    drawing.holes[-1] |= {"end": drawing.points, "broken": True}
    drawing.ramp(top, 0.0, 0.03)
    after = str(rng.choice(["air", "stop", "end"]))
    if after == "air":
        for _ in range(int(rng.integers(2, 10))):
            drawing.wait(job.cut_s, rng.uniform(0.0, 0.05) * job.height_pct)
            drawing.move()
    elif after == "stop":
        drawing.wait(rng.uniform(0.2, 2.0))
        drawing.stop_spindle(rng.uniform(5, 40))
    else:
        drawing.wait(rng.uniform(1.0, 3.0))
    return finish("wide_broken", drawing)


@kind
def wide_mill_between(rng: Rng) -> Trace:
    """Mills with wild load between blocks of holes; every tool change stops the spindle."""
    job = Job(rng, holes=24, cut_s=float(rng.uniform(1.5, 7)))
    drawing = Drawing(job)
    drawing.wait(2.0)
    for i in range(job.holes):
        drawing.hole(height_of(job, i))
        drawing.move()
        if i % 8 == 7:
            drawing.stop_spindle(rng.uniform(2, 6))
            drawing.run_up()
            number = round(job.cut_s * rng.uniform(5, 15) / 0.002)
            rough = np.cumsum(rng.normal(0, 1, number // 100 + 2))
            wave = np.interp(np.arange(number), np.arange(len(rough)) * 100.0, rough)
            wave = wave / max(1e-9, np.abs(wave).max())
            drawing.add(job.height_pct * (1.4 + 0.4 * wave) * rng.uniform(0.8, 1.5))
            drawing.fall(0.1)
            drawing.stop_spindle(rng.uniform(2, 6))
            drawing.run_up()
    return finish("wide_mill_between", drawing)


@kind
def wide_strong_wear(rng: Rng) -> Trace:
    job = Job(rng, holes=45, wear=float(rng.uniform(2, 5)), height_pct=float(rng.uniform(8, 20)))
    return finish("wide_strong_wear", plain(job))


@kind
def wide_idle_levels(rng: Rng) -> Trace:
    """The idle level changes between blocks by more than the cut adds."""
    job = Job(rng, holes=30, height_pct=float(rng.uniform(8, 15)))
    drawing = Drawing(job)
    drawing.wait(2.0)
    start = drawing.points
    for i in range(job.holes):
        drawing.hole(height_of(job, i))
        drawing.move()
        if i % 6 == 5:
            drawing.level(start, drawing.points, float(rng.uniform(0, 2.2)) * job.height_pct)
            drawing.wait(1.5)
            start = drawing.points
            drawing.wait(1.2)
    return finish("wide_idle_levels", drawing)


@kind
def wide_inverted(rng: Rng) -> Trace:
    """A load that is sent with its sign turned round."""
    trace = finish("wide_inverted", plain(Job(rng)))
    trace.samples["load_pct"] *= -1.0
    return trace


@kind
def wide_cutting_data_off(rng: Rng) -> Trace:
    """The feed override is not at 100 %: holes last longer or shorter than computed."""
    error = float(rng.choice([-0.3, -0.2, 0.2, 0.3]))
    return finish("wide_cutting_data_off", plain(Job(rng, speed_error=error)))

"""A second, independent way to draw labelled traces: a shop's variety, drawn by wide chances.

`traces.py` draws straight lines; here a job is a random machine, drive, drill, noise and habit, so
that what was learnt on the one is checked on the other. Invented; levels and times are common
practice, no source. Nothing here knows how holes are found.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from tests.helpers.traces import Rng, Trace

FINE_S = 0.002
Floats = np.ndarray


@dataclass
class Job:
    """What is drilled on what; fields not given are drawn."""

    rng: Rng
    sample_hz: float = 0.0
    holes: int = 0
    idle_pct: float = -1.0
    height_pct: float = 0.0
    noise_pct: float = -1.0
    cut_s: float = 0.0
    mode: str = "none"
    pecks: int = 1
    gap_s: float = 0.0
    move_s: tuple[float, float] = (0.0, 0.0)
    wear: float = 0.0
    through: bool = False
    breakthrough: bool = False
    entry: str = ""
    noise: str = "white"
    packing: float = 0.0
    round_to: float = 0.0
    filters_s: tuple[float, ...] = ()
    average_s: float = 0.0
    exit_grab: float = 0.0
    speed_error: float = 0.0
    diameter_mm: float = field(init=False)
    depth_mm: float = field(init=False)
    feed: float = field(init=False)

    def __post_init__(self) -> None:
        rng = self.rng
        self.sample_hz = self.sample_hz or float(rng.choice([20, 50, 100, 125, 200, 500]))
        self.holes = self.holes or int(rng.integers(8, 40))
        if self.idle_pct < 0:
            self.idle_pct = float(rng.choice([2.5, 4, 8, 12, 25]))
        self.height_pct = self.height_pct or float(np.exp(rng.uniform(np.log(8), np.log(90))))
        if self.noise_pct < 0:
            self.noise_pct = float(rng.uniform(0.005, 0.06)) * self.height_pct
        self.cut_s = self.cut_s or float(np.exp(rng.uniform(np.log(1.2), np.log(12))))
        if self.move_s == (0.0, 0.0):
            quick = float(rng.uniform(0.9, 3.0))
            self.move_s = (quick, quick * float(rng.uniform(1.05, 2.0)))
        self.wear = self.wear or float(rng.uniform(1.0, 1.5))
        self.entry = self.entry or str(rng.choice(["cone", "cosine", "root", "overshoot"]))
        self.diameter_mm = float(np.exp(rng.uniform(np.log(2), np.log(20))))
        self.depth_mm = self.diameter_mm * float(rng.uniform(1.5, 8))
        self.feed = 0.02 * self.diameter_mm

    @property
    def path_mm(self) -> float:
        beyond = 0.0
        if self.breakthrough:
            beyond = 2.0
        return self.depth_mm + self.diameter_mm / 2 / np.tan(np.radians(70.0)) + beyond

    @property
    def speed(self) -> float:
        path = self.path_mm
        return path / self.cut_s * 60 / self.feed * np.pi * self.diameter_mm / 1000

    def expected(self) -> dict[str, Any]:
        path = self.depth_mm + self.diameter_mm / 2 / np.tan(np.radians(70.0))
        return {
            "speed_m_per_min": self.speed * (1 + self.speed_error), "feed_mm_per_rev": self.feed,
            "peck_mode": self.mode,
            "peck_depth_xd": path / self.pecks * 1.0001 / self.diameter_mm,
            "diameter_mm": self.diameter_mm, "depth_mm": self.depth_mm,
        }  # fmt: skip


class Drawing:
    """Load above idle on a fine grid, drawn piece by piece, with labels beside it."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.parts: list[Floats] = []
        self.points = 0
        self.holes: list[dict[str, Any]] = []
        self.off: list[tuple[int, int]] = []
        self.rpm: list[tuple[int, float]] = [(0, 3000.0)]
        self.idle_parts: list[tuple[int, int, float]] = []

    @property
    def now_s(self) -> float:
        return self.points * FINE_S

    def add(self, load: Floats) -> None:
        self.parts.append(np.asarray(load, dtype=float))
        self.points += len(load)

    def wait(self, seconds: float, level: float = 0.0) -> None:
        self.add(np.full(max(1, round(seconds / FINE_S)), level))

    def bump(self, height: float, seconds: float) -> None:
        """Half a sine."""
        self.add(height * np.sin(np.linspace(0, np.pi, max(2, round(seconds / FINE_S)))))

    def ramp(self, start: float, stop: float, seconds: float) -> None:
        self.add(np.linspace(start, stop, max(2, round(seconds / FINE_S))))

    def run_up(self, rpm: float = 3000.0, top: float = 0.0, seconds: float = 0.0) -> None:
        """Acceleration at nearly constant torque, then a small overshoot; no cut."""
        rng = self.job.rng
        top = top or float(rng.uniform(0.4, 3.0)) * self.job.height_pct
        seconds = seconds or float(rng.uniform(0.15, 1.6))
        begin = self.points
        number = max(4, round(seconds / FINE_S))
        x = np.linspace(0, 1, number)
        shape = np.minimum(1, x / 0.08) * (1 - float(rng.uniform(-0.25, 0.5)) * x)
        self.add(top * shape * np.minimum(1, (1 - x) / float(rng.uniform(0.02, 0.3))))
        for share in np.linspace(0, 1, 10)[1:]:
            self.rpm.append((begin + round(share * number), rpm * share))
        self.wait(float(rng.uniform(0.4, 2.5)))

    def stop_spindle(self, seconds: float) -> None:
        """Braking: a short spike, either way, then nothing at all until the next run-up."""
        rng = self.job.rng
        height = float(rng.uniform(0.3, 2.0)) * self.job.height_pct
        begin = self.points
        number = round(float(rng.uniform(0.1, 1.0)) / FINE_S)
        shape = np.minimum(1, np.linspace(0, 12, number)) * np.linspace(1, 0.2, number)
        self.add(height * float(rng.choice([1.0, -0.4])) * shape)
        for share in np.linspace(1, 0, 10)[1:]:
            self.rpm.append((begin + round((1 - share) * number), 3000.0 * share))
        start = self.points
        self.wait(seconds)
        self.off.append((start, self.points))

    def level(self, start: int, stop: int, extra: float) -> None:
        """Raise the idle level for a while: a pump, a chiller, an axis."""
        self.idle_parts.append((start, stop, extra))

    def entry_shape(self, seconds: float) -> Floats:
        x = np.linspace(0, 1, max(2, round(seconds / FINE_S)))
        return {
            "cone": x, "cosine": 0.5 - 0.5 * np.cos(np.pi * x), "root": np.sqrt(x),
            "overshoot": x + 0.25 * x * np.sin(np.pi * x),
        }[self.job.entry]  # fmt: skip

    def cut(self, height: float, seconds: float, first: bool, deep: tuple[float, float]) -> None:
        """One stretch of cutting from depth share ``deep[0]`` to ``deep[1]``."""
        job, rng = self.job, self.job.rng
        number = max(6, round(seconds / FINE_S))
        x = np.linspace(deep[0], deep[1], number)
        load = height * (1 + 0.12 * x**1.5)
        if job.packing:
            phase = np.cumsum(rng.normal(1, 0.4, number)) * FINE_S * 2 * np.pi
            rate = float(rng.uniform(0.4, 1.6))
            load *= 1 + job.packing * np.clip(x - 0.2, 0, 1) * np.sin(rate * phase)
        contact = 0.18 * job.diameter_mm / job.path_mm * job.cut_s if first else 0.02
        shape = self.entry_shape(min(contact, 0.4 * seconds))
        load[: len(shape)] *= shape[: len(load)]
        self.add(load)

    def fall(self, seconds: float) -> None:
        """From the load now to idle."""
        last = float(self.parts[-1][-1])
        self.ramp(last, 0.0, max(seconds, FINE_S * 2))

    def hole(self, height: float, cut_s: float = 0.0) -> None:
        job, rng = self.job, self.job.rng
        cut_s = (cut_s or job.cut_s) * float(rng.normal(1, 0.01))
        start = self.points
        each = cut_s / job.pecks
        peak_from = len(self.parts)
        for i in range(job.pecks):
            last = i == job.pecks - 1
            slow = 0.0
            if job.breakthrough and last:
                slow = min(0.5 * each, 2.0 / job.path_mm * cut_s)
            self.cut(height, each - slow, i == 0, (i / job.pecks, (i + 1) / job.pecks))
            if slow:
                self.ramp(height, 0.6 * height, 0.05)
                self.wait(2 * slow, 0.6 * height)
            if last and job.exit_grab:
                self.ramp(height, height * (1 + job.exit_grab), 0.06)
            end = self.points
            if last and job.through:
                out = min(0.3, 0.1 * cut_s)
                self.fall(out)
                end = self.points
            else:
                self.fall(0.03)
            if not last:
                if job.mode == "chip_break":
                    self.wait(job.gap_s * float(rng.uniform(0.85, 1.15)))
                else:
                    self.wait(job.gap_s * (0.7 + 0.6 * i / job.pecks))
        above = np.concatenate(self.parts[peak_from:])
        self.holes.append(
            {"start": start, "end": end, "pecks": job.pecks, "broken": False,
             "top": float(np.sort(above)[-min(len(above), 3)])}
        )  # fmt: skip

    def move(self) -> None:
        low, high = self.job.move_s
        self.wait(float(self.job.rng.uniform(low, high)))


def height_of(job: Job, i: int) -> float:
    share = i / max(1, job.holes - 1)
    return job.height_pct * (1 + (job.wear - 1) * share**1.3) * float(job.rng.normal(1, 0.02))


def coloured(rng: Rng, kind: str, number: int, step_s: float, size: float) -> Floats:
    """Noise of standard deviation ``size``: white, pink-like, slow wander, or a hum with beat."""
    white = rng.normal(0, size, number)
    if kind == "white":
        return white
    if kind == "hum":
        t = np.arange(number) * step_s
        one, two = rng.uniform(2, 30), rng.uniform(2, 30)
        hum = np.sin(2 * np.pi * one * t) * (1 + 0.5 * np.sin(2 * np.pi * 0.1 * two * t))
        return 0.6 * white + size * hum
    spectrum = np.fft.rfft(rng.normal(0, 1, number))
    rate = np.fft.rfftfreq(number, step_s)
    low = 0.3 if kind == "pink" else 0.05
    spectrum /= np.maximum(rate, low) ** (0.5 if kind == "pink" else 1.0)
    noise = np.fft.irfft(spectrum, number)
    return noise / noise.std() * size


def finish(kind: str, drawing: Drawing, *, signals: bool = False, drift: float = 0.0) -> Trace:
    """Idle level, spindle off, drive filter, sampling, noise, rounding; the labels with them."""
    job, rng = drawing.job, drawing.job.rng
    above = np.concatenate(drawing.parts)
    fine = np.arange(len(above)) * FINE_S
    idle = np.full(len(above), job.idle_pct)
    if drift:
        span = fine[-1]
        idle += drift * np.exp(-fine / (0.3 * span)) + 0.2 * drift * np.sin(9 * fine / span)
    for start, stop, extra in drawing.idle_parts:
        idle[start:stop] += extra
    load = idle + above
    for start, stop in drawing.off:
        load[start:stop] = 0.0
    if job.average_s:
        width = max(1, round(job.average_s / FINE_S))
        total = np.cumsum(np.concatenate([np.full(width, load[0]), load]))
        load = (total[width:] - total[:-width]) / width
    from scipy.signal import lfilter

    for constant in job.filters_s:
        a = float(np.exp(-FINE_S / constant))
        load = lfilter([1 - a], [1, -a], load, zi=[a * load[0]])[0]
    step = 1 / job.sample_hz
    t = np.arange(0, fine[-1], step)
    spot = np.minimum(np.round(t / FINE_S).astype(int), len(load) - 1)
    shown = load[spot] + coloured(rng, job.noise, len(t), step, job.noise_pct)
    if job.round_to:
        shown = np.round(shown / job.round_to) * job.round_to
    samples = pd.DataFrame({"time_s": t, "load_pct": shown})
    if signals:
        at, value = zip(*drawing.rpm, strict=True)
        samples["rpm"] = np.interp(t, np.array(at) * FINE_S, value).round()
    rows = [
        {"start_s": h["start"] * FINE_S, "end_s": h["end"] * FINE_S, "pecks": h["pecks"],
         "peak_pct": float(np.sort(load[h["start"] : h["end"]])[-3]), "broken": h["broken"]}
        for h in drawing.holes
    ]  # fmt: skip
    columns = ["start_s", "end_s", "pecks", "peak_pct", "broken"]
    delay = sum(job.filters_s) + job.average_s / 2
    return Trace(kind, samples, pd.DataFrame(rows, columns=columns), job.expected(), delay, step)

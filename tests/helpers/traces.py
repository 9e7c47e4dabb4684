"""Labelled load traces, invented: what a spindle would show, and what a machinist would count.

Nothing here knows how holes are found. Levels and times are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

Rng = np.random.Generator


@dataclass
class Trace:
    """Samples with their labels.

    ``holes`` has start_s, end_s, pecks, peak_pct (highest load without noise and spikes), broken.
    ``expected`` is what `find_holes` takes. ``delay_s`` is the time constant of the drive's filter.
    """

    kind: str
    samples: pd.DataFrame
    holes: pd.DataFrame
    expected: dict[str, Any]
    delay_s: float
    sample_s: float


@dataclass
class Plan:
    """One job to be drawn; the kinds below change what is special about them."""

    rng: Rng
    holes: int = 24
    sample_hz: float = 100.0
    idle: float = 6.0
    height: float = 34.0
    noise: float = 0.6
    depth_growth: float = 0.1
    worn_factor: float = 1.1
    mode: str = "none"
    pecks: int = 1
    move_s: float = 2.2
    move_scatter: float = 0.15
    retract_s: float = 0.7
    retract_growth: float = 0.3
    dip_s: float = 0.2
    through: bool = False
    breakthrough: bool = False
    humps: tuple[float, ...] = ()
    hump_gap_s: float = 0.0
    filter_s: float = 0.0
    round_to: float = 0.0
    diameter_mm: float = field(default=0.0)
    depth_mm: float = field(default=0.0)
    speed: float = field(default=0.0)
    feed: float = field(default=0.0)

    def __post_init__(self) -> None:
        rng = self.rng
        self.diameter_mm = self.diameter_mm or float(rng.uniform(4, 14))
        self.depth_mm = self.depth_mm or float(rng.uniform(2.5, 6)) * self.diameter_mm
        self.feed = self.feed or float(rng.uniform(0.012, 0.022)) * self.diameter_mm
        # The speed that gives a cutting time between 2 and 7 s.
        cut_s = float(rng.uniform(2, 7))
        if self.mode == "full_retract":
            cut_s = float(rng.uniform(0.6, 1.6)) * self.pecks
        self.speed = self.speed or (
            self.path_mm / cut_s * 60.0 / self.feed * np.pi * self.diameter_mm / 1000.0
        )

    @property
    def path_mm(self) -> float:
        return self.depth_mm + self.diameter_mm / 2 / np.tan(np.radians(70.0))

    @property
    def feed_mm_per_s(self) -> float:
        return 1000.0 * self.speed / (np.pi * self.diameter_mm) * self.feed / 60.0

    @property
    def cut_s(self) -> float:
        return self.path_mm / self.feed_mm_per_s

    def expected(self) -> dict[str, Any]:
        out = {
            "speed_m_per_min": self.speed, "feed_mm_per_rev": self.feed, "peck_mode": self.mode,
            "peck_depth_xd": self.path_mm / self.pecks * 1.0001 / self.diameter_mm,
            "diameter_mm": self.diameter_mm, "depth_mm": self.depth_mm,
        }  # fmt: skip
        if self.breakthrough:
            out |= {"breakthrough_feed_factor": 0.5, "breakthrough_mm": 2.0, "through": True}
        return out


class Line:
    """A piecewise straight line of load above idle, with what was done written beside it."""

    def __init__(self) -> None:
        self.t, self.y = [0.0], [0.0]
        self.holes: list[dict[str, Any]] = []
        self.off: list[tuple[float, float]] = []
        self.spikes: list[tuple[float, float, float]] = []  # time, height, decay

    @property
    def now(self) -> float:
        return self.t[-1]

    def to(self, level: float, seconds: float) -> None:
        self.t.append(self.t[-1] + max(seconds, 1e-4))
        self.y.append(level)

    def wait(self, seconds: float) -> None:
        self.to(self.y[-1], seconds)


def draw_hole(line: Line, plan: Plan, height: float, share: float = 1.0) -> None:
    """One hole, or the first ``share`` of it."""
    start = line.now
    scale = 1.0 + plan.rng.normal(0, 0.01)
    contact_s = 0.18 * plan.diameter_mm / plan.feed_mm_per_s
    total = plan.cut_s * scale * share
    peak = 0.0
    if plan.humps:
        part = total / len(plan.humps)
        for i, hump in enumerate(plan.humps):
            line.to(height * hump, min(contact_s, 0.3 * part))
            line.to(height * hump, part - min(contact_s, 0.3 * part))
            peak = max(peak, height * hump)
            if i + 1 < len(plan.humps) and plan.hump_gap_s:
                line.to(0.08 * height, 0.05)
                line.wait(plan.hump_gap_s)
        line.to(0.0, 0.03)
        pecks, end = 1, line.now - 0.03
    else:
        pecks = max(1, round(plan.pecks * share)) if plan.pecks > 1 else 1
        each = total / pecks
        for i in range(pecks):
            level = height * (1 + plan.depth_growth * (i + 1) / pecks)
            from_level = height * (1 + plan.depth_growth * i / pecks)
            ramp = min(contact_s, 0.4 * each) if i == 0 else 0.03
            tail = 0.0
            line.to(from_level, ramp)
            if plan.breakthrough and i == pecks - 1:
                tail = 2 * (2.0 + contact_s * plan.feed_mm_per_s) / plan.feed_mm_per_s
                line.to(level, max(0.1, each - ramp - tail / 2))
                line.to(0.57 * level, 0.03)
                line.to(0.57 * level, max(0.05, tail - contact_s))
                line.to(0.0, contact_s)
                end = line.now
            elif plan.through and i == pecks - 1:
                line.to(level, max(0.1, each - ramp - contact_s))
                line.to(0.0, contact_s)
                end = line.now
            else:
                line.to(level, each - ramp)
                end = line.now
                line.to(0.0, 0.03)
            peak = max(peak, level)
            if i + 1 < pecks:
                if plan.mode == "chip_break":
                    line.wait(max(0.02, plan.dip_s * plan.rng.uniform(0.9, 1.1)))
                else:
                    grow = 1 + plan.retract_growth * (i / max(1, pecks - 1) - 0.5)
                    line.wait(plan.retract_s * grow * plan.rng.uniform(0.96, 1.04))
    line.holes.append(
        {"start_s": start, "end_s": end, "pecks": pecks, "peak_above": peak, "broken": False}
    )


def move(line: Line, plan: Plan) -> None:
    line.wait(plan.move_s * (1 + plan.move_scatter * plan.rng.uniform(-1, 1)))


def wear(plan: Plan, i: int) -> float:
    """Height of hole ``i``: slow growth with a little scatter."""
    share = i / max(1, plan.holes - 1)
    return plan.height * (1 + (plan.worn_factor - 1) * share**1.5) * plan.rng.normal(1, 0.015)


def plain(line: Line, plan: Plan) -> None:
    line.wait(plan.rng.uniform(2, 5))
    for i in range(plan.holes):
        draw_hole(line, plan, wear(plan, i))
        move(line, plan)
    line.wait(3)


def render(
    kind: str, line: Line, plan: Plan, *, times: np.ndarray | None = None,
    idle: Callable[[np.ndarray], np.ndarray] | None = None,
) -> Trace:  # fmt: skip
    """Sample the line: idle, spindle off, drive filter, noise, rounding."""
    step = 1.0 / plan.sample_hz
    t = times if times is not None else np.arange(0, line.now, step)
    fine = np.arange(0, line.now + 0.002, 0.002 if plan.sample_hz <= 500 else 0.001)
    above = np.interp(fine, line.t, line.y)
    clean = (idle(fine) if idle else np.full(len(fine), plan.idle)) + above
    for a, b in line.off:
        clean[(fine >= a) & (fine < b)] = 0.0
    label = clean.copy()
    for at, height, decay in line.spikes:
        rise = (fine >= at - 0.05) & (fine < at)
        clean[rise] += height * (fine[rise] - at + 0.05) / 0.05
        fall = (fine >= at) & (fine < at + 6 * decay)
        clean[fall] += height * np.exp(-(fine[fall] - at) / decay)
    if plan.filter_s:
        from scipy.signal import lfilter

        a = float(np.exp(-(fine[1] - fine[0]) / plan.filter_s))
        clean = lfilter([1 - a], [1, -a], clean, zi=[a * clean[0]])[0]
        label = lfilter([1 - a], [1, -a], label, zi=[a * label[0]])[0]
    x = np.interp(t, fine, clean) + plan.rng.normal(0, plan.noise, len(t))
    if plan.round_to:
        x = np.round(x / plan.round_to) * plan.round_to
    holes = pd.DataFrame(line.holes, columns=["start_s", "end_s", "pecks", "peak_above", "broken"])
    holes["peak_pct"] = [
        float(label[(fine >= a) & (fine <= b)].max())
        for a, b in zip(holes.start_s, holes.end_s, strict=True)
    ]
    return Trace(
        kind, pd.DataFrame({"time_s": t, "load_pct": x}), holes.drop(columns="peak_above"),
        plan.expected(), plan.filter_s, step,
    )  # fmt: skip


def simple(kind: str, plan: Plan) -> Trace:
    line = Line()
    plain(line, plan)
    return render(kind, line, plan)


def drop(trace: Trace, keep: np.ndarray) -> Trace:
    trace.samples = trace.samples[keep].reset_index(drop=True)
    return trace


KINDS: dict[str, Callable[[Rng], Trace]] = {}


def kind(function: Callable[[Rng], Trace]) -> Callable[[Rng], Trace]:
    KINDS[function.__name__] = function
    return function


def make(name: str, seed: int) -> Trace:
    """The labelled trace of one kind; the same for the same seed."""
    return KINDS[name](np.random.default_rng([seed, *name.encode()]))

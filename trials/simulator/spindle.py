"""The load meter of an invented spindle: idle load, run-up, drive filter, noise and rounding."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from trials.errors import require

Floats = npt.NDArray[np.float64]

_RUN_UP_S, _RUN_DOWN_S = 0.6, 0.8
_RUN_UP_LOAD_PCT = 18.0
_WARM_UP_LOAD_PCT, _WARM_UP_S = 2.0, 600.0
_IDLE_NOISE_PCT, _CUT_NOISE_SHARE = 0.25, 0.012


@dataclass(frozen=True, slots=True)
class Signal:
    """How the machine shows its load.

    Args:
        sample_hz: values a second.
        decimals: decimals of the load, 0 (whole percent) or 1.
        filter_s: time constant of the drive's low-pass filter, s; 0 for none.
        noise: factor on all noise; 0 for a clean trace.
    """

    sample_hz: float = 20.0
    decimals: int = 1
    filter_s: float = 0.1
    noise: float = 1.0

    def __post_init__(self) -> None:
        require(0.1 <= self.sample_hz <= 10_000, "sample rate", self.sample_hz, "0.1 to 10,000 Hz")
        require(self.decimals in (0, 1, 2), "decimals of the load", self.decimals, "0, 1 or 2")
        require(0 <= self.filter_s <= 10, "filter time", self.filter_s, "0 to 10 s")
        require(self.noise >= 0, "noise", self.noise, "0 or more")


@dataclass(frozen=True, slots=True)
class Samples:
    """What the machine tells: equal-length columns, already rounded as it tells them."""

    time_s: Floats
    load_pct: Floats
    rpm: Floats
    depth_mm: Floats


class Spindle:
    """Turns what happens to the spindle into samples on one clock that only goes forward.

    Args:
        signal: how load is shown.
        idle_pct: load of the warm spindle turning free at ``rpm``.
        rpm: speed while drilling, 1/min.
        rng: source of the noise.
    """

    def __init__(
        self, signal: Signal, idle_pct: float, rpm: float, rng: np.random.Generator
    ) -> None:
        self._signal = signal
        self._idle_pct = idle_pct
        self._rpm = rpm
        self._rng = rng
        self._elapsed_s = 0.0
        self._next = 0
        self._filtered = 0.0
        self._parts: list[Samples] = []
        self._peak_pct = 0.0

    @property
    def sample_hz(self) -> float:
        """Values a second."""
        return self._signal.sample_hz

    @property
    def elapsed_s(self) -> float:
        """Machine time so far, s."""
        return self._elapsed_s

    def stand(self, seconds: float) -> None:
        """Stand still."""
        self._add(seconds, lambda t: (0.0 * t, 0.0 * t, 0.0 * t), 0.0, turning=False)

    def run_up(self) -> None:
        """Start the spindle: a short load that is no hole."""

        def curve(t: Floats) -> tuple[Floats, Floats, Floats]:
            share = t / _RUN_UP_S
            return _RUN_UP_LOAD_PCT * np.sin(math.pi * share), self._rpm * share, 0.0 * t

        self._add(_RUN_UP_S, curve, 0.0)

    def run_down(self) -> None:
        """Stop the spindle."""

        def curve(t: Floats) -> tuple[Floats, Floats, Floats]:
            return 0.0 * t, self._rpm * (1.0 - t / _RUN_DOWN_S), 0.0 * t

        self._add(_RUN_DOWN_S, curve, 0.0)

    def turn(self, seconds: float) -> None:
        """Turn free, for example on the way to the next hole."""
        self._add(seconds, lambda t: (0.0 * t, 0.0 * t + self._rpm, 0.0 * t), 0.0)

    def cut(
        self, seconds: float, load_and_depth: Callable[[Floats], tuple[Floats, Floats]],
        extra_noise: float = 0.0,
    ) -> float:  # fmt: skip
        """Drill; returns the highest load of it in %, filtered, before noise and rounding.

        Args:
            seconds: how long.
            load_and_depth: load above idle in % and depth in mm at seconds from now.
            extra_noise: further noise as a share of the cutting load.
        """

        def curve(t: Floats) -> tuple[Floats, Floats, Floats]:
            load, depth = load_and_depth(t)
            return load, 0.0 * t + self._rpm, depth

        self._peak_pct = 0.0
        self._add(seconds, curve, _CUT_NOISE_SHARE + extra_noise)
        return self._peak_pct

    def take(self) -> Samples:
        """All samples since the last call."""
        parts, self._parts = self._parts, []
        return Samples(
            *(
                np.concatenate([getattr(part, name) for part in parts] or [np.empty(0)])
                for name in ("time_s", "load_pct", "rpm", "depth_mm")
            )
        )

    def _add(
        self,
        seconds: float,
        curve: Callable[[Floats], tuple[Floats, Floats, Floats]],
        noise_share: float,
        *,
        turning: bool = True,
    ) -> None:
        hz = self._signal.sample_hz
        begin_s, self._elapsed_s = self._elapsed_s, self._elapsed_s + seconds
        last = math.ceil(self._elapsed_s * hz - 1e-9)
        time_s = np.arange(self._next, last) / hz
        self._next = max(self._next, last)
        if time_s.size == 0:
            return
        load, rpm, depth_mm = curve(time_s - begin_s)
        warm = _WARM_UP_LOAD_PCT * np.exp(-time_s / _WARM_UP_S)
        raw = load + (self._idle_pct + warm) * rpm / self._rpm if turning else load
        shown: Floats = self._filter(raw)
        self._peak_pct = max(self._peak_pct, float(shown.max()))
        if turning:
            scale: Floats = self._signal.noise * np.hypot(_IDLE_NOISE_PCT, noise_share * load)
            shown = shown + scale * self._rng.standard_normal(time_s.size)
        self._parts.append(
            Samples(
                np.round(time_s, 4),
                np.maximum(np.round(shown, self._signal.decimals), 0.0),
                np.round(rpm),
                np.round(depth_mm, 2),
            )
        )

    def _filter(self, raw: Floats) -> Floats:
        """First-order low-pass: each value goes a fixed share of the way to the new one."""
        if self._signal.filter_s == 0:
            return raw
        share = 1.0 - math.exp(-1.0 / (self._signal.sample_hz * self._signal.filter_s))
        out = []
        value = self._filtered
        for new in raw.tolist():
            value += share * (new - value)
            out.append(value)
        self._filtered = value
        return np.array(out)

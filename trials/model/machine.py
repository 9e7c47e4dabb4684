"""The machine tool, as far as drilling loads it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from trials.errors import require


@dataclass(frozen=True, slots=True)
class Machine:
    """A spindle with its limits.

    100 % spindle load means rated torque up to ``base_rpm`` and rated power above it: the usual
    constant-torque and constant-power ranges of a drive (common practice, no source).

    Args:
        rated_power_kw: continuous power of the spindle drive, kW.
        base_rpm: speed at which rated power is reached, 1/min.
        max_rpm: highest spindle speed, 1/min.
        name: what the shop calls it.
        max_feed_mm_per_min: highest feed rate of the drilling axis.
        rapid_mm_per_min: rapid traverse of the drilling axis.
        max_thrust_n: highest axial force allowed, N; None when not known.
        coolant_bar: pressure of coolant through the spindle, bar; 0 when there is none.
        power_curve: continuous power at spindle speeds, as pairs of 1/min and kW with rising
            speeds; empty takes constant torque up to the base speed and constant power above.
            Below the first pair the torque of that pair is kept.

    Raises:
        InputError: a value is outside what is physically possible.
    """

    rated_power_kw: float
    base_rpm: float
    max_rpm: float
    name: str = "machine"
    max_feed_mm_per_min: float = 10_000.0
    rapid_mm_per_min: float = 20_000.0
    max_thrust_n: float | None = None
    coolant_bar: float = 0.0
    power_curve: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        require(0 < self.rated_power_kw <= 500, "rated power of the machine", self.rated_power_kw,
                "more than 0 and at most 500 kW")  # fmt: skip
        require(0 < self.base_rpm, "base speed of the machine", self.base_rpm, "more than 0 /min")
        require(self.base_rpm <= self.max_rpm <= 500_000, "maximum speed of the machine",
                self.max_rpm, f"from the base speed {self.base_rpm:g} to 500,000 /min")  # fmt: skip
        require(0 < self.max_feed_mm_per_min, "maximum feed of the machine",
                self.max_feed_mm_per_min, "more than 0 mm/min")  # fmt: skip
        require(0 < self.rapid_mm_per_min, "rapid traverse of the machine", self.rapid_mm_per_min,
                "more than 0 mm/min")  # fmt: skip
        require(self.max_thrust_n is None or self.max_thrust_n > 0, "thrust limit of the machine",
                self.max_thrust_n, "more than 0 N, or left out")  # fmt: skip
        require(0 <= self.coolant_bar <= 1000, "coolant pressure", self.coolant_bar,
                "0 to 1000 bar")  # fmt: skip
        speeds = [speed for speed, _ in self.power_curve]
        require(
            all(speed > 0 and 0 < power <= 500 for speed, power in self.power_curve)
            and speeds == sorted(set(speeds)),
            "power curve of the machine",
            "; ".join(f"{speed:g} /min {power:g} kW" for speed, power in self.power_curve),
            "pairs of /min above 0 and kW above 0 and at most 500, with rising speeds",
        )

    @property
    def rated_torque_n_m(self) -> float:
        """Torque that is 100 % load at and below ``base_rpm``: M = 9550 · P / n, N·m."""
        return self.rated_power_kw * 9550.0 / self.base_rpm

    def available_kw(self, spindle_rpm: float) -> float:
        """Continuous power at a spindle speed in 1/min, kW, by the curve where there is one."""
        if not self.power_curve:
            return self.rated_power_kw * min(1.0, spindle_rpm / self.base_rpm)
        first_rpm, first_kw = self.power_curve[0]
        if spindle_rpm <= first_rpm:
            return first_kw * spindle_rpm / first_rpm
        for (left, low), (right, high) in itertools.pairwise(self.power_curve):
            if spindle_rpm <= right:
                return low + (high - low) * (spindle_rpm - left) / (right - left)
        return self.power_curve[-1][1]

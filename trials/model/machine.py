"""The machine tool, as far as drilling loads it."""

from __future__ import annotations

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

    @property
    def rated_torque_n_m(self) -> float:
        """Torque that is 100 % load at and below ``base_rpm``: M = 9550 · P / n, N·m."""
        return self.rated_power_kw * 9550.0 / self.base_rpm

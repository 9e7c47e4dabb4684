"""What first cutting data must not pass: load, thrust, and the drill's own stiffness."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from trials.errors import InputError
from trials.mechanics.catalogue import Catalogue, cutting_force_values, material_of
from trials.mechanics.forces import (
    SPLIT_POINT,
    STANDARD_POINT,
    handbook_thrust_n,
    load_pct,
    torque_n_m,
)
from trials.mechanics.kinematics import rpm
from trials.mechanics.rigidity import thrust_borne_n
from trials.mechanics.rounding import feed_down, speed_down
from trials.model import CuttingData, Drill, HoleFeature, Machine, Work

# A worn drill asks for about this much more torque than a sharp one (handbook wear factor).
WORN_TORQUE_FACTOR = 1.3
# Feed is lowered this far to stay within limits; lower still it would rub instead of cutting.
# Common practice, no source.
_FEED_SHARES = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3)
_SPEED_SHARES = (1.0, 0.8, 0.6, 0.45, 0.3)


class NoStartError(InputError):
    """No cutting data stay within the limits; ``limits`` names those that are passed."""

    def __init__(self, what: str, *, limits: tuple[str, ...], got: str, allowed: str, do: str):
        super().__init__(what, got=got, allowed=allowed, do=do)
        self.limits = limits


def expected_load_pct(
    cutting_data: CuttingData,
    drill: Drill,
    work: Work,
    machine: Machine,
    *,
    worn: bool = False,
    catalogue: Catalogue | None = None,
) -> float:
    """Peak spindle load in % of rating that the catalogue expects; idle load is not in it."""
    torque = sharp_torque_n_m(cutting_data, drill, work, catalogue)
    if worn:
        torque *= WORN_TORQUE_FACTOR
    return load_pct(machine, rpm(cutting_data.speed_m_per_min, drill.diameter_mm), torque)


def sharp_torque_n_m(
    data: CuttingData, drill: Drill, work: Work, catalogue: Catalogue | None
) -> float:  # fmt: skip
    kc1_1, mc = cutting_force_values(work, catalogue)
    return torque_n_m(drill.diameter_mm, data.feed_mm_per_rev, kc1_1, mc, drill.point_angle_deg)


def expected_thrust_n(
    cutting_data: CuttingData, drill: Drill, work: Work, catalogue: Catalogue | None = None
) -> float:
    """Thrust in N of a worn drill by the handbook formula.

    Carbide, and a point that is said to centre itself, are taken as split-pointed.
    """
    split = drill.self_centring or (drill.self_centring is None and drill.substrate == "carbide")
    return handbook_thrust_n(
        drill.diameter_mm,
        cutting_data.feed_mm_per_rev,
        work.kd if work.kd is not None else material_of(work, catalogue).kd,
        chisel_ratio=SPLIT_POINT if split else STANDARD_POINT,
        wear_factor=WORN_TORQUE_FACTOR,
    )


@dataclass(frozen=True, slots=True)
class Limits:
    """What cutting data must not pass, asked again after every rounding."""

    drill: Drill
    work: Work
    hole: HoleFeature
    machine: Machine
    load_limit_pct: float
    catalogue: Catalogue

    def load(self, data: CuttingData, *, worn: bool) -> float:
        """Expected peak load, % of rating."""
        return expected_load_pct(
            data, self.drill, self.work, self.machine, worn=worn, catalogue=self.catalogue
        )

    @property
    def thrust(self) -> tuple[float, str]:
        """The least thrust limit in N, and whose it is."""
        borne = thrust_borne_n(self.drill, self.hole, self.catalogue)
        own = self.machine.max_thrust_n
        return (borne, "buckling") if own is None or borne < own else (own, "thrust")

    def passed(self, data: CuttingData) -> list[str]:
        """Names of the limits that these cutting data pass."""
        names = []
        # A sharp drill may not pass the rating, whatever limit a person has set for a worn one.
        if self.load(data, worn=True) > self.load_limit_pct * (1 + 1e-9) or (
            self.load(data, worn=False) > 100.0
        ):
            names.append("load")
        most, name = self.thrust
        if expected_thrust_n(data, self.drill, self.work, self.catalogue) > most * (1 + 1e-9):
            names.append(name)
        return names

    def most_feed_for_thrust(self, data: CuttingData) -> float:
        """Feed at which the thrust limit is reached; solved by halving, since thrust rises."""
        return self._most_feed(
            data,
            lambda one: (
                expected_thrust_n(one, self.drill, self.work, self.catalogue) <= self.thrust[0]
            ),
        )

    def most_feed_for_load(self, data: CuttingData) -> float:
        """Feed at which a sharp drill loads the spindle fully at this speed."""
        return self._most_feed(data, lambda one: self.load(one, worn=False) <= 100.0)

    def _most_feed(self, data: CuttingData, holds: Callable[[CuttingData], bool]) -> float:
        low, high = data.feed_mm_per_rev, 5.0
        if holds(replace(data, feed_mm_per_rev=high)):
            return high
        for _ in range(50):
            middle = (low + high) / 2.0
            low, high = (
                (middle, high) if holds(replace(data, feed_mm_per_rev=middle)) else (low, middle)
            )
        return low


def within_limits(
    data: CuttingData, limits: Limits, reasons: list[str], lowered: list[str]
) -> CuttingData:
    """Lower the feed, then the speed, until a worn drill stays below load and thrust limits."""
    first = limits.passed(data)
    if not first:
        return data
    tried = data
    for speed_share, feed_share in _steps():
        feed = feed_down(data.feed_mm_per_rev * feed_share)
        speed = speed_down(data.speed_m_per_min * speed_share)
        tried = replace(data, feed_mm_per_rev=feed, speed_m_per_min=speed)
        if not limits.passed(tried):
            names = {"load": f"{limits.load_limit_pct:g} % load",
                     "thrust": f"the thrust that {limits.machine.name} bears",
                     "buckling": "the thrust at which the drill buckles"}  # fmt: skip
            what = "feed" if speed_share == 1.0 else "speed and feed"
            values = f"{feed:g} mm/rev" if what == "feed" else f"{speed:g} m/min, {feed:g} mm/rev"
            reasons.append(
                f"{what} lowered to {values} so that a worn drill stays below "
                + " and ".join(names[name] for name in first)
            )
            lowered += [f"{what} for {name}" for name in first]
            return tried
    still = tuple(limits.passed(tried))
    thrust = expected_thrust_n(tried, limits.drill, limits.work, limits.catalogue)
    raise NoStartError(
        f"a {limits.drill.diameter_mm:g} mm drill in {limits.work.material} on "
        f"{limits.machine.name}",
        limits=still,
        got=f"{limits.load(tried, worn=True):.0f} % load and {thrust:.0f} N thrust with a worn "
        f"drill even at {tried.feed_mm_per_rev:g} mm/rev and {tried.speed_m_per_min:g} m/min",
        allowed=f"at most {limits.load_limit_pct:g} % and {limits.thrust[0]:.0f} N",
        do="Use a stronger machine, a shorter or split-pointed drill, or drill a smaller hole "
        "first and open it up.",
    )


def _steps() -> Iterable[tuple[float, float]]:
    return itertools.product(_SPEED_SHARES, _FEED_SHARES)

"""First cutting data for a drill in a hole on a machine, each step with its reason."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trials.mechanics.catalogue import (
    Catalogue,
    Material,
    material_of,
    shipped_catalogue,
)
from trials.mechanics.forces import (
    power_kw,
)
from trials.mechanics.kinematics import HoleTime, feed_rate_mm_per_min, hole_time, rpm
from trials.mechanics.kinematics import speed_m_per_min as speed_of
from trials.mechanics.rounding import feed_down, speed_down
from trials.mechanics.search_bounds import BoundReasons, search_bounds
from trials.mechanics.start_limits import (
    Limits,
    NoStartError,
    expected_thrust_n,
    sharp_torque_n_m,
    within_limits,
)
from trials.model import Bounds, CuttingData, Drill, HoleFeature, Machine, PeckMode, Work


@dataclass(frozen=True, slots=True)
class Start:
    """First cutting data with what they lead to.

    Args:
        cutting_data: rounded to the safe side, and checked again after that.
        bounds: where a search may go from there.
        bound_reasons: why each bound lies where it lies.
        load_fresh_pct, load_worn_pct: expected peak spindle load of a sharp and of a worn drill.
        torque_n_m, power_kw: of a sharp drill.
        thrust_n: expected thrust, worn drill.
        thrust_limit_n: the least of the machine's limit and what the drill bears; named by
            ``thrust_limit_of``.
        time: where the time of one hole goes.
        reasons: one sentence for each step from catalogue to result.
        lowered: what had to be lowered, and for what: ``speed for rpm``, ``feed for load``, …
        by_maker: whether the maker's range was the beginning.
        source: of speed and feed.
        diameter_mm, point_angle_deg: of the drill.
        coolant: what is used from outside.
        through_coolant_bar: pressure of coolant through the drill; 0 without.
    """

    cutting_data: CuttingData
    bounds: Bounds
    bound_reasons: BoundReasons
    load_fresh_pct: float
    load_worn_pct: float
    torque_n_m: float
    power_kw: float
    thrust_n: float
    thrust_limit_n: float
    thrust_limit_of: str
    time: HoleTime
    reasons: tuple[str, ...]
    lowered: tuple[str, ...]
    by_maker: bool
    source: str
    diameter_mm: float
    point_angle_deg: float
    coolant: str
    through_coolant_bar: float

    @property
    def rpm(self) -> float:
        """Spindle speed, 1/min."""
        return rpm(self.cutting_data.speed_m_per_min, self.diameter_mm)

    @property
    def feed_rate_mm_per_min(self) -> float:
        """Feed rate, mm/min."""
        return feed_rate_mm_per_min(self.rpm, self.cutting_data.feed_mm_per_rev)

    @property
    def feed_per_lip_mm(self) -> float:
        """Chip load: feed for each of two lips, mm."""
        return self.cutting_data.feed_mm_per_rev / 2.0

    @property
    def chip_thickness_mm(self) -> float:
        """Thickness of the chip before it is cut, mm: f/2 · sin(σ/2)."""
        return self.feed_per_lip_mm * math.sin(math.radians(self.point_angle_deg / 2.0))


def has_through_coolant(drill: Drill, machine: Machine) -> bool:
    """Whether coolant comes through the drill: it has holes, and the machine a pressure."""
    return drill.through_coolant and machine.coolant_bar > 0


def centres_itself(drill: Drill, catalogue: Catalogue | None = None) -> bool:
    """Whether the point starts without a spot hole: as given, else by the substrate."""
    if drill.self_centring is not None:
        return drill.self_centring
    return (catalogue or shipped_catalogue()).substrates[drill.substrate].self_centring


def first_cutting_data(
    drill: Drill,
    work: Work,
    hole: HoleFeature,
    machine: Machine,
    *,
    load_limit_pct: float = 80.0,
    catalogue: Catalogue | None = None,
) -> Start:
    """Speed, feed and pecks to begin with, reduced for depth and capped by the machine.

    The drill maker's range goes before the catalogue.

    Raises:
        NoStartError: the catalogue advises against this substrate in this material, or no feed
            stays within the machine's limits and those of the drill.
        InputError: the catalogue has no such material.
    """
    catalogue = catalogue or shipped_catalogue()
    material = material_of(work, catalogue)
    speed, feed, reasons, source = _begin(drill, work, material, catalogue)
    lowered: list[str] = []
    mode, peck_depth = _pecking(drill, hole, machine, material.tough, catalogue, reasons)
    speed, feed = _reduced_for_depth(speed, feed, drill, hole, machine, catalogue, reasons)
    speed, feed = _as_the_maker_allows(speed, feed, drill, lowered, reasons)
    most = speed_of(machine.max_rpm, drill.diameter_mm)
    if speed > most:
        speed = most
        lowered.append("speed for rpm")
        reasons.append(
            f"speed lowered to {most:.4g} m/min: {machine.name} turns at most "
            f"{machine.max_rpm:g} /min"
        )
    most_feed = machine.max_feed_mm_per_min / rpm(speed, drill.diameter_mm)
    if feed > most_feed:
        feed = most_feed
        lowered.append("feed for feed rate")
        reasons.append(
            f"feed lowered to {most_feed:.4g} mm/rev: {machine.name} feeds at most "
            f"{machine.max_feed_mm_per_min:g} mm/min"
        )
    entry = catalogue.entry
    data = CuttingData(
        speed_m_per_min=_rounded(speed, speed_down(speed), drill.maker_speed_m_per_min),
        feed_mm_per_rev=_rounded(feed, feed_down(feed), drill.maker_feed_mm_per_rev),
        peck_mode=mode,
        peck_depth_xd=peck_depth,
        breakthrough_feed_factor=entry.breakthrough_share if hole.through else 1.0,
        breakthrough_mm=entry.breakthrough_mm if hole.through else 0.0,
    )
    if hole.through:
        reasons.append(
            f"through hole: {100 * entry.breakthrough_share:.0f} % of the feed for the last "
            f"{entry.breakthrough_mm:g} mm before the point breaks through "
            f"({entry.source_of('breakthrough_share')})"
        )
    limits = Limits(drill, work, hole, machine, load_limit_pct, catalogue)
    data = within_limits(data, limits, reasons, lowered)
    bounds, bound_reasons = search_bounds(
        data, drill, hole, machine, catalogue,
        most_feed_for_thrust=limits.most_feed_for_thrust(data),
        most_feed_for_load=limits.most_feed_for_load(data),
        through_coolant=has_through_coolant(drill, machine),
    )  # fmt: skip
    torque = sharp_torque_n_m(data, drill, work, catalogue)
    thrust_limit, thrust_limit_of = limits.thrust
    return Start(
        cutting_data=data,
        bounds=bounds,
        bound_reasons=bound_reasons,
        load_fresh_pct=limits.load(data, worn=False),
        load_worn_pct=limits.load(data, worn=True),
        torque_n_m=torque,
        power_kw=power_kw(torque, rpm(data.speed_m_per_min, drill.diameter_mm)),
        thrust_n=expected_thrust_n(data, drill, work, catalogue),
        thrust_limit_n=thrust_limit,
        thrust_limit_of=thrust_limit_of,
        time=hole_time(
            data,
            drill.diameter_mm,
            hole.depth_mm,
            point_angle_deg=drill.point_angle_deg,
            through=hole.through,
            rapid_mm_per_min=machine.rapid_mm_per_min,
        ),
        reasons=tuple(reasons),
        lowered=tuple(lowered),
        by_maker=drill.maker_speed_m_per_min is not None or drill.maker_feed_mm_per_rev is not None,
        source=source,
        diameter_mm=drill.diameter_mm,
        point_angle_deg=drill.point_angle_deg,
        coolant=material.coolant,
        through_coolant_bar=machine.coolant_bar if has_through_coolant(drill, machine) else 0.0,
    )


def _begin(
    drill: Drill, work: Work, material: Material, catalogue: Catalogue
) -> tuple[float, float, list[str], str]:
    """Speed and feed before anything is taken off, why, and their source."""
    maker = "the drill maker's range"
    in_maker = drill.maker_speed_m_per_min, drill.maker_feed_mm_per_rev
    if None in in_maker and drill.substrate not in material.speed_m_per_min:
        allowed = " or ".join(material.speed_m_per_min)
        raise NoStartError(
            f"drill {drill.name}: substrate in {work.material}", limits=("substrate",),
            got=drill.substrate, allowed=allowed,
            do=f"Choose such a drill, or enter {maker} for {work.material}.",
        )  # fmt: skip
    where = f"{drill.substrate} in {_material_text(material)}"
    reasons, sources = [], []
    if in_maker[0] is not None:
        low, high = in_maker[0]
        speed = (low + high) / 2.0
        reasons.append(f"speed {speed:g} m/min: the middle of {maker}, {low:g} m/min to {high:g} "
                       "m/min")  # fmt: skip
        sources.append(maker)
    else:
        speed = material.speed_m_per_min[drill.substrate]
        source = material.source_of("speed_m_per_min")
        reasons.append(f"speed {speed:g} m/min for {where} ({source}); the drill maker's range "
                       "goes first")  # fmt: skip
        sources.append(f"catalogue, {source}")
        hardest = material.hardness_hb[1]
        if work.hardness_hb is not None and work.hardness_hb > hardest:
            share = hardest / work.hardness_hb
            speed *= share
            reasons.append(
                f"{work.hardness_hb:g} HB is harder than the {hardest:g} HB that the catalogue "
                f"means: speed × {share:.2f} (common practice, no source)"
            )
        form = catalogue.forms[drill.form]
        if form.speed_share != 1.0:
            speed *= form.speed_share
            reasons.append(f"{form.name}: speed × {form.speed_share:g} "
                           f"({form.source_of('speed_share')})")  # fmt: skip
    if in_maker[1] is not None:
        low, high = in_maker[1]
        feed = (low + high) / 2.0
        reasons.append(f"feed {feed:g} mm/rev: the middle of {maker}, {low:g} mm/rev to {high:g} "
                       "mm/rev")  # fmt: skip
        sources.append(maker)
    else:
        feed = material.feed_per_diameter[drill.substrate] * drill.diameter_mm
        source = material.source_of("feed_per_diameter")
        reasons.append(f"feed {feed:.4g} mm/rev for {where} at {drill.diameter_mm:g} mm ({source})")
        sources.append(f"catalogue, {source}")
    return speed, feed, reasons, "; ".join(dict.fromkeys(sources))


def _as_the_maker_allows(
    speed: float, feed: float, drill: Drill, lowered: list[str], reasons: list[str]
) -> tuple[float, float]:
    most_speed, most_feed = drill.maker_most_speed_m_per_min, drill.maker_most_feed_mm_per_rev
    if most_speed is not None and speed > most_speed:
        speed = most_speed
        lowered.append("speed for the maker")
        reasons.append(f"speed lowered to {most_speed:g} m/min: the maker forbids more")
    if most_feed is not None and feed > most_feed:
        feed = most_feed
        lowered.append("feed for the maker")
        reasons.append(f"feed lowered to {most_feed:g} mm/rev: the maker forbids more")
    return speed, feed


def _material_text(material: Material) -> str:
    return f"ISO {material.key} in general" if len(material.key) == 1 else material.key


def _pecking(
    drill: Drill, hole: HoleFeature, machine: Machine, tough: bool, catalogue: Catalogue,
    reasons: list[str],
) -> tuple[PeckMode, float]:  # fmt: skip
    """No peck while the depth allows it: most wear comes at entry, so every peck costs life."""
    free_xd = free_depth_xd(drill, tough, catalogue)
    if has_through_coolant(drill, machine) or hole.depth_xd <= free_xd * (1 + 1e-9):
        return "none", 1.0
    if not catalogue.forms[drill.form].may_peck:
        reasons.append("no pecks: inserts chip when they enter again")
        return "none", 1.0
    mode: PeckMode = "full_retract" if hole.depth_xd > 2 * free_xd * (1 + 1e-9) else "chip_break"
    reasons.append(
        f"deeper than {free_xd:g} diameters without coolant through the drill: peck "
        f"({mode.replace('_', ' ')}), as few as chips allow, because every entry wears the drill"
    )
    return mode, 1.0


def free_depth_xd(drill: Drill, tough: bool, catalogue: Catalogue) -> float:
    """Depth in diameters before the first peck, without coolant through the drill."""
    row = catalogue.substrates[drill.substrate]
    return row.free_depth_tough_xd if tough else row.free_depth_xd


def _reduced_for_depth(
    speed: float, feed: float, drill: Drill, hole: HoleFeature, machine: Machine,
    catalogue: Catalogue, reasons: list[str],
) -> tuple[float, float]:  # fmt: skip
    speed_share, feed_share = catalogue.depth.shares(hole.depth_xd)
    if has_through_coolant(drill, machine) or (speed_share, feed_share) == (1.0, 1.0):
        return speed, feed
    reasons.append(
        f"hole {hole.depth_xd:.1f} diameters deep without coolant through the drill: "
        f"speed × {speed_share:g}, feed × {feed_share:g} "
        f"({catalogue.depth.source_of('speed_share')})"
    )
    slower, less = speed * speed_share, feed * feed_share
    for name, value, span in (
        ("speed", slower, drill.maker_speed_m_per_min),
        ("feed", less, drill.maker_feed_mm_per_rev),
    ):
        if span is not None and value < span[0]:
            reasons.append(f"{name} not below the maker's lowest, {span[0]:g}")
    if drill.maker_speed_m_per_min is not None:
        slower = max(slower, drill.maker_speed_m_per_min[0])
    if drill.maker_feed_mm_per_rev is not None:
        less = max(less, drill.maker_feed_mm_per_rev[0])
    return slower, less


def _rounded(value: float, down: float, maker: tuple[float, float] | None) -> float:
    """Rounded down, but not by rounding alone below the maker's lowest value."""
    if maker is not None and down < maker[0] <= value:
        return maker[0]
    return down

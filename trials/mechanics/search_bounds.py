"""Where a search for better cutting data may go from its start, each bound with its reason."""

from __future__ import annotations

from dataclasses import dataclass

from trials.mechanics.catalogue import Catalogue
from trials.mechanics.kinematics import rpm
from trials.mechanics.kinematics import speed_m_per_min as speed_of
from trials.model import Bounds, CuttingData, Drill, HoleFeature, Machine, PeckMode


@dataclass(frozen=True, slots=True)
class BoundReasons:
    """One sentence for each bound."""

    speed_low: str
    speed_high: str
    feed_low: str
    feed_high: str
    pecks: str


def search_bounds(
    start: CuttingData,
    drill: Drill,
    hole: HoleFeature,
    machine: Machine,
    catalogue: Catalogue,
    *,
    most_feed_for_thrust: float,
    most_feed_for_load: float,
    through_coolant: bool,
) -> tuple[Bounds, BoundReasons]:
    """Bounds around a start: the maker's range, or shares of the start; never beyond the machine.

    Args:
        start: first cutting data; always within the bounds.
        drill, hole, machine, catalogue: what is drilled.
        most_feed_for_thrust, most_feed_for_load: feeds, mm/rev, at which thrust and spindle reach
            their limits.
        through_coolant: whether coolant comes through the drill.
    """
    rules = catalogue.search
    speed, feed = start.speed_m_per_min, start.feed_mm_per_rev
    usual = f"({rules.source_of('speed_low')})"
    if drill.maker_speed_m_per_min is not None:
        low, high = drill.maker_speed_m_per_min
        why_low, why_high = "the maker's lowest", "the maker's highest"
    else:
        low, high = rules.speed_low * speed, rules.speed_high * speed
        why_low = f"{rules.speed_low:g} × the start {usual}"
        why_high = f"{rules.speed_high:g} × the start {usual}"
    if drill.maker_most_speed_m_per_min is not None and high > drill.maker_most_speed_m_per_min:
        high, why_high = drill.maker_most_speed_m_per_min, "the maker forbids more"
    if low > speed:
        low, why_low = speed, "the start, which is below the maker's lowest"
    most_speed = speed_of(machine.max_rpm, drill.diameter_mm)
    if high > most_speed:
        high, why_high = most_speed, f"{machine.name} turns at most {machine.max_rpm:g} /min"
    high = max(high, speed)

    if drill.maker_feed_mm_per_rev is not None:
        feed_low, feed_high = drill.maker_feed_mm_per_rev
        why_feed_low, why_feed_high = "the maker's lowest", "the maker's highest"
    else:
        feed_low, feed_high = rules.feed_low * feed, rules.feed_high * feed
        why_feed_low = f"{rules.feed_low:g} × the start: less would rub instead of cutting {usual}"
        why_feed_high = f"{rules.feed_high:g} × the start {usual}"
    if (
        drill.maker_most_feed_mm_per_rev is not None
        and feed_high > drill.maker_most_feed_mm_per_rev
    ):
        feed_high, why_feed_high = drill.maker_most_feed_mm_per_rev, "the maker forbids more"
    if feed_low > feed:
        feed_low, why_feed_low = feed, "the start, which is below the maker's lowest"
    for most, why in (
        (machine.max_feed_mm_per_min / rpm(high, drill.diameter_mm),
         f"{machine.name} feeds at most {machine.max_feed_mm_per_min:g} mm/min"),
        (most_feed_for_thrust, "the thrust limit of the machine or of the drill"),
        (most_feed_for_load, "a sharp drill would load the spindle fully"),
    ):  # fmt: skip
        if feed_high > most:
            feed_high, why_feed_high = most, why
    feed_high = max(feed_high, feed)

    modes, why_pecks = _peck_modes(start, drill, hole, catalogue, through_coolant)
    bounds = Bounds((low, high), (feed_low, feed_high), rules.peck_depth_xd, modes)
    return bounds, BoundReasons(why_low, why_high, why_feed_low, why_feed_high, why_pecks)


def _peck_modes(
    start: CuttingData, drill: Drill, hole: HoleFeature, catalogue: Catalogue, through_coolant: bool
) -> tuple[tuple[PeckMode, ...], str]:
    if start.peck_mode == "none":
        if not catalogue.forms[drill.form].may_peck:
            return ("none",), "inserts chip when they enter again"
        if through_coolant:
            return ("none",), "coolant through the drill takes the chips out"
        return ("none",), "the hole is shallow enough, and every entry wears the drill"
    return ("none", "chip_break", "full_retract"), (
        f"{hole.depth_xd:.1f} diameters deep: fewer pecks save life, more save chips from packing"
    )

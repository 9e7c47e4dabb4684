"""The rules that choose a drill, one file for each family of them."""

from trials.mechanics.rules import depth, edge, entry, length, limits, size
from trials.mechanics.rules.verdict import OUTCOMES, Case, Change, Outcome, Verdict

RULES = (
    length.flute_length,
    length.shortest,
    length.slenderness,
    length.buckling,
    depth.depth,
    depth.pilot_hole,
    entry.spot_hole,
    entry.breakthrough,
    edge.substrate,
    edge.form,
    edge.coating,
    edge.point,
    edge.helix,
    size.tolerance,
    limits.makers_range,
    limits.spindle_speed,
    limits.feed_rate,
    limits.torque_and_power,
    limits.thrust,
    limits.coolant_pressure,
)
# What the machine cannot do it cannot do, whoever says otherwise.
NEVER_OVERRULED = ("spindle speed", "feed rate", "torque and power", "thrust")

__all__ = [
    "NEVER_OVERRULED",
    "OUTCOMES",
    "RULES",
    "Case",
    "Change",
    "Outcome",
    "Verdict",
]

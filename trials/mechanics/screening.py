"""Does a candidate drill suit the hole? One verdict a rule, each with its reason and source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trials.errors import InputError
from trials.mechanics.catalogue import material_defaults
from trials.mechanics.start import first_cutting_data
from trials.model import Drill, Trial

Outcome = Literal["fits", "fits with a condition", "does not fit"]
_WORST_FIRST: tuple[Outcome, ...] = ("does not fit", "fits with a condition", "fits")
_PRACTICE = "common practice, no source"

PILOT_FROM_XD = 8.0
FLUTE_LEFT_XD = 2.0


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one rule says: the outcome, why, the value looked at, its limit, and the source."""

    rule: str
    outcome: Outcome
    reason: str
    value: str
    limit: str
    source: str = _PRACTICE


@dataclass(frozen=True, slots=True)
class Screening:
    """All verdicts on one drill; the drill as a whole is as good as its worst one."""

    drill: Drill
    verdicts: tuple[Verdict, ...]

    @property
    def outcome(self) -> Outcome:
        """The worst outcome among the verdicts."""
        outcomes = {verdict.outcome for verdict in self.verdicts}
        return next(outcome for outcome in _WORST_FIRST if outcome in outcomes)


def screen(trial: Trial) -> list[Screening]:
    """Screen every drill of the trial against its hole, work and machine, best outcome first."""
    screenings = [_screen_drill(trial, drill) for drill in trial.drills]
    return sorted(screenings, key=lambda s: -_WORST_FIRST.index(s.outcome))


def _screen_drill(trial: Trial, drill: Drill) -> Screening:
    rules = (_flute_length, _substrate, _coating, _depth, _spot_hole, _machine)
    return Screening(drill, tuple(rule(trial, drill) for rule in rules))


def _flute_length(trial: Trial, drill: Drill) -> Verdict:
    rule, needed = "flute length", FLUTE_LEFT_XD * drill.diameter_mm
    limit = f"at least {needed:.1f} mm left above the hole at full depth"
    if drill.flute_length_mm is None:
        return Verdict(rule, "fits with a condition", "measure the flutes before drilling",
                       "not given", limit)  # fmt: skip
    left = drill.flute_length_mm - trial.hole.depth_mm
    value = f"{left:.1f} mm left"
    if left < needed:
        return Verdict(rule, "does not fit", "chips have no way out at full depth", value, limit)
    return Verdict(rule, "fits", "chips can leave at full depth", value, limit)


def _substrate(trial: Trial, drill: Drill) -> Verdict:
    advised = material_defaults(trial.work.group).speed_m_per_min
    limit = " or ".join(advised)
    if drill.substrate not in advised:
        return Verdict("substrate", "does not fit",
                       f"too soft for ISO {trial.work.group}", drill.substrate, limit)  # fmt: skip
    return Verdict("substrate", "fits", f"used in ISO {trial.work.group}", drill.substrate, limit)


def _coating(trial: Trial, drill: Drill) -> Verdict:
    if drill.coating == "TiAlN" and trial.work.group == "N":
        return Verdict("coating", "does not fit", "a coating with aluminium sticks to aluminium",
                       drill.coating, "any other in ISO N")  # fmt: skip
    return Verdict("coating", "fits", f"nothing known against it in ISO {trial.work.group}",
                   drill.coating, "not TiAlN in ISO N")  # fmt: skip


def _depth(trial: Trial, drill: Drill) -> Verdict:  # noqa: ARG001 - rules share one signature
    depth = f"{trial.hole.depth_xd:.1f} diameters"
    limit = f"up to {PILOT_FROM_XD:g} diameters without a pilot hole"
    if trial.hole.depth_xd >= PILOT_FROM_XD:
        return Verdict("depth", "fits with a condition",
                       "drill a pilot hole about 1.5 diameters deep with a short drill and enter "
                       "it at 300 to 500 /min", depth, limit)  # fmt: skip
    return Verdict("depth", "fits", "no pilot hole needed", depth, limit)


def _spot_hole(trial: Trial, drill: Drill) -> Verdict:  # noqa: ARG001 - as above
    limit = "carbide and most cobalt points centre themselves"
    if drill.substrate == "hss":
        return Verdict("spot hole", "fits with a condition", "spot the hole first",
                       drill.substrate, limit)  # fmt: skip
    return Verdict("spot hole", "fits", "centres itself", drill.substrate, limit)


def _machine(trial: Trial, drill: Drill) -> Verdict:
    limit = f"{trial.load_limit_pct:g} % load with a worn drill, speed, feed and thrust"
    try:
        start = first_cutting_data(
            drill, trial.work, trial.hole, trial.machine, load_limit_pct=trial.load_limit_pct
        )
    except InputError as error:
        return Verdict("machine", "does not fit", error.do or error.what, str(error.got), limit)
    data = start.cutting_data
    return Verdict(
        "machine",
        "fits",
        f"starts at {data.speed_m_per_min:g} m/min and {data.feed_mm_per_rev:g} mm/rev",
        f"{start.load_worn_pct:.0f} % load, {start.thrust_n:.0f} N thrust expected when worn",
        limit,
        "catalogue, from memory",
    )

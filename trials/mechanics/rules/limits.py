"""What the machine and the drill's maker allow."""

from __future__ import annotations

import math
from collections.abc import Callable

from trials.mechanics.rules.verdict import (
    NOT_JUDGED,
    Case,
    Change,
    Verdict,
    with_drill,
    with_machine,
)
from trials.mechanics.start import first_cutting_data
from trials.mechanics.start_limits import WORN_TORQUE_FACTOR, NoStartError
from trials.model import Trial

_HANDBOOK = "Machinery's Handbook, 31st ed., pp. 1152-1153, with Kd of the catalogue, from memory"
_TIMES = (1.1, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 25.0, 50.0, 100.0)
_OPEN_UP = Change("a smaller hole first that is opened up", lambda trial: trial)
_FORCES = "specific cutting force of the catalogue, from memory"


def makers_range(case: Case) -> Verdict:
    """What the maker says goes before everything in the catalogue."""
    rule, drill, source = "maker's range", case.drill, "the drill's maker"
    spans = {"m/min": drill.maker_speed_m_per_min, "mm/rev": drill.maker_feed_mm_per_rev}
    given = {unit: span for unit, span in spans.items() if span is not None}
    if not given:
        return Verdict(
            rule,
            "fits",
            "the catalogue stands in; enter the maker's range if you can",
            "not entered",
            "within the maker's range, where it is entered",
            source,
        )
    limit = " and ".join(f"{low:g} {unit} to {high:g} {unit}" for unit, (low, high) in
                         given.items())  # fmt: skip
    if case.start is None:
        return Verdict(rule, "fits with a condition", "no cutting data stay within other limits",
                       "no start", limit, source)  # fmt: skip
    data = case.start.cutting_data
    at = {"m/min": data.speed_m_per_min, "mm/rev": data.feed_mm_per_rev}
    value = " and ".join(f"{at[unit]:g} {unit}" for unit in given)
    if all(low * (1 - 1e-9) <= at[unit] <= high for unit, (low, high) in given.items()):
        return Verdict(rule, "fits", "begins within the maker's range", value, limit, source)
    reason = (
        "below the maker's range, because of the machine's or the drill's limits: ask the maker "
        "whether it still cuts"
    )
    return Verdict(rule, "fits with a condition", reason, value, limit, source)


def spindle_speed(case: Case) -> Verdict:
    """Does the spindle turn as fast as the drill could?"""
    rule, machine = "spindle speed", case.machine
    limit, source = f"{machine.max_rpm:g} /min", "the machine"
    if case.start is None:
        return Verdict(rule, "fits with a condition", NOT_JUDGED, "no start",
                       limit, source)  # fmt: skip
    value = f"{case.start.rpm:.0f} /min"
    if "speed for rpm" in case.start.lowered:
        speed = case.start.cutting_data.speed_m_per_min
        reason = f"only at {speed:g} m/min: the drill could run faster than the spindle turns"
        return Verdict(rule, "fits with a condition", reason, value, limit, source)
    return Verdict(rule, "fits", "the spindle turns fast enough", value, limit, source)


def feed_rate(case: Case) -> Verdict:
    """Does the axis feed as fast as the drill could?"""
    rule, machine = "feed rate", case.machine
    limit, source = f"{machine.max_feed_mm_per_min:g} mm/min", "the machine"
    if case.start is None:
        return Verdict(rule, "fits with a condition", NOT_JUDGED, "no start",
                       limit, source)  # fmt: skip
    value = f"{case.start.feed_rate_mm_per_min:.0f} mm/min"
    if "feed for feed rate" in case.start.lowered:
        feed = case.start.cutting_data.feed_mm_per_rev
        reason = f"only at {feed:g} mm/rev: the axis feeds no faster"
        return Verdict(rule, "fits with a condition", reason, value, limit, source)
    return Verdict(rule, "fits", "the axis feeds fast enough", value, limit, source)


def torque_and_power(case: Case) -> Verdict:
    """Load on the spindle with a worn drill, over its speed and power curve."""
    rule, most = "torque and power", case.trial.load_limit_pct
    limit = f"{most:g} % load with a drill that is worn, {100:g} % with a sharp one"
    source = f"{_FORCES}; worn × {WORN_TORQUE_FACTOR:g}, handbook"
    if case.no_start is not None:
        if "load" not in case.no_start.limits:
            return Verdict(rule, "fits with a condition", NOT_JUDGED,
                           "no start", limit, source)  # fmt: skip
        return Verdict(rule, "does not fit", "overloads the spindle even at the lowest feed that "
                       "cuts", str(case.no_start.got), limit, source,
                       tuple(_stronger(case)))  # fmt: skip
    start = case.start
    assert start is not None  # noqa: S101 - there is a start or a reason for none
    value = (
        f"{start.load_worn_pct:.0f} % worn, {start.load_fresh_pct:.0f} % sharp: "
        f"{start.torque_n_m:.2f} N·m and {start.power_kw:.2f} kW at {start.rpm:.0f} /min"
    )
    if any(name.endswith("for load") for name in start.lowered):
        data = start.cutting_data
        reason = f"only at {data.speed_m_per_min:g} m/min and {data.feed_mm_per_rev:g} mm/rev"
        return Verdict(rule, "fits with a condition", reason, value, limit, source)
    return Verdict(rule, "fits", "the spindle is strong enough", value, limit, source)


def _stronger(case: Case) -> list[Change]:
    """The weakest machine of the same speeds on which the drill can begin."""
    machine = case.machine
    for times in _TIMES:
        power = _two_digits(machine.rated_power_kw * times)
        if power > 500:
            break
        share = power / machine.rated_power_kw
        curve = tuple((rpm, min(500.0, kw * share)) for rpm, kw in machine.power_curve)
        change = with_machine(rated_power_kw=power, power_curve=curve)
        if "load" not in _limits_on(case, change):
            return [
                Change(f"a machine of about {power:g} kW with the same speeds", change),
                _OPEN_UP,
            ]
    return [_OPEN_UP]


def _limits_on(case: Case, change: Callable[[Trial], Trial]) -> tuple[str, ...]:
    """Which limits are passed when something is changed."""
    trial = change(case.trial)
    drill = trial.drill(case.drill.name)
    try:
        first_cutting_data(
            drill, trial.work, trial.hole, trial.machine, load_limit_pct=trial.load_limit_pct,
            catalogue=case.catalogue,
        )  # fmt: skip
    except NoStartError as error:
        return error.limits
    return ()


def _two_digits(value: float) -> float:
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return round(math.ceil(value / step - 1e-9) * step, 6)


def thrust(case: Case) -> Verdict:
    """Thrust of a worn drill against what the machine's axis bears."""
    rule, most = "thrust", case.machine.max_thrust_n
    limit = "not entered" if most is None else f"{most:g} N"
    source = "the machine; thrust by " + _HANDBOOK
    if case.no_start is not None:
        if "thrust" not in case.no_start.limits:
            return Verdict(rule, "fits with a condition", NOT_JUDGED,
                           "no start", limit, source)  # fmt: skip
        return Verdict(rule, "does not fit", "pushes harder than the machine bears, even at the "
                       "lowest feed that cuts", str(case.no_start.got), limit, source,
                       tuple(_softer(case)))  # fmt: skip
    start = case.start
    assert start is not None  # noqa: S101 - there is a start or a reason for none
    value = f"{start.thrust_n:.0f} N when worn"
    if most is None:
        reason = "look up what the machine's axis and the clamping bear"
        return Verdict(rule, "fits with a condition", reason, value, limit, source)
    if any(name.endswith("for thrust") for name in start.lowered):
        reason = f"only at {start.cutting_data.feed_mm_per_rev:g} mm/rev"
        return Verdict(rule, "fits with a condition", reason, value, limit, source)
    return Verdict(rule, "fits", "the axis bears it", value, limit, source)


def _softer(case: Case) -> list[Change]:
    drill, found = case.drill, []
    if not drill.self_centring and drill.substrate != "carbide":
        found.append(Change("a split point, which needs less thrust",
                            with_drill(drill.name, self_centring=True)))  # fmt: skip
        found.append(Change("a carbide drill, whose point needs less thrust",
                            with_drill(drill.name, substrate="carbide")))  # fmt: skip
    most = case.machine.max_thrust_n or 0.0
    for times in _TIMES:
        bears = _two_digits(most * times)
        change = with_machine(max_thrust_n=bears)
        if "thrust" not in _limits_on(case, change):
            found.append(Change(f"a machine that bears about {bears:g} N", change))
            break
    return [*found, _OPEN_UP]


def coolant_pressure(case: Case) -> Verdict:
    """Pressure for coolant through the drill."""
    rule, drill, bar = "coolant pressure", case.drill, case.machine.coolant_bar
    value = f"{bar:g} bar through the spindle"
    if not drill.through_coolant:
        return Verdict(rule, "fits", f"coolant from outside: {case.material.coolant}",
                       f"no coolant holes; {value}", "no pressure needed",
                       f"catalogue, {case.material.source_of('coolant')}")  # fmt: skip
    if drill.maker_coolant_bar is not None:
        needed, source = drill.maker_coolant_bar, "the drill's maker"
    else:
        needed = case.catalogue.coolant.pressure_bar(drill.diameter_mm)
        source = f"catalogue, {case.catalogue.coolant.source_of('bar')}"
    limit = f"at least {needed:g} bar"
    if bar >= needed * (1 - 1e-9):
        return Verdict(rule, "fits", "enough pressure through the drill", value, limit, source)
    more = Change(f"a machine with {needed:g} bar through the spindle",
                  with_machine(coolant_bar=needed))  # fmt: skip
    plain = Change(
        "a drill without coolant holes, where the depth allows it",
        with_drill(drill.name, through_coolant=False, maker_coolant_bar=None),
    )
    if bar == 0:
        reason = "its coolant holes stay dry on this machine: used as a drill without them"
        if drill.maker_coolant_bar is not None:
            return Verdict(rule, "does not fit", "its maker asks for coolant through it", value,
                           limit, source, (more, plain))  # fmt: skip
        return Verdict(rule, "fits with a condition", reason, value, limit, source)
    if drill.maker_coolant_bar is not None:
        return Verdict(rule, "does not fit", "less pressure than its maker asks for", value, limit,
                       source, (more, plain))  # fmt: skip
    reason = "little pressure for this diameter: watch the chips, and peck if they pack"
    return Verdict(rule, "fits with a condition", reason, value, limit, source)

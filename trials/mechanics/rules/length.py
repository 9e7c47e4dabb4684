"""Is the drill long enough, no longer than it must be, and stiff enough?"""

from __future__ import annotations

from trials.mechanics.catalogue import no_such_length
from trials.mechanics.rigidity import buckling_thrust_n, free_length_mm, needed_flutes_mm
from trials.mechanics.rules.verdict import (
    NOT_JUDGED,
    PRACTICE,
    SAME,
    Case,
    Change,
    Verdict,
    mm,
    with_drill,
    with_hole,
)
from trials.mechanics.start_limits import expected_thrust_n
from trials.model import LENGTH_SERIES


def flute_length(case: Case) -> Verdict:
    """At full depth so much of the flutes must stand above the hole that chips can leave."""
    rule, drill = "flute length", case.drill
    left_xd = case.catalogue.length.flute_left_xd
    wanted = left_xd * drill.diameter_mm
    limit = f"at least {mm(wanted)} left above the hole at full depth ({left_xd:g} × D)"
    source = case.catalogue.length.source_of("flute_left_xd")
    missing = no_such_length(drill, case.catalogue)
    if missing:
        return Verdict(rule, "does not fit", "there is no such drill: give its flute length, or "
                       "another series", f"{drill.diameter_mm:g} mm", missing,
                       case.catalogue.lengths[str(drill.length)].source_of("rows"),
                       tuple(_longer(case)))  # fmt: skip
    if case.flutes_mm is None:
        reason = f"measure the flutes before drilling: {mm(case.hole.depth_mm + wanted)} are needed"
        return Verdict(rule, "fits with a condition", reason, "flutes not given", limit, source)
    left = case.flutes_mm - case.hole.depth_mm
    series = "" if drill.flute_length_mm is not None else (
        f", by {case.catalogue.lengths[str(drill.length)].source_of('rows')}")  # fmt: skip
    value = f"flutes {mm(case.flutes_mm)}{series}, {mm(left)} left"
    if left < wanted * (1 - SAME):
        reason = "chips have no way out at full depth"
        return Verdict(rule, "does not fit", reason, value, limit, source, tuple(_longer(case)))
    return Verdict(rule, "fits", "chips can leave at full depth", value, limit, source)


def _longer(case: Case) -> list[Change]:
    drill = case.drill
    needed = needed_flutes_mm(case.hole, drill.diameter_mm, case.catalogue)
    changes = []
    for key in LENGTH_SERIES:
        row = case.catalogue.lengths[key]
        lengths = row.lengths_mm(drill.diameter_mm)
        fitting = key.startswith("carbide") == (drill.substrate == "carbide")
        if fitting and lengths is not None and lengths[1] >= needed * (1 - SAME):
            text = f"a drill of {row.name} with {mm(lengths[1])} flutes"
            changes.append((lengths[1], Change(text, _of_length(case, lengths[1]))))
    found = [change for _, change in sorted(changes, key=lambda one: one[0])[:1]]
    if not found:
        found = [
            Change(f"a drill with flutes of at least {mm(needed)}, as a special length",
                   _of_length(case, needed))
        ]  # fmt: skip
    if case.hole.through:
        half = case.hole.depth_mm / 2.0
        found.append(Change("drill from both sides, half the depth each", with_hole(depth_mm=half)))
    return found


def _of_length(case: Case, flutes_mm: float):  # type: ignore[no-untyped-def]  # as with_drill
    return with_drill(case.drill.name, flute_length_mm=flutes_mm, length=None, projection_mm=None)


def shortest(case: Case) -> Verdict:
    """The shortest drill that reaches is the stiffest one."""
    rule, drill = "shortest that reaches", case.drill
    if case.flutes_mm is None:
        return Verdict(
            rule,
            "fits with a condition",
            "take the shortest drill that reaches",
            "flutes not given",
            "no standard length that reaches is much shorter",
        )
    needed = needed_flutes_mm(case.hole, drill.diameter_mm, case.catalogue)
    slack = case.catalogue.length.flute_left_xd * drill.diameter_mm
    if case.flutes_mm < needed * (1 - SAME):
        return Verdict(rule, "fits", "shorter than needed; see flute length",
                       f"flutes {mm(case.flutes_mm)}, {mm(needed)} needed",
                       "no standard length that reaches is much shorter")  # fmt: skip
    limit = f"flutes no more than {mm(slack)} longer than a standard length that reaches"
    value = f"flutes {mm(case.flutes_mm)}, {mm(needed)} needed"
    shorter = [
        (lengths[1], row.name)
        for key, row in case.catalogue.lengths.items()
        if key.startswith("carbide") == (drill.substrate == "carbide")
        and (lengths := row.lengths_mm(drill.diameter_mm)) is not None
        and needed * (1 - SAME) <= lengths[1]
        and lengths[1] + slack < case.flutes_mm * (1 - SAME)
    ]
    if shorter:
        flutes, name = min(shorter)
        reason = f"take it only if you have no shorter one: {name} reaches with {mm(flutes)} flutes"
        return Verdict(rule, "fits with a condition", reason, value, limit, PRACTICE)
    return Verdict(rule, "fits", "no standard length that reaches is much shorter", value, limit)


def slenderness(case: Case) -> Verdict:
    """A drill that stands out far bends, wanders and chatters."""
    rule, rules, drill = "slenderness", case.catalogue.length, case.drill
    length = free_length_mm(drill, case.hole, case.catalogue)
    ratio = length / drill.diameter_mm
    value = f"{mm(length)} out of the holder, {ratio:.1f} × D"
    limit = f"up to {rules.slender_xd:g} × D alone, up to {rules.slender_most_xd:g} × D led"
    source = rules.source_of("slender_xd")
    if ratio > rules.slender_most_xd * (1 + SAME):
        most = rules.slender_most_xd * drill.diameter_mm
        changes = [
            Change("another kind of tool, such as a gun drill, or a hole made otherwise",
                   lambda trial: trial),
        ]  # fmt: skip
        reach = needed_flutes_mm(case.hole, drill.diameter_mm, case.catalogue)
        if reach <= most:
            changes.insert(0, Change(f"a shorter drill: {mm(reach)} out of the holder reach",
                                     _of_length(case, reach)))  # fmt: skip
        elif case.hole.through and case.hole.depth_mm / 2 + 2 * drill.diameter_mm <= most:
            changes.insert(0, Change("drill from both sides, half the depth each",
                                     _both_sides(case)))  # fmt: skip
        return Verdict(rule, "does not fit", "too slender to be led by its own point", value,
                       limit, source, tuple(changes))  # fmt: skip
    if ratio > rules.slender_xd * (1 + SAME):
        reason = "lead it: a pilot hole or a bush, and full speed only inside"
        return Verdict(rule, "fits with a condition", reason, value, limit, source)
    return Verdict(rule, "fits", "stiff enough to start by itself", value, limit, source)


def _both_sides(case: Case):  # type: ignore[no-untyped-def]  # as with_hole
    half = case.hole.depth_mm / 2.0
    flutes = half + case.catalogue.length.flute_left_xd * case.drill.diameter_mm
    shorter = with_drill(case.drill.name, flute_length_mm=flutes, length=None, projection_mm=None)
    deep = with_hole(depth_mm=half)
    return lambda trial: shorter(deep(trial))


def buckling(case: Case) -> Verdict:
    """The thrust of a worn drill must leave a margin to that at which it buckles."""
    rule, drill = "buckling", case.drill
    margin = case.catalogue.length.buckling_margin
    length = free_length_mm(drill, case.hole, case.catalogue)
    buckles = buckling_thrust_n(drill, length, case.catalogue)
    limit = f"{buckles / margin:.0f} N, the thrust at which it buckles by {margin:g}"
    source = (
        f"Euler's columns; section of a drill {case.catalogue.length.source_of('section')}; "
        "thrust by the handbook formula"
    )
    if case.no_start is not None:
        if "buckling" not in case.no_start.limits:
            return Verdict(rule, "fits with a condition", NOT_JUDGED,
                           f"buckles at {buckles:.0f} N", limit, source)  # fmt: skip
        return Verdict(rule, "does not fit", "it buckles even at the lowest feed that cuts",
                       str(case.no_start.got), limit, source, tuple(_stiffer(case)))  # fmt: skip
    assert case.start is not None  # noqa: S101 - there is a start or a reason for none
    thrust = expected_thrust_n(case.start.cutting_data, drill, case.work, case.catalogue)
    value = f"{thrust:.0f} N thrust when worn"
    if any(name.endswith("for buckling") for name in case.start.lowered):
        feed = case.start.cutting_data.feed_mm_per_rev
        reason = f"only with the feed lowered to {feed:g} mm/rev; lead it with a pilot hole"
        return Verdict(rule, "fits with a condition", reason, value, limit, source)
    return Verdict(rule, "fits", "stiff enough for the thrust", value, limit, source)


def _stiffer(case: Case) -> list[Change]:
    drill, found = case.drill, []
    needed = needed_flutes_mm(case.hole, drill.diameter_mm, case.catalogue)
    if free_length_mm(drill, case.hole, case.catalogue) > needed * (1 + SAME):
        found.append(Change(f"a shorter drill: {mm(needed)} out of the holder reach",
                            _of_length(case, needed)))  # fmt: skip
    if not drill.self_centring and drill.substrate != "carbide":
        found.append(Change("a split point, which needs less thrust",
                            with_drill(drill.name, self_centring=True)))  # fmt: skip
    if drill.substrate != "carbide":
        found.append(
            Change(
                "a carbide drill, which is stiffer",
                with_drill(drill.name, substrate="carbide", self_centring=None),
            )
        )
    if case.hole.through:
        found.append(Change("drill from both sides, half the depth each", _both_sides(case)))
    found.append(Change("a shallower hole, or one made by spark erosion", lambda trial: trial))
    return found

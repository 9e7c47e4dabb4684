"""Depth against coolant, substrate and pecking; the pilot hole of deep ones."""

from __future__ import annotations

from trials.mechanics.rules.verdict import (
    PRACTICE,
    SAME,
    Case,
    Change,
    Verdict,
    both,
    mm,
    with_drill,
    with_hole,
    with_machine,
)
from trials.mechanics.start import free_depth_xd, has_through_coolant


def depth(case: Case) -> Verdict:
    """How the chips get out of a hole this deep."""
    drill, at = case.drill, case.hole.depth_xd
    value = f"{at:.1f} × D"
    if drill.maker_depth_xd is not None and at > drill.maker_depth_xd * (1 + SAME):
        limit = f"up to {drill.maker_depth_xd:g} × D"
        longer = Change(f"a drill that its maker allows for {at:.1f} × D",
                        with_drill(drill.name, maker_depth_xd=at))  # fmt: skip
        return _no("deeper than its maker allows", value, limit, "the drill's maker",
                   [longer, *_from_both_sides(case)])  # fmt: skip
    form = case.catalogue.forms[drill.form]
    if at > form.deepest_xd * (1 + SAME):
        solid = Change("a solid drill", with_drill(drill.name, form="solid"))
        return _no(f"too deep for a drill {form.name}", value, f"up to {form.deepest_xd:g} × D",
                   form.source_of("deepest_xd"), [solid, *_from_both_sides(case)])  # fmt: skip
    through = has_through_coolant(drill, case.machine)
    if form.through_only and not through:
        return _no(f"a drill {form.name} works with coolant through it only", value,
                   "coolant through the drill", form.source_of("through_only"),
                   [_through_coolant(case), Change("a solid drill",
                    with_drill(drill.name, form="solid"))])  # fmt: skip
    row = case.catalogue.substrates[drill.substrate]
    if through:
        limit = f"up to {row.deepest_xd:g} × D with coolant through the drill"
        if at > row.deepest_xd * (1 + SAME):
            tool = Change("another kind of tool, such as a gun drill", lambda trial: trial)
            return _no("too deep for such a drill", value, limit, row.source_of("deepest_xd"),
                       [*_other_substrate(case), *_from_both_sides(case), tool])  # fmt: skip
        return Verdict("depth", "fits", "coolant through the drill takes the chips out", value,
                       limit, row.source_of("deepest_xd"))  # fmt: skip
    return _without_through_coolant(case, at, value)


def _without_through_coolant(case: Case, at: float, value: str) -> Verdict:
    drill, material = case.drill, case.material
    row = case.catalogue.substrates[drill.substrate]
    free = free_depth_xd(drill, material.tough, case.catalogue)
    field = "deepest_tough_xd" if material.tough else "deepest_plain_xd"
    deepest = row.deepest_tough_xd if material.tough else row.deepest_plain_xd
    kind = "tough material" if material.tough else "this material"
    source = row.source_of("free_depth_xd")
    if at <= free * (1 + SAME):
        return Verdict("depth", "fits", "no pecks and no coolant through the drill needed", value,
                       f"up to {free:g} × D without pecks in {kind}", source)  # fmt: skip
    limit = (
        f"up to {free:g} × D without pecks, up to {deepest:g} × D with them, in {kind} and "
        "without coolant through the drill"
    )
    source = f"{source}; deepest {row.source_of(field)}"
    holes = " (the machine has none for the holes of this drill)" if drill.through_coolant else ""
    if at > deepest * (1 + SAME):
        return _no(f"too deep without coolant through the drill{holes}", value, limit, source,
                   [_through_coolant(case), *_from_both_sides(case)])  # fmt: skip
    peck = "peck, in steps of about 1 × D, out of the hole each time"
    if at <= 2 * free * (1 + SAME):
        peck = "peck, in steps of about 1 × D, breaking the chip"
    better = ""
    if material.tough or drill.substrate == "carbide":
        better = "; coolant through the drill would be better"
    reason = f"{peck}{holes}; every peck costs life{better}"
    return Verdict("depth", "fits with a condition", reason, value, limit, source)


def _through_coolant(case: Case) -> Change:
    drill, machine = case.drill, case.machine
    bar = case.catalogue.coolant.pressure_bar(drill.diameter_mm)
    parts, changes = [], []
    if not drill.through_coolant:
        parts.append("a drill with coolant holes")
        changes.append(with_drill(drill.name, through_coolant=True))
    if machine.coolant_bar < bar:
        parts.append(f"a machine with {bar:g} bar through the spindle")
        changes.append(with_machine(coolant_bar=bar))
    return Change(" and ".join(parts), both(*changes))


def _from_both_sides(case: Case) -> list[Change]:
    if not case.hole.through:
        return []
    half = case.hole.depth_mm / 2.0
    return [Change(f"drill from both sides, {mm(half)} each", with_hole(depth_mm=half))]


def _other_substrate(case: Case) -> list[Change]:
    at = case.hole.depth_xd
    return [
        Change(f"a {row.name} drill", with_drill(case.drill.name, substrate=key))
        for key, row in case.catalogue.substrates.items()
        if key != case.drill.substrate and row.deepest_xd >= at
    ]


def _no(
    reason: str, value: str, limit: str, source: str, changes: list[Change]
) -> Verdict:  # fmt: skip
    if not changes:
        changes = [Change("a shallower hole", lambda trial: trial)]
    return Verdict("depth", "does not fit", reason, value, limit, source, tuple(changes))


def pilot_hole(case: Case) -> Verdict:
    """Deep holes are begun with a short drill."""
    rules, at = case.catalogue.entry, case.hole.depth_xd
    value, limit = f"{at:.1f} × D", f"below {rules.pilot_from_xd:g} × D without a pilot hole"
    source = rules.source_of("pilot_from_xd")
    if at >= rules.pilot_from_xd * (1 - SAME):
        deep = rules.pilot_depth_xd * case.drill.diameter_mm
        low, high = rules.pilot_rpm
        reason = (
            f"drill a pilot hole about {rules.pilot_depth_xd:g} diameters ({mm(deep)}) deep with "
            f"a short drill, enter it at {low:g} to {high:g} /min, then full speed"
        )
        return Verdict("pilot hole", "fits with a condition", reason, value, limit, source)
    return Verdict("pilot hole", "fits", "no pilot hole needed", value, limit, source or PRACTICE)

"""Substrate, form, coating, point and helix against the work material."""

from __future__ import annotations

from typing import Any

from trials.mechanics.catalogue import CoatingRow
from trials.mechanics.rules.verdict import Case, Change, Verdict, mm, with_drill


def substrate(case: Case) -> Verdict:
    """Hard enough for the work?"""
    rule, drill, material = "substrate", case.drill, case.material
    row = case.catalogue.substrates[drill.substrate]
    group, hardness = case.work.group, case.work.hardness_hb
    advised = material.speed_m_per_min
    limit = f"{' or '.join(advised)} in ISO {group}; up to {row.max_hardness_hb:g} HB"
    source = f"catalogue, {row.source_of('max_hardness_hb')}"
    value = row.name if hardness is None else f"{row.name} in {hardness:g} HB"
    by_maker = None not in (drill.maker_speed_m_per_min, drill.maker_feed_mm_per_rev)
    too_hard = hardness is not None and hardness > row.max_hardness_hb
    if drill.substrate not in advised or too_hard:
        reason = (
            f"work of {hardness:g} HB blunts it at once" if too_hard
            else f"too soft for ISO {group}"
        )  # fmt: skip
        if by_maker:
            reason = f"the maker gives a range for it, against the usual rule: {reason}"
            return Verdict(rule, "fits with a condition", reason, value, limit, source)
        return Verdict(rule, "does not fit", reason, value, limit, source, tuple(_harder(case)))
    low, high = material.hardness_hb
    if hardness is not None and hardness > high:
        reason = f"harder than the {high:g} HB that the catalogue means; slower, by the hardness"
        return Verdict(rule, "fits with a condition", reason, value,
                       f"{low:g} to {high:g} HB for {_name(case)}",
                       f"catalogue, {material.source_of('hardness_hb')}")  # fmt: skip
    return Verdict(rule, "fits", f"used in ISO {group}", value, limit, source)


def _name(case: Case) -> str:
    key = case.material.key
    return f"ISO {key} in general" if len(key) == 1 else key


def _harder(case: Case) -> list[Change]:
    hardness = case.work.hardness_hb or 0.0
    found = []
    for key, row in case.catalogue.substrates.items():
        if (
            key in case.material.speed_m_per_min
            and row.max_hardness_hb >= hardness
            and (key != case.drill.substrate)
        ):
            changed: dict[str, Any] = {"substrate": key, "self_centring": None}
            if key == "carbide":  # standard lengths of carbide are others
                changed |= {"length": None, "flute_length_mm": case.flutes_mm,
                            "point_angle_deg": 140.0}  # fmt: skip
            found.append(Change(f"a {row.name} drill", with_drill(case.drill.name, **changed)))
    return found or [Change("drill before hardening, or erode the hole", lambda trial: trial)]


def form(case: Case) -> Verdict:
    """Is the drill made like this at this diameter?"""
    row, diameter = case.catalogue.forms[case.drill.form], case.drill.diameter_mm
    value = f"{row.name}, {mm(diameter)}"
    limit = f"from {mm(row.smallest_mm)} on"
    source = row.source_of("smallest_mm")
    if diameter < row.smallest_mm * (1 - 1e-9):
        solid = Change("a solid drill", with_drill(case.drill.name, form="solid"))
        return Verdict("form", "does not fit", "not made this small", value, limit, source,
                       (solid,))  # fmt: skip
    return Verdict("form", "fits", "made at this diameter", value, limit, source)


def coating(case: Case) -> Verdict:
    """Does the coating bear the heat, and does it not stick to the work?"""
    row, group = case.catalogue.coatings[case.drill.coating], case.work.group
    suiting = [
        one
        for one in case.catalogue.coatings.values()
        if group in one.suits and not (one.aluminium and case.material.aluminium)
    ]
    limit = f"{' or '.join(_names(suiting)) or 'any'} suits ISO {group}"
    source = row.source_of("suits")
    if row.aluminium and case.material.aluminium:
        return Verdict("coating", "does not fit", "a coating with aluminium sticks to aluminium",
                       row.name, limit, source, _coated(case, suiting))  # fmt: skip
    if group in row.suits:
        return Verdict("coating", "fits", f"made for ISO {group}", row.name, limit, source)
    if group in row.bears:
        return Verdict("coating", "fits with a condition",
                       f"expect a shorter life than with {' or '.join(_names(suiting))}",
                       row.name, limit, row.source_of("bears"))  # fmt: skip
    return Verdict("coating", "does not fit", f"not for ISO {group}", row.name, limit, source,
                   _coated(case, suiting))  # fmt: skip


def _names(coatings: list[CoatingRow]) -> list[str]:
    return [one.key.replace("_", " ") for one in coatings]


def _coated(case: Case, suiting: list[CoatingRow]) -> tuple[Change, ...]:
    changes = tuple(
        Change(f"a drill that is {one.name}" if one.key == "bright" else f"a coating of {one.name}",
               with_drill(case.drill.name, coating=one.key))
        for one in suiting[:2]
    )  # fmt: skip
    return changes or (
        Change("a drill without coating", with_drill(case.drill.name, coating="bright")),
    )


def point(case: Case) -> Verdict:
    """118° for soft metals, 135° to 140° for harder work and machining centres."""
    (low, high), angle = case.material.point_deg, case.drill.point_angle_deg
    value, limit = f"{angle:g}°", f"{low:g}° to {high:g}° in {_name(case)}"
    source = case.material.source_of("point_deg")
    if low <= angle <= high:
        return Verdict("point", "fits", "suits the material", value, limit, source)
    reason = (
        "a flatter point would be better: this one rubs more and wanders"
        if angle < low
        else "a steeper point would be better: this one is hard to centre"
    )
    return Verdict("point", "fits with a condition", reason, value, limit, source)


def helix(case: Case) -> Verdict:
    """How steeply the flutes lift the chips."""
    (low, high), angle = case.material.helix_deg, case.drill.helix_deg
    limit = f"{low:g}° to {high:g}° in {_name(case)}"
    source = case.material.source_of("helix_deg")
    if angle is None:
        if low <= 30 <= high:
            return Verdict("helix", "fits", "the usual 30° suit the material",
                           "not given, about 30° taken", limit, source)  # fmt: skip
        return Verdict("helix", "fits with a condition",
                       f"look at it: the usual 30° are not best here, {low:g}° to {high:g}° are",
                       "not given", limit, source)  # fmt: skip
    if low <= angle <= high:
        return Verdict("helix", "fits", "suits the material", f"{angle:g}°", limit, source)
    reason = (
        "chips leave more slowly than with a quicker helix; watch them"
        if angle < low
        else "the corner is weak in this material, and it can pull itself in; watch the entry"
    )
    return Verdict("helix", "fits with a condition", reason, f"{angle:g}°", limit, source)

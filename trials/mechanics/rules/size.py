"""Can a drill like this hold the tolerance, or must the hole be reamed?"""

from __future__ import annotations

import re

from trials.mechanics.rules.verdict import (
    SAME,
    Case,
    Change,
    Verdict,
    both,
    mm,
    with_drill,
    with_hole,
)
from trials.mechanics.tolerance import standard_tolerance_um

_USUAL = "h8"
_ISO_286 = "ISO 286-1; reachable grade"


def tolerance(case: Case) -> Verdict:
    """The hole's tolerance against what such a drill holds, and against the drill's own."""
    hole = case.hole
    if case.tolerance_problem:
        return Verdict("tolerance", "fits with a condition",
                       f"judge it yourself, because it could not be read: {case.tolerance_problem}",
                       hole.tolerance, "a tolerance that can be read")  # fmt: skip
    if hole.finish == "reamed":
        return _reamed(case)
    grade, source = _reachable(case)
    asked = case.tolerance
    if asked is None:
        return _without(case, grade, source)
    limit = (
        f"{asked.text}: {asked.width_mm * 1000:.0f} µm wide; such a drill holds IT{grade}, "
        f"{standard_tolerance_um(hole.diameter_mm, grade)} µm"
    )
    own = case.drill.tolerance or _USUAL
    own_um = standard_tolerance_um(case.drill.diameter_mm, int(re.sub(r"\D", "", own)))
    value = f"drill {mm(case.drill.diameter_mm)} {own}, hole {mm(hole.diameter_mm)} {asked.text}"
    source = f"{_ISO_286} {source}"
    off = _wrong_size(case, grade)
    if off:
        right = Change(f"a drill of {mm(hole.diameter_mm)}",
                       with_drill(case.drill.name, diameter_mm=hole.diameter_mm))  # fmt: skip
        return Verdict("tolerance", "does not fit", off, value, limit, source, (right,))
    if asked.grade is None or asked.grade < grade - 1 or own_um >= asked.width_mm * 1000:
        reason = (
            f"the drill's own tolerance of {own_um} µm is as wide as the hole's"
            if own_um >= asked.width_mm * 1000 and (asked.grade or 0) >= grade - 1
            else "finer than such a drill holds: ream it"
        )
        return Verdict("tolerance", "does not fit", reason, value, limit, source,
                       tuple(_finer(case, asked.grade)))  # fmt: skip
    if asked.grade < grade:
        reason = "one grade finer than usual: little runout, a fresh edge, measure every few holes"
        return Verdict("tolerance", "fits with a condition", reason, value, limit, source)
    return Verdict("tolerance", "fits", "drilling alone holds it", value, limit, source)


def _reachable(case: Case) -> tuple[int, str]:
    drill = case.drill
    if drill.maker_hole_grade is not None:
        return drill.maker_hole_grade, "by the drill's maker"
    form = case.catalogue.forms[drill.form]
    if form.hole_grade:
        return form.hole_grade, form.source_of("hole_grade")
    row = case.catalogue.substrates[drill.substrate]
    return row.hole_grade, row.source_of("hole_grade")


def _without(case: Case, grade: int, source: str) -> Verdict:
    hole, drill = case.hole, case.drill
    value = f"drill {mm(drill.diameter_mm)}, hole {mm(hole.diameter_mm)}, no tolerance"
    limit = "none asked"
    if hole.diameter_mm <= 250 and abs(drill.diameter_mm - hole.diameter_mm) * 1000 > (
        standard_tolerance_um(hole.diameter_mm, 13)
    ):
        reason = "the drill is not of the hole's diameter: is that meant?"
        return Verdict("tolerance", "fits with a condition", reason, value, limit, source)
    return Verdict("tolerance", "fits", f"any drilled hole will do; expect about IT{grade}", value,
                   limit, source)  # fmt: skip


def _wrong_size(case: Case, grade: int) -> str:
    """Drilled holes come out between the drill's diameter and about a tolerance above it."""
    asked, hole, drill = case.tolerance, case.hole, case.drill
    if asked is None or asked.low_mm is None or asked.high_mm is None:
        return ""
    above = standard_tolerance_um(hole.diameter_mm, grade) / 1000.0
    if drill.diameter_mm > (hole.diameter_mm + asked.high_mm) * (1 + SAME):
        return "the drill is larger than the largest hole allowed"
    if drill.diameter_mm + above < (hole.diameter_mm + asked.low_mm) * (1 - SAME):
        return "the drill is smaller than the smallest hole allowed"
    return ""


def _finer(case: Case, grade: int | None) -> list[Change]:
    drill, hole = case.drill, case.hole
    found = []
    wanted = grade or 0
    carbide = case.catalogue.substrates["carbide"].hole_grade
    if drill.substrate != "carbide" and drill.form == "solid" and carbide - 1 <= wanted:
        found.append(
            Change(
                "a carbide drill of tolerance h7",
                with_drill(drill.name, substrate="carbide", tolerance="h7", self_centring=None,
                           length=None, flute_length_mm=case.flutes_mm, maker_hole_grade=None),
            )
        )  # fmt: skip
    elif drill.tolerance not in ("h7", "h6") and carbide - 1 <= wanted:
        found.append(Change("a drill of tolerance h7", with_drill(drill.name, tolerance="h7")))
    finest = case.catalogue.reaming.finest_grade
    if wanted >= finest:
        smaller = hole.diameter_mm - _allowance(case)
        found.append(
            Change(f"drill {mm(smaller)} and ream to {hole.tolerance}",
                   both(with_hole(finish="reamed"),
                        with_drill(drill.name, diameter_mm=smaller)))
        )  # fmt: skip
    else:
        found.append(Change("bore or hone the hole after drilling; or a wider tolerance",
                            lambda trial: trial))  # fmt: skip
    return found


def _allowance(case: Case) -> float:
    diameter = case.hole.diameter_mm
    return min(case.catalogue.reaming.allowance(diameter), round(0.08 * diameter, 4))


def _reamed(case: Case) -> Verdict:
    hole, drill, rules = case.hole, case.drill, case.catalogue.reaming
    usual, left = _allowance(case), hole.diameter_mm - drill.diameter_mm
    value = f"drill {mm(drill.diameter_mm)} for a hole of {mm(hole.diameter_mm)}, {mm(left)} left"
    limit = f"{mm(usual / 2)} to {mm(usual * 2)} on the diameter, reaming to IT{rules.finest_grade}"
    source = rules.source_of("allowance_mm")
    smaller = Change(f"a drill of {mm(hole.diameter_mm - usual)}",
                     with_drill(drill.name, diameter_mm=hole.diameter_mm - usual))  # fmt: skip
    asked = case.tolerance
    if asked is not None and (asked.grade is None or asked.grade < rules.finest_grade):
        return Verdict("tolerance", "does not fit", "finer than reaming holds", value, limit,
                       source, (Change("hone or grind the hole; or a wider tolerance",
                                       lambda trial: trial),))  # fmt: skip
    if left <= usual / 20:
        return Verdict("tolerance", "does not fit", "nothing is left for the reamer", value, limit,
                       source, (smaller,))  # fmt: skip
    if not usual / 2 * (1 - SAME) <= left <= usual * 2 * (1 + SAME):
        reason = (
            "little is left for the reamer: it may rub" if left < usual
            else "much is left for the reamer: it may chatter and wear"
        )  # fmt: skip
        return Verdict("tolerance", "fits with a condition", reason, value, limit, source)
    return Verdict("tolerance", "fits", "a reamer makes the tolerance", value, limit, source)

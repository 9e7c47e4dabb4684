"""How the drill gets into the work and out at the other side."""

from __future__ import annotations

from trials.mechanics.rules.verdict import SAME, Case, Verdict, mm
from trials.mechanics.start import centres_itself


def spot_hole(case: Case) -> Verdict:
    """A point that does not centre itself needs a spot hole."""
    rule, drill = "spot hole", case.drill
    row = case.catalogue.substrates[drill.substrate]
    limit = "a point that centres itself, or a spot hole"
    source = row.source_of("self_centring")
    said = "as entered" if drill.self_centring is not None else f"as usual for {row.name}"
    if centres_itself(drill, case.catalogue):
        return Verdict(rule, "fits", "its point centres itself", f"centres itself, {said}", limit,
                       source)  # fmt: skip
    value = f"does not centre itself, {said}"
    if case.hole.depth_xd >= case.catalogue.entry.pilot_from_xd * (1 - SAME):
        return Verdict(rule, "fits", "the pilot hole leads it", value, limit, source)
    return Verdict(rule, "fits with a condition", "spot the hole first", value, limit, source)


def breakthrough(case: Case) -> Verdict:
    """Through holes: less feed where the point comes out."""
    rule, rules = "breakthrough", case.catalogue.entry
    source = rules.source_of("breakthrough_mm")
    limit = (
        f"{100 * rules.breakthrough_share:.0f} % of the feed for the last "
        f"{mm(rules.breakthrough_mm)} of a through hole"
    )
    if case.hole.through:
        reason = (
            f"lower the feed to {100 * rules.breakthrough_share:.0f} % for the last "
            f"{mm(rules.breakthrough_mm)} before the point breaks through"
        )
        return Verdict(rule, "fits with a condition", reason, "through hole", limit, source)
    return Verdict(rule, "fits", "does not break through", "blind hole", limit, source)

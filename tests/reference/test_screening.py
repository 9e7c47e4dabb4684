"""The choice of a drill against rules of the trade.

Common practice, no source, where nothing else stands beside a check; the rules are in words of our
own. Every drill here is invented.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from trials.mechanics import RULE_NAMES, Screening, Verdict, screen
from trials.model import Bounds, CuttingData, Drill, Economics, HoleFeature, Machine, Trial, Work

ALUMINIUM = Work("aluminium alloy", "N")
STEEL = Work("S355", "P")
STAINLESS = Work("1.4301", "M", like="austenitic stainless steel")
MACHINE = Machine(11, 1500, 8000, max_thrust_n=8000)


def trial_of(
    drill: Drill, work: Work, hole: HoleFeature, machine: Machine = MACHINE, **more: Any
) -> Trial:
    return Trial(
        "t", machine, work, hole, (drill,), Economics(1), Bounds((10, 200), (0.05, 0.3)),
        CuttingData(50, 0.1), **more,
    )  # fmt: skip


def screened(drill: Drill, work: Work, depth_mm: float, **hole: Any) -> Screening:
    wanted = HoleFeature(hole.pop("diameter_mm", drill.diameter_mm), depth_mm, **hole)
    [screening] = screen(trial_of(drill, work, wanted))
    return screening


def verdict_on(
    drill: Drill, work: Work, depth_mm: float, rule: str, machine: Machine = MACHINE, **hole: Any
) -> Verdict:
    wanted = HoleFeature(hole.pop("diameter_mm", drill.diameter_mm), depth_mm, **hole)
    [screening] = screen(trial_of(drill, work, wanted, machine))
    assert tuple(verdict.rule for verdict in screening.verdicts) == RULE_NAMES
    return next(verdict for verdict in screening.verdicts if verdict.rule == rule)


@pytest.mark.parametrize(
    ("flute_mm", "outcome"),
    # Flute length left above the hole at full depth: at least 2 × D, here 24 + 16 mm.
    [(39.0, "does not fit"), (40.0, "fits"), (None, "fits with a condition")],
)
def test_flute_length_left(flute_mm: float | None, outcome: str) -> None:
    drill = Drill("d", 8.0, flute_length_mm=flute_mm)
    assert verdict_on(drill, STEEL, 24, "flute length").outcome == outcome


def test_the_shortest_drill_that_reaches() -> None:
    # For a hole of 12 mm the flutes must be 28 mm: the stub drill of 8 mm has 37 mm and reaches;
    # the long one of DIN 340 with 109 mm is 72 mm longer than that.
    for length, outcome in (("stub", "fits"), ("long", "fits with a condition")):
        drill = Drill("d", 8.0, "cobalt", length=length)  # type: ignore[arg-type]  # a loop
        verdict = verdict_on(drill, STEEL, 12, "shortest that reaches")
        assert verdict.outcome == outcome
    assert "stub" in verdict.reason


def test_titanium_aluminium_nitride_is_not_for_aluminium() -> None:
    drill = Drill("d", 8.0, coating="TiAlN")
    assert verdict_on(drill, ALUMINIUM, 16, "coating").outcome == "does not fit"
    brass = Work("brass", "N", like="free-cutting brass")
    assert verdict_on(drill, brass, 16, "coating").outcome == "fits with a condition"


@pytest.mark.parametrize(
    ("coating", "group", "outcome"),
    # Titanium nitride suits mild steel, titanium carbonitride cast iron, titanium aluminium nitride
    # hard and high-temperature work and still steel and stainless; a bright drill does for
    # low-carbon steel (with a shorter life) and aluminium.
    [
        ("TiN", "P", "fits"), ("TiCN", "K", "fits"), ("TiAlN", "H", "fits"),
        ("TiAlN", "S", "fits"), ("TiAlN", "P", "fits"), ("TiAlN", "M", "fits"),
        ("bright", "N", "fits"), ("bright", "P", "fits with a condition"),
        ("bright", "H", "does not fit"), ("TiN", "H", "does not fit"),
    ],
)  # fmt: skip
def test_coating_against_material(coating: str, group: str, outcome: str) -> None:
    drill = Drill("d", 8.0, coating=coating)  # type: ignore[arg-type]  # parametrized text
    work = Work("work", group)  # type: ignore[arg-type]  # parametrized text
    assert verdict_on(drill, work, 12, "coating").outcome == outcome


@pytest.mark.parametrize(("depth_mm", "outcome"), [(63.0, "fits"), (64.0, "fits with a condition")])
def test_pilot_hole_from_eight_diameters(depth_mm: float, outcome: str) -> None:
    verdict = verdict_on(Drill("d", 8.0), STEEL, depth_mm, "pilot hole")
    assert verdict.outcome == outcome
    # About 1.5 × D deep, entered at 300 to 500 /min.
    assert ("about 1.5 diameters (12 mm)" in verdict.reason) is (depth_mm == 64.0)
    assert ("300 to 500 /min" in verdict.reason) is (depth_mm == 64.0)


@pytest.mark.parametrize(
    ("substrate", "outcome"),
    [("hss", "fits with a condition"), ("cobalt", "fits"), ("carbide", "fits")],
)
def test_plain_high_speed_steel_needs_a_spot_hole(substrate: str, outcome: str) -> None:
    drill = Drill("d", 8.0, substrate=substrate)  # type: ignore[arg-type]  # parametrized text
    assert verdict_on(drill, STEEL, 16, "spot hole").outcome == outcome
    told = replace(drill, self_centring=drill.substrate != "carbide")
    assert (verdict_on(told, STEEL, 16, "spot hole").outcome == "fits") is bool(told.self_centring)


@pytest.mark.parametrize(
    ("substrate", "work", "depth_xd", "through_bar", "outcome"),
    # Without coolant through the drill high-speed steel and cobalt go 2 to 3 × D before pecking,
    # good carbide up to 5 × D in carbon steel and aluminium; deeper, and in tough or
    # work-hardening material, coolant through the drill.
    [
        ("hss", STEEL, 3.0, 0, "fits"), ("hss", STEEL, 3.1, 0, "fits with a condition"),
        ("cobalt", STEEL, 3.0, 0, "fits"), ("cobalt", STAINLESS, 2.5, 0, "fits with a condition"),
        ("carbide", STEEL, 5.0, 0, "fits"), ("carbide", ALUMINIUM, 5.0, 0, "fits"),
        ("carbide", STEEL, 5.1, 0, "fits with a condition"), ("carbide", STEEL, 5.1, 40, "fits"),
        ("carbide", STAINLESS, 5.0, 0, "fits with a condition"),
        ("carbide", STAINLESS, 8.0, 0, "does not fit"), ("carbide", STAINLESS, 8.0, 40, "fits"),
    ],
)  # fmt: skip
def test_depth_against_coolant_and_substrate(
    substrate: str, work: Work, depth_xd: float, through_bar: float, outcome: str
) -> None:
    drill = Drill("d", 8.0, substrate=substrate, through_coolant=True)  # type: ignore[arg-type]  # text
    machine = replace(MACHINE, coolant_bar=through_bar)
    verdict = verdict_on(drill, work, 8 * depth_xd, "depth", machine)
    assert verdict.outcome == outcome
    if outcome == "fits with a condition":
        assert "peck" in verdict.reason
        assert "every peck costs life" in verdict.reason
    if work is STAINLESS and outcome == "fits with a condition":
        assert "coolant through the drill would be better" in verdict.reason


def test_half_feed_where_the_point_breaks_through() -> None:
    # About the last 2 mm of a through hole at half feed.
    verdict = verdict_on(Drill("d", 8.0), STEEL, 16, "breakthrough", through=True)
    assert verdict.outcome == "fits with a condition"
    assert "50 %" in verdict.reason
    assert "last 2 mm" in verdict.reason
    assert verdict_on(Drill("d", 8.0), STEEL, 16, "breakthrough").outcome == "fits"


@pytest.mark.parametrize(
    ("angle", "work", "outcome"),
    # 118° points for general work in soft metals, 135 to 140° for harder work.
    [
        (118, STEEL, "fits"), (118, ALUMINIUM, "fits"), (140, STEEL, "fits"),
        (118, Work("hard", "H"), "fits with a condition"), (140, Work("hard", "H"), "fits"),
        (118, STAINLESS, "fits with a condition"), (135, STAINLESS, "fits"),
    ],
)  # fmt: skip
def test_point_against_material(angle: float, work: Work, outcome: str) -> None:
    drill = Drill("d", 8.0, point_angle_deg=angle)
    assert verdict_on(drill, work, 12, "point").outcome == outcome


@pytest.mark.parametrize(
    ("angle", "work", "outcome"),
    # About 30° for general work, 10 to 30° for harder steel and aluminium alloys, 40° and more for
    # stainless and gummy work.
    [
        (30, STEEL, "fits"), (None, STEEL, "fits"), (40, STAINLESS, "fits"),
        (30, STAINLESS, "fits with a condition"), (None, STAINLESS, "fits with a condition"),
        (20, Work("42CrMo4", "P", like="alloy steel, quenched and tempered"), "fits"),
        (20, ALUMINIUM, "fits"), (30, ALUMINIUM, "fits"), (10, STEEL, "fits with a condition"),
    ],
)  # fmt: skip
def test_helix_against_material(angle: float | None, work: Work, outcome: str) -> None:
    drill = Drill("d", 8.0, helix_deg=angle)
    assert verdict_on(drill, work, 12, "helix").outcome == outcome


@pytest.mark.parametrize(
    ("substrate", "tolerance", "drill_tolerance", "outcome"),
    # Reachable grades from memory: high-speed steel IT12, cobalt IT11, carbide IT9, one finer with
    # care. Widths by ISO 286-1: at 10 mm H8 is 22 µm, h8 the same, so an h8 drill cannot hold H8.
    [
        ("hss", "H13", "", "fits"), ("hss", "H11", "", "fits with a condition"),
        ("hss", "H9", "", "does not fit"), ("cobalt", "H11", "", "fits"),
        ("cobalt", "H8", "", "does not fit"), ("carbide", "H9", "", "fits"),
        ("carbide", "H8", "h7", "fits with a condition"), ("carbide", "H8", "h8", "does not fit"),
        ("carbide", "H7", "h7", "does not fit"), ("carbide", "±0.1", "", "fits"),
        ("hss", "+0.15/0", "", "fits"), ("hss", "", "", "fits"),
        ("hss", "fit", "", "fits with a condition"),
    ],
)  # fmt: skip
def test_tolerance_or_reaming(
    substrate: str, tolerance: str, drill_tolerance: str, outcome: str
) -> None:
    drill = Drill("d", 10.0, substrate=substrate, tolerance=drill_tolerance)  # type: ignore[arg-type]  # text
    verdict = verdict_on(drill, STEEL, 20, "tolerance", tolerance=tolerance)
    assert verdict.outcome == outcome
    if outcome == "does not fit":
        assert verdict.changes


def test_a_reamed_hole_needs_something_left_for_the_reamer() -> None:
    # Common practice, no source: about 0.2 mm on the diameter at 10 mm; reaming holds H7.
    for diameter, outcome in (
        (9.8, "fits"),
        (10.0, "does not fit"),
        (9.2, "fits with a condition"),
    ):
        verdict = verdict_on(
            Drill("d", diameter, "hss"), STEEL, 20, "tolerance", diameter_mm=10.0, tolerance="H7",
            finish="reamed",
        )  # fmt: skip
        assert verdict.outcome == outcome
    wide = verdict_on(Drill("d", 10.3, "hss"), STEEL, 20, "tolerance", diameter_mm=10.0,
                      tolerance="H11")  # fmt: skip
    assert wide.outcome == "does not fit"
    assert "larger" in wide.reason


def test_high_speed_steel_is_too_soft_for_hard_work() -> None:
    hard = Work("tool steel", "H", hardness_hb=560)
    assert verdict_on(Drill("d", 8.0, "hss"), hard, 12, "substrate").outcome == "does not fit"
    assert verdict_on(Drill("d", 8.0), hard, 12, "substrate").outcome == "fits"
    tempered = Work("42CrMo4", "P", hardness_hb=330)
    assert verdict_on(Drill("d", 8.0, "hss"), tempered, 12, "substrate").outcome == "does not fit"
    cobalt = verdict_on(Drill("d", 8.0, "cobalt"), tempered, 12, "substrate")
    assert cobalt.outcome == "fits with a condition"


def test_inserts_are_for_larger_holes_and_need_coolant_through_them() -> None:
    # From memory: from about 12 mm on, up to 5 × D, coolant through the drill, no pecks.
    wet = replace(MACHINE, coolant_bar=20, rated_power_kw=40, max_thrust_n=20_000)
    drill = Drill("d", 20.0, form="indexable", through_coolant=True)
    assert verdict_on(drill, STEEL, 60, "depth", wet).outcome == "fits"
    assert verdict_on(drill, STEEL, 120, "depth", wet).outcome == "does not fit"
    assert verdict_on(drill, STEEL, 60, "depth", MACHINE).outcome == "does not fit"
    small = replace(drill, diameter_mm=8.0)
    assert verdict_on(small, STEEL, 24, "form", wet).outcome == "does not fit"


def test_what_the_machine_can_do() -> None:
    # 2 mm carbide in aluminium at 200 m/min would turn 31,831 /min; 8,000 /min give 50.3 m/min.
    slow = verdict_on(Drill("d", 2.0), ALUMINIUM, 4, "spindle speed")
    assert slow.outcome == "fits with a condition"
    assert "50 m/min" in slow.reason
    # At half a kilowatt a 20 mm drill in steel has no chance.
    weak = Machine(0.5, 1500, 8000)
    power = verdict_on(Drill("d", 20.0), STEEL, 40, "torque and power", weak)
    assert power.outcome == "does not fit"
    assert "kW" in power.changes[0].text
    pushed = replace(MACHINE, max_thrust_n=700.0)
    push = verdict_on(Drill("d", 20.0, "hss"), STEEL, 40, "thrust", pushed)
    assert push.outcome == "does not fit"
    unknown = verdict_on(Drill("d", 8.0), STEEL, 16, "thrust", replace(MACHINE, max_thrust_n=None))
    assert unknown.outcome == "fits with a condition"
    dry = verdict_on(Drill("d", 8.0, through_coolant=True), STEEL, 16, "coolant pressure")
    assert dry.outcome == "fits with a condition"
    asked = Drill("d", 8.0, through_coolant=True, maker_coolant_bar=50)
    low = verdict_on(asked, STEEL, 16, "coolant pressure", replace(MACHINE, coolant_bar=20))
    assert low.outcome == "does not fit"


def test_a_slender_drill_is_led_or_buckles() -> None:
    # 2 mm in nickel alloy: Euler with 0.012·D⁴ (from memory), 56 mm free length as of DIN 340:
    # π² · 210,000 · 0.192 / (0.7 · 56)² = 258.97 N, over the margin 1.5 = 172.6 N.
    from trials.mechanics import buckling_thrust_n

    drill = Drill("d", 2.0, "hss", length="long")
    assert buckling_thrust_n(drill, 56.0) == pytest.approx(258.97, rel=1e-4)
    verdict = verdict_on(drill, Work("alloy", "S", like="nickel-base alloy"), 6, "buckling")
    assert verdict.outcome == "fits with a condition"
    assert verdict.limit.startswith("173 N")
    assert verdict_on(drill, STEEL, 6, "slenderness").outcome == "fits with a condition"
    far = replace(drill, projection_mm=70.0)
    assert verdict_on(far, STEEL, 6, "slenderness").outcome == "does not fit"


def test_the_makers_word_goes_before_the_catalogue() -> None:
    drill = Drill("d", 8.0, maker_speed_m_per_min=(60, 70), maker_feed_mm_per_rev=(0.10, 0.14),
                  maker_depth_xd=3)  # fmt: skip
    assert verdict_on(drill, STEEL, 16, "maker's range").value == "65 m/min and 0.12 mm/rev"
    assert verdict_on(drill, STEEL, 32, "depth").outcome == "does not fit"
    # What a maker gives a range for may be tried where the usual rule says no.
    hard = Work("hardened", "H")
    soft = replace(drill, substrate="cobalt")
    assert verdict_on(soft, hard, 12, "substrate").outcome == "fits with a condition"
    assert verdict_on(Drill("d", 8.0, "cobalt"), hard, 12, "substrate").outcome == "does not fit"


def test_the_worst_verdict_decides_and_the_best_drill_comes_first() -> None:
    good = Drill("good", 8.0, flute_length_mm=41, coating="TiAlN", helix_deg=30)
    short = Drill("short", 8.0, flute_length_mm=20)
    trial = replace(trial_of(good, STEEL, HoleFeature(8, 24)), drills=(short, good))
    screenings = screen(trial)
    assert [(s.drill.name, s.outcome) for s in screenings] == [
        ("good", "fits"),
        ("short", "does not fit"),
    ]
    for screening in screenings:
        for verdict in screening.verdicts:
            assert verdict.reason
            assert verdict.value
            assert verdict.limit
            assert verdict.source

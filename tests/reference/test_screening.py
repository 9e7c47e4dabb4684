"""The choice of a drill against rules of the trade (common practice, no source)."""

from __future__ import annotations

import pytest

from trials.mechanics import Verdict, screen
from trials.model import Bounds, CuttingData, Drill, Economics, HoleFeature, Machine, Trial, Work

ALUMINIUM = Work("aluminium alloy", "N")
STEEL = Work("S355", "P")


def verdict_on(drill: Drill, work: Work, depth_mm: float, rule: str) -> Verdict:
    trial = Trial(
        "t", Machine(11, 1500, 8000), work, HoleFeature(8, depth_mm), (drill,), Economics(1),
        Bounds((10, 200), (0.05, 0.3)), CuttingData(50, 0.1),
    )  # fmt: skip
    [screening] = screen(trial)
    return next(verdict for verdict in screening.verdicts if verdict.rule == rule)


@pytest.mark.parametrize(
    ("flute_mm", "outcome"),
    # Flute length left above the hole at full depth: at least 2 × D, here 24 + 16 mm.
    [(39.0, "does not fit"), (40.0, "fits"), (None, "fits with a condition")],
)
def test_flute_length_left(flute_mm: float | None, outcome: str) -> None:
    drill = Drill("d", 8.0, flute_length_mm=flute_mm)
    assert verdict_on(drill, STEEL, 24, "flute length").outcome == outcome


def test_titanium_aluminium_nitride_is_not_for_aluminium() -> None:
    drill = Drill("d", 8.0, coating="TiAlN")
    assert verdict_on(drill, ALUMINIUM, 16, "coating").outcome == "does not fit"
    assert verdict_on(drill, STEEL, 16, "coating").outcome == "fits"


@pytest.mark.parametrize(("depth_mm", "outcome"), [(63.0, "fits"), (64.0, "fits with a condition")])
def test_pilot_hole_from_eight_diameters(depth_mm: float, outcome: str) -> None:
    verdict = verdict_on(Drill("d", 8.0), STEEL, depth_mm, "depth")
    assert verdict.outcome == outcome
    assert ("pilot hole about 1.5 diameters" in verdict.reason) is (depth_mm == 64.0)


@pytest.mark.parametrize(
    ("substrate", "outcome"),
    [("hss", "fits with a condition"), ("cobalt", "fits"), ("carbide", "fits")],
)
def test_plain_high_speed_steel_needs_a_spot_hole(substrate: str, outcome: str) -> None:
    drill = Drill("d", 8.0, substrate=substrate)  # type: ignore[arg-type]  # parametrized text
    assert verdict_on(drill, STEEL, 16, "spot hole").outcome == outcome


def test_the_worst_verdict_decides_and_the_best_drill_comes_first() -> None:
    good = Drill("good", 8.0, flute_length_mm=60)
    short = Drill("short", 8.0, flute_length_mm=20)
    trial = Trial(
        "t", Machine(11, 1500, 8000), STEEL, HoleFeature(8, 24), (short, good), Economics(1),
        Bounds((10, 200), (0.05, 0.3)), CuttingData(50, 0.1),
    )  # fmt: skip
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

from __future__ import annotations

from dataclasses import replace

import pytest

from trials.model import (
    Bounds,
    CuttingData,
    Drill,
    Economics,
    HoleFeature,
    Machine,
    Overrule,
    Run,
    Trial,
)
from trials.model import Work as WorkMaterial
from trials.optimizer.suggestion import Estimate, Suggestion
from trials.sharing import HandOver, hand_over_text

DATA = CuttingData(80, 0.16, "chip_break", 1.5)
ADVICE = Suggestion(
    cutting_data=DATA,
    holes=Estimate(187.0, 260.0, 350.0),
    load_fresh_pct=Estimate(30.0, 32.0, 34.0),
    load_worn_pct=Estimate(40.0, 44.0, 48.0),
    cycle_min=Estimate(0.08, 0.09, 0.1),
    cost_per_hole=Estimate(0.411, 0.455, 0.512),
    p_safe=0.99,
    p_chip_or_break=0.02,
    value=120.0,
    test_cost=90.0,
    why="It makes a hole for 0.455 EUR.",
    stop=False,
)
TRIAL = Trial(
    "bracket | <b>", Machine(11, 1500, 8000), WorkMaterial("S355", "P"), HoleFeature(8.5, 30),
    (Drill("A", 8.5, price=85.0),), Economics(1.5), Bounds((50, 120), (0.08, 0.25)), DATA,
)  # fmt: skip
RUNS = (
    Run(1, "A", DATA, "ended", "worn", 200, 30.0, 44.0, 0.09),
    Run(2, "A", DATA, "planned"),
)
HAND_OVER = HandOver(TRIAL, "A", ADVICE, RUNS)


@pytest.mark.parametrize(
    ("low", "interval"), [(187.0, 180), (9.6, 9), (1234.0, 1200), (0.2, 1), (100.0, 100)]
)
def test_the_change_interval_is_the_low_end_rounded_down(low: float, interval: int) -> None:
    advice = replace(ADVICE, holes=Estimate(low, low + 50, low + 90))
    assert HandOver(TRIAL, "A", advice, RUNS).change_interval_holes == interval


def test_says_what_production_needs_in_both_unit_systems() -> None:
    text = hand_over_text(HAND_OVER)
    for part in (
        "80.0 m/min (262 ft/min)",
        "2996 /min",
        "0.160 mm/rev (0.0063 in/rev)",
        "chip break, every 1.5 × D",
        "180 holes",
        "80 % of the rating",
        "44 (40 to 48) %",
        "0.455 (0.411 to 0.512) EUR",
        "guards and doors closed",
        "30.0 → 44.0",
    ):
        assert part in text


def test_without_prices_no_money_is_in_it() -> None:
    text = hand_over_text(replace(HAND_OVER, prices=False))
    for money in ("EUR", "0.455", "0.411", "85", "cost", "1.5 "):
        assert money not in text.replace("1.5 × D", "")


def test_what_users_wrote_cannot_break_the_tables() -> None:
    text = hand_over_text(HAND_OVER)
    assert r"bracket \| \<b\>" in text


def test_rules_that_were_overruled_are_in_the_record() -> None:
    trial = replace(TRIAL, overruled=(Overrule("A", "coating", "runs well | here", "A. N."),))
    assert "- coating: runs well \\| here (A. N.)" in hand_over_text(
        replace(HAND_OVER, trial=trial)
    )
    assert "overruled" not in hand_over_text(HAND_OVER)

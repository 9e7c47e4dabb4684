"""The search weighs every part of the cost that the breakdown shows, with the same prices."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import pytest

from tests.helpers.invented_drills import FAST, FIRST, NAME, fill
from trials.economics import cost_per_hole
from trials.model import Economics, Trial
from trials.optimizer import RunResult, Suggestion, recommend
from trials.workbench import Workbench, _search
from trials.workbench._costs import cycle_min

RUNS = [
    RunResult(FIRST, 900, "worn", 40.0, 52.0, 0.06),
    RunResult(FAST, 1250, "worn", 45.0, 57.0, 0.05),
    RunResult(FAST, 1150, "worn", 45.0, 56.0, 0.05),
]


def asked(trial: Trial, **money: object) -> Suggestion:
    changed = replace(trial, economics=replace(trial.economics, **money))  # type: ignore[arg-type]  # fields of it
    return recommend(_search.problem(changed, "carbide"), RUNS)


@pytest.fixture
def trial(tmp_path: Path) -> Trial:
    with Workbench.open(tmp_path / "shop") as bench:
        fill(bench)
        return bench.trial(NAME)


def test_the_search_has_the_money_of_the_drill_whole(trial: Trial) -> None:
    dear = replace(
        trial,
        economics=replace(trial.economics, coolant_per_min=0.2, scrap_cost=40, scrap_share=0.001,
                          inspect_every_holes=50, inspect_min=1),
    )  # fmt: skip
    given = _search.problem(dear, "carbide").economics
    wanted = dear.economics_of("carbide")
    for part in fields(Economics):
        assert getattr(given, part.name) == getattr(wanted, part.name), part.name
    assert (given.drill_price, given.regrinds, given.life_lost_per_regrind) == (95, 3, 0.1)


def test_parts_that_every_hole_pays_alike_are_added_to_what_is_expected(trial: Trial) -> None:
    # Scrap of 0.001 · 40 a hole, and looks of 1.3 · 1 min every 50 holes, move no cutting data:
    # the same are recommended, and a hole costs just so much more.
    plain = asked(trial)
    for money, more in (
        ({"scrap_cost": 40.0, "scrap_share": 0.001}, 0.04),
        ({"inspect_every_holes": 50, "inspect_min": 1.0}, 1.3 / 50),
    ):
        dearer = asked(trial, **money)
        assert dearer.cutting_data == plain.cutting_data
        for before, after in zip(plain.cost_per_hole, dearer.cost_per_hole, strict=True):
            assert after - before == pytest.approx(more, rel=1e-6)


def test_coolant_is_paid_by_the_minute(trial: Trial) -> None:
    # A coolant of 0.2 a minute is as good as a machine that costs 0.2 a minute more while drilling.
    wet = asked(trial, coolant_per_min=0.2)
    dry = asked(trial)
    if wet.cutting_data == dry.cutting_data:
        gap = wet.cost_per_hole.median - dry.cost_per_hole.median
        assert gap == pytest.approx(0.2 * dry.cycle_min.median, rel=0.02)
    assert wet.cost_per_hole.median > dry.cost_per_hole.median


def test_the_same_formula_stands_behind_both(trial: Trial) -> None:
    # What is expected of an edge in the middle is what the breakdown says of that life and cycle,
    # with a share of breaking between none and the expected one.
    found = asked(trial, coolant_per_min=0.2, scrap_cost=40.0, scrap_share=0.001)
    money = replace(
        trial.economics_of("carbide"), coolant_per_min=0.2, scrap_cost=40.0, scrap_share=0.001
    )
    least = cost_per_hole(money, found.cycle_min.median, found.holes.median).total
    failing = found.p_chip_or_break
    most = cost_per_hole(
        money, found.cycle_min.median, found.holes.median * (1 - failing), failing,
        beyond_regrind_share=failing,
    ).total  # fmt: skip
    assert least * 0.99 <= found.cost_per_hole.median <= most * 1.03


def test_the_cycle_is_the_recorded_one(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        fill(bench)
        run = bench.run(NAME, 6)
        timed = replace(run, cycle_min=0.123)
        assert cycle_min(bench.trial(NAME), timed) == 0.123

"""Cost with its interval: what widens it, what it refuses, and parts that add up as shown."""

from __future__ import annotations

import numpy as np
import pytest

from trials.economics import cost_per_hole, cost_range, evidence_of, money_of_a_run
from trials.errors import InputError
from trials.model import CuttingData, Economics, End, Run, WearReading

DATA = CuttingData(80, 0.12)
MONEY = Economics(
    1.2, tool_change_min=2, drill_price=60, regrinds=2, regrind_cost=15, breakage_cost=120,
    inspect_every_holes=50, inspect_min=1, coolant_per_min=0.1, scrap_cost=40, scrap_share=0.001,
)  # fmt: skip


def run(
    number: int, holes: int, end: End = "worn", *, cycle_min: float = 0.2, **more: object
) -> Run:
    return Run(
        number, "a", DATA, state="ended", end=end, holes=holes, cycle_min=cycle_min,
        **more,  # type: ignore[arg-type]  # fields of Run
    )  # fmt: skip


def test_the_cost_lies_in_its_interval_and_so_does_every_part() -> None:
    found = cost_range("a", [run(1, 200), run(2, 260)], MONEY)
    assert found.cost is not None
    assert found.low is not None
    assert found.high is not None
    assert found.low < found.cost.total < found.high
    for name, part in found.cost.parts.items():
        low, high = found.parts[name]
        assert low <= part <= high
    assert sum(found.cost.parts.values()) == pytest.approx(found.cost.total, rel=1e-12)
    # By hand: middle life √(200·260) = 228.035; drill money (60 + 2·15)/3 = 30 an edge.
    assert found.cost.drill == pytest.approx(30 / 228.035, rel=1e-5)
    assert found.cost.coolant == pytest.approx(0.02)
    assert found.cost.scrap == pytest.approx(0.04)


def test_more_edges_that_agree_narrow_the_interval() -> None:
    few = cost_range("a", [run(n, 200) for n in range(1, 3)], MONEY)
    many = cost_range("a", [run(n, 200) for n in range(1, 13)], MONEY)
    assert few.low is not None
    assert few.high is not None
    assert many.low is not None
    assert many.high is not None
    assert many.high - many.low < 0.6 * (few.high - few.low)
    assert "Only 2 edges" in few.note
    assert many.note == ""


def test_only_stopped_edges_give_a_verdict_and_no_number() -> None:
    found = cost_range("a", [run(1, 500, "stopped"), run(2, 600, "stopped")], MONEY)
    assert (found.ok, found.cost, found.low, found.holes) == (False, None, None, None)
    assert "let one wear out" in found.verdict
    assert "no ended run" in cost_range("a", [], MONEY).verdict


def test_a_stopped_edge_lengthens_the_life_that_is_drawn() -> None:
    alone = cost_range("a", [run(1, 200)], MONEY)
    more = cost_range("a", [run(1, 200), run(2, 400, "stopped")], MONEY)
    assert alone.holes is not None
    assert more.holes is not None
    assert more.holes[1] > alone.holes[1]
    assert more.holes[0] > alone.holes[0]


def test_the_same_seed_gives_the_same_numbers() -> None:
    runs = [run(1, 200), run(2, 400, "stopped")]
    assert cost_range("a", runs, MONEY) == cost_range("a", runs, MONEY)


def test_drawn_lives_agree_with_theory() -> None:
    # Without stopped edges the middle is Student's t with 4 + n − 1 degrees of freedom about the
    # mean of the logs (Gelman et al., Bayesian Data Analysis, chapter 3; from memory).
    from scipy.stats import t

    holes = [150, 200, 330, 260]
    found = cost_range("a", [run(n, h) for n, h in enumerate(holes, 1)], MONEY, draws=40_000)
    logs = np.log(holes)
    freedom = 4 + len(holes) - 1
    variance = (4 * 0.35**2 + ((logs - logs.mean()) ** 2).sum()) / freedom
    half = t.ppf(0.95, freedom) * np.sqrt(variance / len(holes))
    assert found.holes is not None
    assert found.holes[0] == pytest.approx(np.exp(logs.mean() - half), rel=0.02)
    assert found.holes[2] == pytest.approx(np.exp(logs.mean() + half), rel=0.02)


def test_reground_edges_count_in_lives_of_a_new_one() -> None:
    money = Economics(1.0, drill_price=10, regrinds=2, life_lost_per_regrind=0.2)
    (one,) = evidence_of("a", [run(1, 128, regrinds_done=2)], money)
    assert one.life == pytest.approx(128 / 0.64)


def test_margin_damage_loses_the_regrinds() -> None:
    chipped = run(1, 200, "chipped", wear=(WearReading(200, margin_chipping_mm=0.1),))
    cost = cost_range("a", [chipped], MONEY).cost
    assert cost is not None
    assert cost.drill == pytest.approx(60 / 200)  # the whole price on one edge


def test_progress_is_told_to_the_end() -> None:
    told: list[float] = []
    cost_range("a", [run(1, 200), run(2, 300, "stopped")], MONEY, on_progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_shown_parts_add_up_to_the_shown_total() -> None:
    cost = cost_per_hole(MONEY, 0.2137, 233, 0.031)
    for digits in (2, 3, 4):
        shown = cost.shown_parts(digits)
        assert round(sum(shown.values()), digits) == round(cost.total, digits)
        for name, part in cost.parts.items():
            assert abs(shown[name] - part) < 10.0**-digits


def test_what_a_run_itself_costs() -> None:
    looked = tuple(WearReading(hole, vb_maximum_mm=0.1) for hole in (50, 100))
    money = money_of_a_run(run(1, 200, wear=looked), MONEY, 0.2)
    # By hand: 200·0.2·1.2, 30, 2·1.2, 2 looks of 1 min, 200·0.2·0.1.
    assert money.parts == pytest.approx(
        {"machine": 48, "drill": 30, "change": 2.4, "inspection": 2.4, "coolant": 4,
         "breakage": 0, "scrap": 0}
    )  # fmt: skip
    assert money.total == pytest.approx(86.8)
    broken = money_of_a_run(run(2, 40, "broken"), MONEY, 0.2)
    assert (broken.parts["drill"], broken.parts["breakage"]) == (60, 120)
    # A drill that broke after one regrind had carried 30 of its 75.
    late = money_of_a_run(run(3, 40, "broken", regrinds_done=1), MONEY, 0.2)
    assert late.parts["drill"] == pytest.approx(45)
    assert money_of_a_run(run(4, 9, "out_of_tolerance"), MONEY, 0.2).parts["scrap"] == 40


def test_impossible_money_is_refused() -> None:
    for wrong in ({"scrap_share": 1.5}, {"life_lost_per_regrind": 1.0}, {"coolant_per_min": -1}):
        with pytest.raises(InputError):
            Economics(1.0, **wrong)  # type: ignore[arg-type]  # one name each

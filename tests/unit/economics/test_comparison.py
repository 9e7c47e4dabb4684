"""Drills compared: cheapest, tie, dearer, and too little to say."""

from __future__ import annotations

import pytest

from trials.economics import compare_drills
from trials.errors import InputError
from trials.model import CuttingData, Economics, End, Run

DATA = CuttingData(80, 0.12)


def run(
    number: int, holes: int, end: End = "worn", *, cycle_min: float | None = 0.1,
    data: CuttingData = DATA,
) -> Run:  # fmt: skip
    return Run(number, "any", data, state="ended", end=end, holes=holes, cycle_min=cycle_min)


def money(price: float, currency: str = "EUR") -> Economics:
    return Economics(1.0, drill_price=price, currency=currency)


def test_one_drill_by_hand() -> None:
    # Two edges of 100 and 400 holes: median sqrt(100·400) = 200, cost 0.1 + (1 + 40)/200.
    (only,) = compare_drills({"a": [run(1, 100), run(2, 400)]}, {"a": money(40)})
    assert only.holes_per_edge == pytest.approx(200)
    assert only.cost is not None
    assert only.cost.total == pytest.approx(0.305)
    assert only.low is not None
    assert only.high is not None
    assert only.low < 0.305 < only.high
    # Alone it is neither cheap nor dear.
    assert (only.verdict, only.runs, only.ended) == ("alone", 2, 2)


def test_clear_difference_is_called() -> None:
    lives = [run(n, holes) for n, holes in enumerate((480, 500, 520), start=1)]
    first, second = compare_drills(
        {"cheap": lives, "dear": lives}, {"cheap": money(20), "dear": money(400)}
    )
    assert (first.drill, first.verdict) == ("cheap", "cheapest")
    assert (second.drill, second.verdict) == ("dear", "dearer")
    assert "dearer than cheap" in second.why


def test_tie_is_called_a_tie() -> None:
    first, second = compare_drills(
        {"a": [run(1, 300)], "b": [run(1, 310)]}, {"a": money(60), "b": money(60)}
    )
    assert {first.verdict, second.verdict} == {"tie"}
    assert first.drill == "b"
    assert "cannot be told" in first.why
    assert "cannot be told" in second.why


def test_stopped_edge_raises_the_life() -> None:
    ended_only = {"a": [run(1, 300)]}
    with_stopped = {"a": [run(1, 300), run(2, 500, "stopped")]}
    (before,) = compare_drills(ended_only, {"a": money(60)})
    (after,) = compare_drills(with_stopped, {"a": money(60)})
    assert before.holes_per_edge is not None
    assert after.holes_per_edge is not None
    assert after.holes_per_edge > before.holes_per_edge


def test_all_stopped_is_no_number() -> None:
    known, unknown = compare_drills(
        {"a": [run(1, 800, "stopped"), run(2, 900, "stopped")], "b": [run(1, 100)]},
        {"a": money(60), "b": money(60)},
    )
    assert known.drill == "b"
    assert (unknown.cost, unknown.verdict) == (None, "not enough runs")
    # At most the cost if the longest had ended there: 0.1 + 61/900.
    assert unknown.high == pytest.approx(0.1 + 61 / 900)


def test_best_cutting_data_stand_for_a_drill() -> None:
    slow = CuttingData(40, 0.12)
    runs = [run(1, 200), run(2, 210), run(3, 400, cycle_min=0.2, data=slow)]
    (only,) = compare_drills({"a": runs}, {"a": money(10)})
    assert only.cutting_data == DATA


def test_runs_without_a_cycle_time_say_nothing() -> None:
    (only,) = compare_drills({"a": [run(1, 200, cycle_min=None)]}, {"a": money(10)})
    assert only.verdict == "not enough runs"
    assert only.runs == 0


def test_mixed_currencies_are_refused() -> None:
    with pytest.raises(InputError, match="EUR, USD"):
        compare_drills({"a": [], "b": []}, {"a": money(1), "b": money(1, "USD")})


def test_drill_without_money_is_refused() -> None:
    with pytest.raises(InputError, match="economics of the drill"):
        compare_drills({"a": []}, {})

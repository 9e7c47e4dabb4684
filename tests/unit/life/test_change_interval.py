"""The interval that few lives carry, its risk, and a shift that can keep it."""

from __future__ import annotations

import pytest

from trials.errors import InputError
from trials.life import change_interval, fit_life, round_interval

STEADY = fit_life([300, 320, 335, 350, 360, 375, 390, 410], [True] * 8)
WILD = fit_life([10, 400, 90, 1000, 30, 250, 33], [True] * 7)


def test_steady_lives_are_changed_before_they_fail() -> None:
    found = change_interval(STEADY, 40, 400)
    assert found.limited_by == "cost"
    assert found.holes is not None
    assert found.low is not None
    assert found.high is not None
    assert found.low <= found.holes <= found.high < 320
    assert found.cost_per_hole is not None
    assert found.run_to_failure_per_hole is not None
    assert found.cost_per_hole < found.run_to_failure_per_hole
    assert "less than running to failure" in found.why


def test_dearer_failures_are_avoided_earlier() -> None:
    holes = [change_interval(STEADY, 40, failure).holes for failure in (100, 400, 4000)]
    assert None not in holes
    assert holes == sorted(holes, reverse=True)  # type: ignore[type-var]  # None was ruled out


def test_a_cap_on_failures_comes_first() -> None:
    found = change_interval(STEADY, 40, 60, risk_cap=0.01)
    assert found.limited_by == "risk"
    assert found.fails_before is not None
    low, middle, high = found.fails_before
    # On average over every life that the data allow, so it holds for the middle, not the worst.
    assert middle == pytest.approx(0.01, rel=0.02)
    assert low < middle < high


def test_fewer_lives_mean_an_earlier_change_for_the_same_cap() -> None:
    few = fit_life([300, 350, 410], [True] * 3)
    holes = [change_interval(fit, 40, 60, risk_cap=0.01).holes for fit in (few, STEADY)]
    assert holes[0] is not None
    assert holes[1] is not None
    assert holes[0] < holes[1]


def test_lives_without_wear_out_are_not_changed() -> None:
    found = change_interval(WILD, 30, 200)
    assert (found.holes, found.limited_by, found.ok) == (None, None, True)
    assert found.why.startswith("No planned change pays: edges that have lasted")


def test_failures_that_cost_no_more_are_waited_for() -> None:
    found = change_interval(STEADY, 40, 40)
    assert found.holes is None
    assert "costs too little more" in found.why


def test_a_cap_that_no_interval_keeps() -> None:
    found = change_interval(WILD, 30, 200, risk_cap=0.02)
    assert found.holes is None
    assert found.limited_by == "risk"
    assert found.why.startswith("No interval keeps failures to 2 %")


def test_too_few_failures_carry_no_interval() -> None:
    found = change_interval(fit_life([100, 200], [True, True]), 1, 5)
    assert not found.ok
    assert "not enough failures" in found.verdict
    assert found.holes is None


@pytest.mark.parametrize(
    ("holes", "per_part", "per_shift", "expected"),
    [
        # By hand. 493 holes are 82 parts of 6; a shift of 100 then needs two changes, every 50.
        (493, 6, 100, (300, 50, None, 2)),
        (493, 6, 20, (480, 80, 4, None)),
        (493, 6, 80, (480, 80, 1, None)),
        (493.9, 1, None, (493, 493, None, None)),
        (493, 4, None, (492, 123, None, None)),
        (6, 6, 100, (6, 1, None, 100)),
    ],
)
def test_rounding_is_down_to_parts_and_shifts(
    holes: float, per_part: int, per_shift: int | None,
    expected: tuple[int, int, int | None, int | None],
) -> None:  # fmt: skip
    found = round_interval(holes, per_part, per_shift)
    assert (found.holes, found.parts, found.shifts, found.changes_per_shift) == expected
    assert found.holes <= holes
    assert str(found.holes) in found.text


def test_an_interval_of_less_than_a_part_is_refused() -> None:
    with pytest.raises(InputError, match="does not last a part"):
        round_interval(5, 6)


def test_costs_must_be_money() -> None:
    with pytest.raises(InputError, match="planned change"):
        change_interval(STEADY, 0, 5)

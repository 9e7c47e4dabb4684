"""Holes to wear of one run."""

from __future__ import annotations

import pytest

from trials.errors import InputError
from trials.life import holes_to_wear
from trials.model import WearReading


def readings(*pairs: tuple[int, float | None]) -> list[WearReading]:
    return [WearReading(hole, vb_maximum_mm=wear) for hole, wear in pairs]


def test_interpolated_between_two_readings() -> None:
    # By hand: from 0.20 at 100 to 0.40 at 200, 0.30 lies halfway.
    found = holes_to_wear(readings((50, 0.1), (100, 0.2), (200, 0.4)), 0.3, "worn", 220)
    assert found.kind == "interpolated"
    assert found.holes == pytest.approx(150)
    assert (found.low, found.high) == (100, 200)
    assert "hole 100" in found.why
    assert "hole 200" in found.why


def test_first_reading_over_the_limit_counts_from_a_fresh_edge() -> None:
    found = holes_to_wear(readings((80, 0.4)), 0.3, "worn", 80)
    assert found.kind == "interpolated"
    assert found.holes == pytest.approx(60)
    assert (found.low, found.high) == (0, 80)


def test_reading_at_the_limit_is_observed() -> None:
    found = holes_to_wear(readings((100, 0.2), (160, 0.3)), 0.3, "worn", 160)
    assert (found.kind, found.holes) == ("observed", 160)


def test_worn_without_a_reading_is_observed_at_its_end() -> None:
    found = holes_to_wear(readings((100, 0.2)), 0.3, "worn", 180)
    assert (found.kind, found.holes, found.low, found.high) == ("observed", 180, 100, 180)


@pytest.mark.parametrize(
    "end", ["stopped", "chipped", "broken", "out_of_tolerance", "load_limit", None]
)
def test_other_ends_are_lower_bounds(end: str | None) -> None:
    found = holes_to_wear(readings((100, 0.1)), 0.3, end, 140)  # type: ignore[arg-type]  # texts
    assert (found.kind, found.holes, found.low, found.high) == ("censored", None, 140, None)


def test_blank_readings_are_passed_over() -> None:
    found = holes_to_wear(readings((100, 0.2), (150, None), (200, 0.4)), 0.3, "worn", 200)
    assert found.holes == pytest.approx(150)


def test_stopped_run_is_projected_when_its_readings_carry_that() -> None:
    # Rates 0.001 and 0.002 mm a hole from 0.25 mm at hole 150, 0.05 mm to go: the mean rate of
    # 0.0015 gives 183.3, the gentlest 200, twice the steepest 162.5.
    found = holes_to_wear(readings((50, 0.10), (100, 0.15), (150, 0.25)), 0.3, "stopped", 150)
    assert found.kind == "projected"
    assert found.holes == pytest.approx(150 + 0.05 / 0.0015)
    assert found.low == pytest.approx(162.5)
    assert found.high == pytest.approx(200)


@pytest.mark.parametrize(
    "pairs",
    [
        [(50, 0.1), (100, 0.25)],  # two readings
        [(50, 0.05), (100, 0.08), (150, 0.1)],  # a third of the way
        [(50, 0.1), (100, 0.25), (150, 0.22)],  # wear does not shrink: a reading is off
    ],
)
def test_no_projection_from_too_little(pairs: list[tuple[int, float | None]]) -> None:
    assert holes_to_wear(readings(*pairs), 0.3, "stopped", 150).kind == "censored"


def test_largest_of_a_reading_counts() -> None:
    chipped = [WearReading(100, vb_average_mm=0.1, corner_chipping_mm=0.6)]
    found = holes_to_wear(chipped, 0.5, "chipped", 100)
    assert found.kind == "interpolated"


def test_reading_beyond_the_run_is_refused() -> None:
    with pytest.raises(InputError, match="at most the 100 holes"):
        holes_to_wear(readings((120, 0.1)), 0.3, "worn", 100)


def test_readings_out_of_order_are_refused() -> None:
    with pytest.raises(InputError, match="order"):
        holes_to_wear(readings((120, 0.1), (60, 0.2)), 0.3, "worn", 150)


def test_impossible_limit_is_refused() -> None:
    with pytest.raises(InputError, match="wear limit"):
        holes_to_wear([], 0.0, "worn", 10)

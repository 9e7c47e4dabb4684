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
    # By hand: the last two readings, 0.002 mm a hole, give hole 175; the mean rate since the
    # first, 0.0015, gives 183. The middle lies about there, and its range holds both.
    found = holes_to_wear(readings((50, 0.10), (100, 0.15), (150, 0.25)), 0.3, "stopped", 150)
    assert found.kind == "projected"
    assert found.holes == pytest.approx(180, rel=0.1)
    assert found.high is not None
    assert 150 <= found.low < 175 < 183 < found.high


@pytest.mark.parametrize(
    ("pairs", "says"),
    [
        ([(50, 0.1), (100, 0.25)], "2 readings are too few"),
        ([(50, 0.05), (100, 0.08), (150, 0.1)], "only 33 % of the way"),
        ([(50, 0.2), (100, 0.19), (150, 0.2), (200, 0.2), (400, 0.2)], "wear does not grow"),
        ([(1, 0.14), (2, 0.13), (400, 0.15)], "hole"),
    ],
)
def test_no_projection_from_too_little(pairs: list[tuple[int, float | None]], says: str) -> None:
    found = holes_to_wear(readings(*pairs), 0.3, "stopped", 400)
    assert (found.kind, found.holes, found.low, found.high) == ("censored", None, 400, None)
    assert "No projection" in found.why
    assert says in found.why


def test_projection_widens_the_further_it_goes() -> None:
    # Steady wear of 0.001 mm a hole, stopped at 60 % and at 90 % of the limit of 0.3 mm.
    spans = []
    for last in (180, 270):
        steady = readings(*((hole, hole / 1000) for hole in range(30, last + 1, 30)))
        found = holes_to_wear(steady, 0.3, "stopped", last)
        assert found.high is not None
        assert found.low < 300 < found.high
        spans.append(found.high - found.low)
    assert spans[0] > 2 * spans[1]


def test_no_projection_before_the_holes_already_drilled() -> None:
    grown = readings((50, 0.1), (100, 0.2), (140, 0.28))
    found = holes_to_wear(grown, 0.3, "stopped", 200)
    assert found.kind == "projected"
    assert found.low >= 200


def test_one_odd_reading_does_not_rule() -> None:
    # Steady 0.001 mm a hole; at hole 120 somebody read chips as wear.
    clean = [(hole, hole / 1000) for hole in range(30, 211, 30)]
    odd = [(hole, 0.28 if hole == 120 else wear) for hole, wear in clean]
    projected = [holes_to_wear(readings(*pairs), 0.3, "stopped", 210) for pairs in (clean, odd)]
    assert projected[1].holes == pytest.approx(projected[0].holes, rel=0.07)


def test_readings_that_fall_back_below_the_limit_are_pooled() -> None:
    # By hand: 0.31 and 0.27 pool to 0.29 at 100 and 150; from there to 0.35 at 200 the limit of
    # 0.30 is a sixth of the way.
    found = holes_to_wear(
        readings((50, 0.2), (100, 0.31), (150, 0.27), (200, 0.35)), 0.3, "worn", 200
    )
    assert found.kind == "interpolated"
    assert found.holes == pytest.approx(150 + 50 / 6)
    assert (found.low, found.high) == (50, 200)
    assert "check the readings" in found.why


def test_readings_that_never_come_back_reach_to_the_last_hole() -> None:
    found = holes_to_wear(readings((50, 0.1), (100, 0.31), (150, 0.2)), 0.3, "stopped", 170)
    assert (found.kind, found.low, found.high) == ("interpolated", 50, 170)


def test_average_alone_does_not_undo_a_maximum() -> None:
    # Where the maximum was left out, the smaller average says only "at least".
    mixed = [
        WearReading(100, vb_average_mm=0.15, vb_maximum_mm=0.25),
        WearReading(150, vb_average_mm=0.2),
        WearReading(200, vb_average_mm=0.25, vb_maximum_mm=0.35),
    ]
    found = holes_to_wear(mixed, 0.3, "worn", 200)
    assert found.holes == pytest.approx(150)
    assert (found.low, found.high) == (100, 200)


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

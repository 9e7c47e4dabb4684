"""Kinds of wear with limits of their own: the first that is reached ends the edge."""

from __future__ import annotations

import math

import pytest

from tests.helpers.example_trial import example_trial
from trials.errors import InputError
from trials.life import Limit, holes_to_wear, life_of_run, look_ahead, wear_points
from trials.model import CuttingData, Run, Trial, WearLimits, WearReading
from trials.model.plain import from_plain, to_plain

# Flank wear of 0.3 mm on average or 0.6 mm at its largest: ISO 3685 for turning, from memory; for
# a drill a convention only.
ISO = WearLimits(vb_maximum_mm=0.6).filled(0.3)


def both(hole: int, average: float, maximum: float) -> WearReading:
    return WearReading(hole, vb_average_mm=average, vb_maximum_mm=maximum)


def test_the_maximum_ends_an_uneven_edge_and_the_average_an_even_one() -> None:
    # Straight lines by hand: the maximum goes 0.4 → 0.8 over 100 holes, 0.6 half way; the average
    # 0.2 → 0.4, 0.3 half way.
    uneven = holes_to_wear([both(100, 0.1, 0.4), both(200, 0.2, 0.8)], ISO, "stopped", 200)
    even = holes_to_wear([both(100, 0.2, 0.25), both(200, 0.4, 0.45)], ISO, "stopped", 200)
    for found in (uneven, even):
        assert (found.kind, found.holes, found.low, found.high) == (
            "interpolated", pytest.approx(150), 100, 200
        )  # fmt: skip
    assert "VB maximum 0.8 mm (limit 0.6 mm)" in uneven.why
    assert "VB average 0.4 mm (limit 0.3 mm)" in even.why


def test_one_limit_for_all_is_what_it_was() -> None:
    readings = [both(100, 0.1, 0.2), both(200, 0.25, 0.4)]
    one = holes_to_wear(readings, 0.3, "stopped", 200)
    assert holes_to_wear(readings, WearLimits().filled(0.3), "stopped", 200) == one
    assert "limit of 0.3 mm" in one.why
    assert Limit.of(WearLimits().filled(0.3)).one


def test_a_reading_exactly_at_its_own_limit_has_reached_it() -> None:
    # 0.7 · 0.3 / 0.7 is not 0.3 in binary fractions.
    for limit in (0.35, 0.6, 0.7, 1.1):
        own = WearLimits(vb_maximum_mm=limit).filled(0.3)
        seen = holes_to_wear([both(100, 0.0, limit)], own, "stopped", 100)
        assert (seen.kind, seen.holes) == ("observed", 100), limit


def test_a_larger_limit_never_ends_an_edge_earlier() -> None:
    readings = [both(h, 0.002 * h, 0.004 * h) for h in (40, 80, 120, 160)]
    ends = []
    for limit in (0.2, 0.3, 0.4, 0.5, 0.6, 1.0, 5.0):
        found = holes_to_wear(readings, WearLimits(vb_maximum_mm=limit).filled(0.3), "stopped", 160)
        ends.append(math.inf if found.holes is None else found.holes)
    assert ends == sorted(ends)
    # From 0.6 mm on the average decides, which reaches 0.3 mm at hole 150.
    assert ends[-1] == ends[-2] == pytest.approx(150)


def test_what_was_not_measured_has_not_gone_where_limits_differ() -> None:
    # The maximum was left out at hole 200; what the average says is less than was seen before.
    readings = [both(100, 0.05, 0.5), WearReading(200, vb_average_mm=0.06)]
    assert [point.hole for point in wear_points(readings, limit_mm=ISO)] == [100]
    # And the other way round: a maximum far below its limit says nothing of the average.
    readings = [both(100, 0.25, 0.28), WearReading(200, vb_maximum_mm=0.3)]
    assert [point.hole for point in wear_points(readings, limit_mm=ISO)] == [100]


def test_lives_and_looking_ahead_follow_the_limits() -> None:
    wear = (both(100, 0.1, 0.2), both(200, 0.2, 0.4), both(300, 0.25, 0.5))
    run = Run(1, "x", CuttingData(80, 0.1), "ended", "stopped", 300, wear=wear)
    assert not life_of_run(run, ISO).ended
    one = life_of_run(run, 0.3)
    assert (one.low, one.high) == (100, 200)
    ahead = look_ahead(wear, ISO, 300, 100)
    assert ahead.chance_reached is not None
    with pytest.raises(InputError, match="end it as worn"):
        look_ahead(wear, 0.3, 300, 100)


@pytest.mark.parametrize("value", [0.0, -0.1, math.nan, math.inf, 5.1])
@pytest.mark.parametrize("kind", ["vb_maximum_mm", "corner_chipping_mm", "margin_chipping_mm"])
def test_impossible_limits_are_refused(kind: str, value: float) -> None:
    with pytest.raises(InputError, match="limit of"):
        WearLimits(**{kind: value})


def test_limits_must_be_filled_in() -> None:
    with pytest.raises(InputError, match="limit of VB average"):
        holes_to_wear([], WearLimits(vb_maximum_mm=0.6), None, 10)


def test_trials_from_before_have_one_limit_and_new_ones_keep_theirs() -> None:
    plain = to_plain(example_trial())
    del plain["wear_limits"]
    old = from_plain(Trial, plain)
    assert old.wear_limits == WearLimits()
    assert old.limits == WearLimits(0.3, 0.3, 0.3, 0.3)
    own = example_trial(wear_limits=WearLimits(vb_maximum_mm=0.6, regrind_margin_mm=0.1))
    assert from_plain(Trial, to_plain(own)) == own
    plain["wear_limits"] = {"vb_maximum_mm": "0.025 in"}  # 0.635 mm
    assert from_plain(Trial, plain).limits.vb_maximum_mm == pytest.approx(0.635)

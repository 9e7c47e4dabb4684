"""Lives and readings as they should not be: refused, or answered with a verdict."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from trials.errors import InputError
from trials.life import (
    change_interval,
    ended_at,
    ended_between,
    fit_life,
    fit_lives,
    holes_to_wear,
    life_of_run,
    look_ahead,
    stopped_at,
)
from trials.model import CuttingData, Run, WearReading


def seen(*pairs: tuple[int, float]) -> list[WearReading]:
    return [WearReading(hole, vb_maximum_mm=wear) for hole, wear in pairs]


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, 0, -5, None, "100", "", True + 1j])
def test_a_life_that_is_no_number_of_holes_is_refused(bad: Any) -> None:
    with pytest.raises(InputError, match="life 2"):
        fit_life([100, bad, 140, 200], [True] * 4)


@pytest.mark.parametrize("bad", [math.nan, None, "no", "False", 2, -1])
def test_an_end_that_is_neither_true_nor_false_is_refused(bad: Any) -> None:
    with pytest.raises(InputError, match="whether life 3 ended"):
        fit_life([100, 120, 140, 200], [True, True, bad, True])


def test_numpy_values_are_as_good_as_plain_ones() -> None:
    plain = fit_life([100, 120, 140, 200], [True, True, True, False])
    arrays = fit_life(np.array([100, 120, 140, 200]), np.array([1, 1, 1, 0]))  # type: ignore[arg-type]  # arrays
    assert (arrays.shape, arrays.scale) == (plain.shape, plain.scale)


@pytest.mark.parametrize(
    "lives",
    [
        [ended_at(100)] * 5,
        [*[ended_at(100)] * 3, stopped_at(100), stopped_at(60)],
        [ended_between(0, 100)] * 4,
        [ended_between(0, 100), ended_between(50, 150), ended_between(100, 120), stopped_at(30)],
        [ended_at(100), ended_between(80, 120), ended_between(90, 300)],
    ],
)
def test_lives_that_may_all_be_the_same_have_no_shape(lives: list[Any]) -> None:
    for model in ("weibull", "lognormal"):
        fit = fit_lives(lives, model)  # type: ignore[arg-type]  # texts of a loop
        assert not fit.ok
        assert "not enough scatter" in fit.verdict
        interval = change_interval(fit, 1, 5)
        assert (interval.holes, interval.ok) == (None, False)


@pytest.mark.parametrize(
    ("holes", "ended"),
    [
        # Stopped before any end, after every end, and far more stopped than ended.
        ([100, 120, 140, 1, 2, 3], [True] * 3 + [False] * 3),
        ([100, 120, 140, 900, 900, 900], [True] * 3 + [False] * 3),
        ([100, 120, 140] + [5000] * 50, [True] * 3 + [False] * 50),
        ([1, 1000, 1e9], [True] * 3),
        ([1e300, 1e299, 2e300], [True] * 3),
        ([1e-300, 1e-299, 2e-300], [True] * 3),
        ([100, 100, 100, 101], [True] * 4),
    ],
)
def test_odd_lives_give_ordered_numbers(holes: list[float], ended: list[bool]) -> None:
    for model in ("weibull", "lognormal"):
        fit = fit_life(holes, ended, model)  # type: ignore[arg-type]  # texts of a loop
        assert fit.ok
        assert fit.shape is not None
        assert fit.scale is not None
        assert fit.shape > 0
        low, high = fit.intervals["scale"]
        assert 0 < low < fit.scale < high
        # The same lives in another order are the same lives.
        turned = fit_life(holes[::-1], ended[::-1], model)  # type: ignore[arg-type]  # as above
        assert turned.intervals == fit.intervals


@pytest.mark.parametrize(
    "readings",
    [
        seen((100, 0.1), (100, 0.12), (100, 0.11), (200, 0.2)),
        seen((50, 0.1), (100, 0.2), (150, 0.15), (200, 0.18)),
        seen((50, 0.25), (100, 0.2), (150, 0.15), (200, 0.14)),
        seen((50, 0), (100, 0), (150, 0)),
        seen((50, 0.2), (100, 0.2), (150, 0.2), (200, 0.2)),
        [WearReading(50), WearReading(100), WearReading(150)],
        [],
    ],
)
def test_readings_that_carry_no_projection_only_bound(readings: list[WearReading]) -> None:
    found = holes_to_wear(readings, 0.3, "stopped", 200)
    assert found.kind in ("censored", "projected")
    assert found.low >= 200
    assert found.holes is None or found.holes >= found.low
    assert found.why


def test_an_edge_beyond_its_limit_before_it_drilled_has_hardly_a_life() -> None:
    found = holes_to_wear(seen((0, 0.4)), 0.3, "stopped", 200)
    assert (found.kind, found.high) == ("observed", 0)
    run = Run(1, "x", CuttingData(80, 0.1), "ended", "stopped", 200, wear=tuple(seen((0, 0.4))))
    assert life_of_run(run, 0.3).high == 1


@pytest.mark.parametrize(
    ("readings", "limit", "holes"),
    [
        (seen((200, 0.1), (100, 0.05)), 0.3, 200), (seen((300, 0.1)), 0.3, 200),
        (seen((50, 0.1)), math.nan, 200), (seen((50, 0.1)), 0.0, 200),
        (seen((50, 0.1)), -0.3, 200), (seen((50, 0.1)), 50.0, 200), (seen((50, 0.1)), 0.3, -1),
    ],
)  # fmt: skip
def test_impossible_readings_and_limits_are_refused(
    readings: list[WearReading], limit: float, holes: int
) -> None:
    with pytest.raises(InputError):
        holes_to_wear(readings, limit, "stopped", holes)


@pytest.mark.parametrize(("more", "looks"), [(0, 1), (-5, 1), (math.nan, 1), (10, 0), (10, 11)])
def test_impossible_plans_are_refused(more: Any, looks: Any) -> None:
    with pytest.raises(InputError):
        look_ahead(seen((40, 0.04), (80, 0.08), (120, 0.12)), 0.3, 120, more, looks)

"""Trends of features: steady, sudden step, rising fast; and never a fit on too few holes."""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.helpers.invented_stream import stream
from trials.errors import InputError
from trials.holes import (
    LEAST_HOLES,
    TREND_FEATURES,
    FeatureTrend,
    feature_trend,
    feature_trends,
    find_holes,
    newest_change,
)


def scattered(values: np.ndarray, seed: int, size: float = 0.015) -> np.ndarray:
    return values * (1.0 + np.random.default_rng(seed).normal(0.0, size, len(values)))


def trend(values: np.ndarray) -> FeatureTrend:
    return feature_trend(np.arange(1, len(values) + 1), values)


@pytest.mark.parametrize("count", [0, 1, 5, LEAST_HOLES - 1])
def test_too_few_holes_is_a_verdict_not_a_fit(count: int) -> None:
    found = trend(np.linspace(40, 80, count))
    assert found.verdict == "too few holes"
    assert (found.slope_pct_per_100, found.sure, found.changes) == (None, None, ())
    assert str(count) in found.words


@pytest.mark.parametrize("seed", range(6))
def test_even_and_slowly_worn_runs_are_steady(seed: int) -> None:
    hole = np.arange(100)
    assert trend(scattered(np.full(100, 40.0), seed)).verdict == "steady"
    slow = trend(scattered(40.0 * (1 + 0.002 * hole), seed))
    assert slow.verdict == "steady"
    # 0.2 % of the first level a hole; of the middle level that is 0.2 / 1.1.
    assert slow.slope_pct_per_100 == pytest.approx(20 / 1.1, abs=4)


@pytest.mark.parametrize("seed", range(6))
def test_a_step_is_found_where_it_was_put(seed: int) -> None:
    values = np.full(60, 40.0)
    values[30:] *= 1.12
    found = trend(scattered(values, seed))
    assert found.verdict == "sudden step"
    change = found.newest
    assert change is not None
    assert change.since_low <= 31 <= change.since_high
    assert change.change_pct == pytest.approx(12, abs=3)
    assert change.sure > 0.99
    assert "since hole" in found.words


@pytest.mark.parametrize("seed", range(6))
def test_a_bend_is_found_near_where_it_was_put(seed: int) -> None:
    values = 40.0 * (1 + 0.02 * np.maximum(0, np.arange(60) - 39))
    found = trend(scattered(values, seed))
    assert found.verdict == "rising fast"
    assert found.since_hole == pytest.approx(41, abs=3)


def test_a_fast_rise_from_the_first_hole_is_not_called_steady() -> None:
    found = trend(scattered(40.0 * (1 + 0.02 * np.arange(30)), 1))
    assert found.verdict == "rising fast"


@pytest.mark.parametrize("factor", [0.4, 0.7, 1.5, 3.0])
@pytest.mark.parametrize("place", [20, 38, 39])
def test_a_single_odd_hole_changes_nothing(factor: float, place: int) -> None:
    values = scattered(np.full(40, 40.0), 5)
    values[place] *= factor
    assert trend(values).verdict == "steady"


def test_two_odd_newest_holes_are_not_a_change_but_more_are() -> None:
    values = scattered(np.full(40, 40.0), 7)
    values[38:] *= 1.5
    assert trend(values).verdict == "steady"
    more = np.concatenate([values, scattered(np.full(3, 60.0), 8)])
    assert trend(more).verdict == "sudden step"
    assert trend(more).since_hole == 39


def test_two_steps_are_both_found_and_the_verdict_is_the_newer() -> None:
    values = np.full(90, 40.0)
    values[30:] *= 1.15
    values[60:] *= 1.15
    found = trend(scattered(values, 3))
    assert [change.kind for change in found.changes] == ["sudden step"] * 2
    assert [change.since_hole for change in found.changes] == [31, 61]
    assert found.since_hole == 61


def test_a_long_run_is_looked_at_in_blocks_and_still_places_its_step() -> None:
    values = np.full(3000, 40.0)
    values[2000:] *= 1.1
    found = trend(scattered(values, 2))
    assert found.verdict == "sudden step"
    assert found.since_hole == pytest.approx(2001, abs=10)


@settings(max_examples=25, deadline=None)
@given(scale=st.floats(0.01, 1000), first=st.integers(1, 500), seed=st.integers(0, 50))
def test_scale_and_numbering_change_no_verdict(scale: float, first: int, seed: int) -> None:
    values = np.full(40, 40.0)
    values[22:] *= 1.2
    values = scattered(values, seed)
    here = trend(values)
    there = feature_trend(np.arange(first, first + 40), values * scale)
    assert there.verdict == here.verdict
    assert there.since_hole is not None
    assert here.since_hole is not None
    assert there.since_hole - first == here.since_hole - 1


@pytest.mark.parametrize(
    "values", [np.full(30, 40.0), np.zeros(30), np.full(30, np.nan), np.arange(30) % 2 + 40.0]
)
def test_odd_but_possible_values_give_a_verdict(values: np.ndarray) -> None:
    assert trend(values).verdict in ("steady", "too few holes")


def test_numbers_and_values_must_belong_together() -> None:
    with pytest.raises(InputError, match="as many holes as values"):
        feature_trend([1, 2, 3], [1.0, 2.0])


@pytest.fixture(scope="module")
def holes() -> pd.DataFrame:
    return find_holes(pd.read_csv(io.BytesIO(stream(24, rise_pct=0.0))))


def change(holes: pd.DataFrame, do: Callable[[pd.DataFrame], object]) -> pd.DataFrame:
    copy = holes.copy()
    do(copy)
    return copy


def test_every_feature_of_found_holes_has_a_trend(holes: pd.DataFrame) -> None:
    found = feature_trends(holes)
    assert tuple(one.feature for one in found) == TREND_FEATURES
    assert {one.verdict for one in found} == {"steady"}
    assert newest_change(found) is None
    assert [one.verdict for one in feature_trends(holes.iloc[:0])] == ["too few holes"] * 4


def test_holes_with_samples_missing_are_left_out(holes: pd.DataFrame) -> None:
    def lose(frame: pd.DataFrame) -> None:
        frame.loc[frame["number"] > 20, "peak_pct"] *= 2.0
        frame.loc[frame["number"] > 20, "flags"] = "gap"

    peak = feature_trends(change(holes, lose))[0]
    assert (peak.verdict, peak.holes) == ("steady", 20)


def test_the_newest_change_of_all_features(holes: pd.DataFrame) -> None:
    def step(frame: pd.DataFrame) -> None:
        frame.loc[frame["number"] >= 15, "cut_s"] *= 1.3
        frame.loc[frame["number"] >= 19, "area_pct_s"] *= 1.5

    found = newest_change(feature_trends(change(holes, step)))
    assert found is not None
    assert (found[0].feature, found[1].since_hole) == ("area_pct_s", 19)

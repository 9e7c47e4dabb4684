"""Slices of the search: data first, then a drawing in either unit system and scheme."""

from __future__ import annotations

import json
import math

import pytest

from trials.errors import InputError
from trials.figures import RunOnSlices, SearchSlices, draw_search_slice, search_slices
from trials.model import CuttingData

SPEEDS, FEEDS = (50.0, 60.0, 70.0, 80.0), (0.1, 0.15, 0.2)
# One row a feed, one column a speed; the middle feed and 60 m/min are the recommended ones.
COST = ((0.50, 0.40, 0.42, 0.60), (0.42, 0.30, 0.31, 0.50), (0.45, 0.33, 0.36, 0.70))
LOAD = ((40.0, 41.0, 42.0, 43.0), (50.0, 52.0, 54.0, 60.0), (60.0, 65.0, 72.0, 85.0))
ALLOWED = ((True,) * 4, (True, True, True, False), (True, False, False, False))
HERE = CuttingData(60.0, 0.15)


def lower(grid: tuple[tuple[float, ...], ...], by: float) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(value * by for value in row) for row in grid)


def made(*runs: RunOnSlices) -> SearchSlices:
    return search_slices(
        speeds_m_per_min=SPEEDS, feeds_mm_per_rev=FEEDS,
        cost=(lower(COST, 0.8), COST, lower(COST, 1.2)),
        load=(lower(LOAD, 0.9), LOAD, lower(LOAD, 1.1)), allowed=ALLOWED, through=HERE,
        load_limit_pct=75.0, runs=runs, currency="EUR",
    )  # fmt: skip


def test_slices_go_through_what_is_recommended() -> None:
    found = made()
    assert found.speed.at == SPEEDS
    assert found.speed.cost == COST[1]
    assert found.speed.load_pct == LOAD[1]
    assert found.speed.allowed == ALLOWED[1]
    assert found.feed.at == FEEDS
    assert found.feed.cost == (0.40, 0.30, 0.33)
    assert found.feed.allowed == (True, True, False)
    assert found.speed.cost[found.speed.index] == found.feed.cost[found.feed.index] == 0.30
    assert found.feed.cost_low[1] == pytest.approx(0.24)


def test_how_exactly_a_value_must_be_kept() -> None:
    found = made()
    # 0.31 is within 5 % of 0.30, 0.42 is not; 80 m/min is not allowed.
    assert found.speed.as_cheap == (60.0, 70.0)
    assert found.speed.too_much_from == 80.0
    assert found.feed.as_cheap == (0.15, 0.15)
    assert found.feed.too_much_from == 0.2


def test_what_is_not_allowed_itself_has_no_cheap_stretch() -> None:
    found = search_slices(
        speeds_m_per_min=SPEEDS, feeds_mm_per_rev=FEEDS, cost=(COST, COST, COST),
        load=(LOAD, LOAD, LOAD), allowed=((False,) * 4,) * 3, through=HERE, load_limit_pct=75.0,
        runs=[], currency="EUR",
    )  # fmt: skip
    assert found.speed.as_cheap is None
    assert found.speed.too_much_from == 60.0


def test_only_runs_with_nearly_the_same_other_values_are_marked() -> None:
    runs = [
        RunOnSlices(1, CuttingData(75.0, 0.15), 0.4, 55.0, "worn"),
        RunOnSlices(2, CuttingData(60.0, 0.1), 0.4, None, "stopped"),
        RunOnSlices(3, CuttingData(62.0, 0.14, "chip_break", 1.0), 0.4, 55.0, "worn"),
        RunOnSlices(4, CuttingData(100.0, 0.3), 0.9, 90.0, "broken"),
    ]
    found = made(*runs)
    assert [run.number for run in found.speed.runs] == [1]
    assert [run.number for run in found.feed.runs] == [2]


def test_a_slice_of_unequal_lengths_is_refused() -> None:
    with pytest.raises(InputError, match="slice of the search"):
        search_slices(
            speeds_m_per_min=SPEEDS[:3], feeds_mm_per_rev=FEEDS, cost=(COST, COST, COST),
            load=(LOAD, LOAD, LOAD), allowed=ALLOWED, through=HERE, load_limit_pct=75.0, runs=[],
            currency="EUR",
        )  # fmt: skip


@pytest.mark.parametrize("dark", [False, True])
def test_drawing_shows_both_with_limit_runs_and_star(dark: bool) -> None:
    found = made(RunOnSlices(1, CuttingData(75.0, 0.15), 0.4, 55.0, "worn"))
    plain = draw_search_slice(found, "speed", dark).to_plotly_json()
    text = json.dumps(plain, default=list)
    assert "limit 75 %" in text
    assert "to produce with now" in text
    assert "speed, m/min" in text
    axes = [trace["yaxis"] for trace in plain["data"] if trace.get("text") == ["1"]]
    assert axes == ["y", "y2"]
    solid = [t for t in plain["data"] if t["mode"] == "lines" and t["line"].get("dash") == "solid"]
    assert [y is None for y in solid[0]["y"]] == [False, False, False, True]


def test_drawing_in_inches() -> None:
    found = made()
    plain = draw_search_slice(found, "feed", system="inch").to_plotly_json()
    assert plain["layout"]["xaxis"]["title"]["text"] == "feed, in/rev"
    low, high = plain["layout"]["xaxis"]["range"]
    # An inch is 25.4 mm.
    assert 10**low == pytest.approx(0.1 / 25.4)
    assert 10**high == pytest.approx(0.2 / 25.4)
    assert all(math.isfinite(tick) for tick in plain["layout"]["xaxis"]["tickvals"])

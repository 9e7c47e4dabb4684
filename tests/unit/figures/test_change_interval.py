"""Edges that were tried beside the change interval: which of them would have come too late."""

from __future__ import annotations

import pytest

from trials.errors import InputError
from trials.figures import EdgeEnd, change_interval, draw_change_interval


def test_edges_that_ended_before_the_change_are_told_and_stopped_ones_are_not() -> None:
    data = change_interval(
        [EdgeEnd(3, 90, "chipped"), EdgeEnd(1, 80, "stopped"), EdgeEnd(2, 150, "worn")],
        (118.0, 186.0, 294.0), 110,
    )  # fmt: skip
    assert [one.run for one in data.edges] == [1, 2, 3]
    assert [one.run for one in data.earlier] == [3]


def test_the_newest_edges_are_drawn_with_the_line_of_the_change() -> None:
    edges = [EdgeEnd(number, 100.0 + number, "worn") for number in range(1, 31)]
    data = change_interval(edges, (50.0, 90.0, 120.0), 50)
    assert [one.run for one in data.edges] == list(range(19, 31))
    drawing = draw_change_interval(data)
    by_name = {trace.name: trace for trace in drawing.data}
    assert list(by_name["worn"].x) == [100.0 + number for number in range(19, 31)]
    expected = by_name["expected, 90 % range"]
    assert (expected.x[0] - expected.error_x.arrayminus[0]) == 50.0
    assert (expected.x[0] + expected.error_x.array[0]) == 120.0
    assert drawing.layout.shapes[0].x0 == 50
    assert draw_change_interval(data, dark=True).layout.font.color != drawing.layout.font.color


def test_what_is_expected_is_in_order() -> None:
    with pytest.raises(InputError, match="low, middle and high in order"):
        change_interval([], (3.0, 2.0, 4.0), 1)

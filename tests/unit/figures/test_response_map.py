"""The map's data and its drawing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.helpers.drilling_process import Process
from trials.errors import InputError
from trials.figures import ResponseMap, TriedMark, draw_response_map
from trials.model import CuttingData
from trials.optimizer import Response, response

MAP = ResponseMap(
    speeds_m_per_min=(40.0, 60.0, 80.0),
    feeds_mm_per_rev=(0.1, 0.2),
    cost=((0.6, 0.5, 0.8), (0.45, 0.7, 3.0)),
    low=((0.5, 0.4, 0.5), (0.4, 0.5, 1.0)),
    high=((0.7, 0.6, 0.9), (0.5, 0.9, 5.0)),
    safe=((True, True, True), (True, False, False)),
    tried=(TriedMark(1, 60.0, 0.1, "worn", "60 m/min"), TriedMark(2, 60.0, 0.2, "broken")),
    recommended=CuttingData(42.0, 0.19),
    currency="EUR",
    lowest_possible=0.4,
)


def test_grid_that_does_not_fit_is_refused() -> None:
    with pytest.raises(InputError, match="grid of the map"):
        replace(MAP, cost=((0.6, 0.5), (0.45, 0.7)))


@pytest.mark.parametrize("dark", [False, True])
def test_drawing_marks_runs_what_is_unsafe_and_the_recommendation(dark: bool) -> None:
    figure = draw_response_map(MAP, dark)
    names = [trace.name for trace in figure.data[1:]]
    assert (
        names == ["not safe enough", "worn", "drill broken", "to produce with now"]
        or len(names) == len(set(names)) == 4
    )
    assert list(figure.data[1].x) == [60.0, 80.0]
    # Dear corners are cut off, so that the cheap ones can be told apart.
    assert max(max(row) for row in figure.data[0].z) == pytest.approx(3 * 0.45)


def test_response_agrees_with_itself() -> None:
    process = Process()
    found: Response = response(process.problem(), process.history(5, seed=1))
    assert len(found.cost) == len(found.feeds_mm_per_rev)
    assert all(
        low <= cost <= high
        for rows in zip(found.low, found.cost, found.high, strict=True)
        for low, cost, high in zip(*rows, strict=True)
    )
    assert found.lowest_possible <= min(
        cost
        for costs, safe in zip(found.cost, found.safe, strict=True)
        for cost, is_safe in zip(costs, safe, strict=True)
        if is_safe
    )
    assert found.beliefs[0].startswith("10 % more speed")
    assert "holes to wear" in found.beliefs[0]

"""What a hot run rules out, whatever a model would say."""

from __future__ import annotations

import math

import pytest

from trials.model import CuttingData, End
from trials.optimizer import RunResult
from trials.optimizer.heat import shown_load_pct


def run(
    data: CuttingData, end: End = "worn", fresh: float | None = 40.0, worn: float | None = 61.0
) -> RunResult:
    return RunResult(data, 100, end, fresh, worn, 0.2)


def shown(data: CuttingData, *runs: RunResult) -> float:
    return float(shown_load_pct([data], runs)[0])


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (CuttingData(30, 0.15), 61.0),
        (CuttingData(29.6, 0.149), 61.0),  # as good as the same
        (CuttingData(40, 0.20), 61.0),  # harsher
        (CuttingData(30, 0.13), 0.0),  # less feed
        (CuttingData(20, 0.20), 0.0),  # slower
        (CuttingData(30, 0.15, "chip_break", 1.0), 0.0),  # another mode
    ],
)
def test_a_run_speaks_for_its_place_and_all_that_is_harsher(
    data: CuttingData, expected: float
) -> None:
    assert shown(data, run(CuttingData(30, 0.15))) == expected


def test_the_hottest_of_several_counts() -> None:
    runs = [run(CuttingData(30, 0.15), worn=50.0), run(CuttingData(28, 0.14), worn=55.0)]
    assert shown(CuttingData(30, 0.15), *runs) == 55.0


def test_deeper_pecks_are_harsher() -> None:
    pecked = run(CuttingData(30, 0.15, "full_retract", 1.0))
    assert shown(CuttingData(30, 0.15, "full_retract", 2.0), pecked) == 61.0
    assert shown(CuttingData(30, 0.15, "full_retract", 0.5), pecked) == 0.0


def test_depth_of_a_peck_means_nothing_without_pecks() -> None:
    plain = run(CuttingData(30, 0.15, "none", 3.0))
    assert shown(CuttingData(30, 0.15, "none", 0.5), plain) == 61.0


def test_spike_of_a_broken_edge_speaks_only_for_its_place() -> None:
    broken = run(CuttingData(30, 0.15), "broken", worn=150.0)
    assert shown(CuttingData(30, 0.15), broken) == 150.0
    # Its fresh load, before it broke, speaks as any other.
    assert shown(CuttingData(34, 0.17), broken) == 40.0


def test_load_limit_is_not_tried_again_in_the_same_place() -> None:
    # The alarm may have seen a single peak that the recorded load, a median, does not show.
    met = run(CuttingData(30, 0.15), "load_limit", worn=58.0)
    assert shown(CuttingData(30, 0.15), met) == math.inf
    assert shown(CuttingData(34, 0.17), met) == 58.0


def test_load_limit_without_a_recorded_load_is_hot() -> None:
    unknown = run(CuttingData(30, 0.15), "load_limit", None, None)
    assert shown(CuttingData(31, 0.16), unknown) == math.inf


def test_unrecorded_load_shows_nothing() -> None:
    assert shown(CuttingData(30, 0.15), run(CuttingData(30, 0.15), "worn", None, None)) == 0.0

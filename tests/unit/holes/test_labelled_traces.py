"""Found holes against labelled traces of every kind (traces invented, see tests/helpers).

The limits are those the project sets itself; the long form, with more seeds and a row for every
kind, is ``python -m tests.benchmarks.holes_table``.
"""

from __future__ import annotations

import pytest

from tests.helpers import shop_trace_kinds, trace_kinds, wide_trace_kinds  # noqa: F401 - fill KINDS
from tests.helpers.hole_scores import Score, score, together
from tests.helpers.traces import KINDS, make

SEED = 7
WAYS = ("with", "without", "threshold", "find_peaks")


@pytest.fixture(scope="module")
def scores() -> dict[tuple[str, str], Score]:
    """Score of each kind, read in each way."""
    traces = {kind: make(kind, SEED) for kind in sorted(KINDS)}
    return {(kind, way): score(trace, way) for kind, trace in traces.items() for way in WAYS}


@pytest.fixture(params=["with", "without"])
def way(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def of_all(scores: dict[tuple[str, str], Score], way: str) -> Score:
    return together([each for (_, of), each in scores.items() if of == way])


def test_holes_are_found_and_nothing_else(
    scores: dict[tuple[str, str], Score], way: str
) -> None:  # fmt: skip
    assert of_all(scores, way).f1 >= {"with": 0.99, "without": 0.97}[way]
    poor = {kind: s.f1 for (kind, of), s in scores.items() if of == way and s.f1 < 0.9}
    assert poor == {}


def test_pecks_are_counted(scores: dict[tuple[str, str], Score], way: str) -> None:
    assert of_all(scores, way).pecks >= {"with": 0.97, "without": 0.90}[way]


def test_edges_and_peaks_lie_where_they_are(
    scores: dict[tuple[str, str], Score], way: str
) -> None:  # fmt: skip
    """Edges within two samples or 0.1 s, and the filter's delay; peaks within 3 % at the median."""
    assert of_all(scores, way).edge_p95 <= 1.0
    assert of_all(scores, way).peak_median <= 0.03


def test_a_broken_drill_is_flagged_and_a_whole_one_never(
    scores: dict[tuple[str, str], Score], way: str
) -> None:
    whole = of_all(scores, way)
    assert whole.broken >= 2
    assert whole.broken_right == whole.broken
    assert whole.broken_false == 0


@pytest.mark.parametrize(
    "kind", ["air_cuts", "wide_air", "spindle_spikes", "single_sample_spikes", "pilot_run_up"]
)
def test_air_and_spikes_are_never_counted(
    scores: dict[tuple[str, str], Score], kind: str, way: str
) -> None:
    found = scores[kind, way]
    assert found.found == found.matched
    assert found.matched == found.labelled


def test_the_peers_are_beaten(scores: dict[tuple[str, str], Score]) -> None:
    for peer in ("threshold", "find_peaks"):
        assert of_all(scores, "without").f1 > of_all(scores, peer).f1

"""What a hand-over says that it does not know."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.helpers.example_trial import START, example_trial
from trials.model import CuttingData, Run, WearReading
from trials.sharing.hand_over_doubts import doubts

TRIAL = example_trial()
DRILL = TRIAL.drill("plain")
OTHER = CuttingData(95.0, 0.2)
FULL = Run(
    1, "plain", START, "ended", "worn", 200, 30.0, 44.0, 0.09, batch="H1", machine="mill 1",
    regrinds_done=1, wear=(WearReading(200, vb_average_mm=0.3, hole_diameter_mm=8.51),),
)  # fmt: skip
COMPLETE = [
    FULL, replace(FULL, number=2, batch="H2", machine="mill 2"), replace(FULL, number=3),
]  # fmt: skip


def test_runs_that_leave_nothing_open_leave_nothing_to_say() -> None:
    assert doubts(TRIAL, DRILL, START, COMPLETE) == []


@pytest.mark.parametrize(
    ("runs", "says"),
    [
        ([], "No run of plain has ended"),
        ([Run(1, "plain", START, "planned")], "No run of plain has ended"),
        ([replace(FULL, drill="coated")], "No run of plain has ended"),
        ([FULL], "Only 1 edge of plain came to the end"),
        ([*COMPLETE, replace(FULL, number=4, end="stopped")], "1 edge stopped before the end"),
        ([*COMPLETE, replace(FULL, number=4, load_worn_pct=None)], "The load of 1 run was not"),
        ([replace(run, batch="") for run in COMPLETE], "batch of 3 runs was not noted"),
        ([replace(run, batch="H1") for run in COMPLETE], "one workpiece batch, H1"),
        ([replace(run, machine="") for run in COMPLETE], "All of it was drilled on mill 2"),
        ([replace(run, regrinds_done=0) for run in COMPLETE], "No reground edge"),
        ([replace(run, wear=()) for run in COMPLETE], "tolerance H8 was not checked"),
    ],
)
def test_each_gap_is_named(runs: list[Run], says: str) -> None:
    said = doubts(TRIAL, DRILL, START, runs)
    assert len(said) == 1 or says.startswith("Only")
    assert any(says in one for one in said), said


def test_cutting_data_that_nobody_drilled_are_named() -> None:
    assert "exactly these cutting data" in doubts(TRIAL, DRILL, OTHER, COMPLETE)[0]
    assert "cost" not in " ".join(doubts(TRIAL, DRILL, OTHER, [FULL]))

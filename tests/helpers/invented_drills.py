"""An invented shop with lives of three drills, for tests of what money is decided on."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from trials.model import (
    Bounds,
    CuttingData,
    Drill,
    Economics,
    End,
    HoleFeature,
    Machine,
    Trial,
    WearReading,
    Work,
)
from trials.workbench import Workbench

NAME = "invented drills"
SLOW, FIRST, FAST = CuttingData(22, 0.12), CuttingData(70, 0.12), CuttingData(90, 0.15)


def invented_drills(**changes: object) -> Trial:
    """Cobalt against two of carbide; one of these has only stopped edges."""
    values: dict[str, object] = {
        "name": NAME,
        "machine": Machine(11, 1500, 8000, "mill 2"),
        "work": Work("invented steel", "P"),
        "hole": HoleFeature(8.5, 25, tolerance="H9"),
        "drills": (
            Drill("cobalt", 8.5, substrate="cobalt", price=14, regrinds=4, regrind_cost=5),
            Drill("carbide", 8.5, price=95, regrinds=3, regrind_cost=24,
                  life_lost_per_regrind=0.1),
            Drill("unworn", 8.5, price=110),
        ),
        "economics": Economics(1.3, tool_change_min=2, breakage_cost=60, currency="EUR"),
        "bounds": Bounds((15, 130), (0.05, 0.3)),
        "start": SLOW,
        "max_test_holes": 2000,
        "holes_to_make": 200,
        "invented": True,
    }  # fmt: skip
    return Trial(**(values | changes))  # type: ignore[arg-type]  # fields of Trial


def fill(bench: Workbench, **changes: object) -> None:
    """Store the trial and its runs."""
    trial = bench.new_trial(invented_drills(**changes))
    plan: list[tuple[str, CuttingData, int, End]] = [
        ("cobalt", SLOW, 140, "worn"), ("cobalt", SLOW, 120, "worn"),
        ("cobalt", SLOW, 95, "broken"), ("cobalt", SLOW, 150, "worn"),
        ("carbide", FIRST, 900, "worn"), ("carbide", FAST, 1300, "worn"),
        ("carbide", FAST, 1150, "chipped"), ("carbide", FAST, 1500, "stopped"),
        ("carbide", FAST, 1250, "worn"), ("unworn", FAST, 1600, "stopped"),
    ]  # fmt: skip
    for number, (drill, data, holes, end) in enumerate(plan, start=1):
        bench.plan_run(trial.name, data, drill=drill, batch="heat 1" if number % 2 else "heat 2")
        bench.end_run(trial.name, number, end, holes=holes)
        for part in (0.25, 0.5, 0.75, 1.0):
            worn = 0.32 if end == "worn" else 0.2
            bench.add_wear(
                trial.name, number,
                WearReading(
                    round(holes * part), vb_maximum_mm=round(worn * part, 3),
                    margin_chipping_mm=0.1 if end == "chipped" and part == 1.0 else None,
                ),
            )  # fmt: skip


def invented_shop(folder: Path) -> Path:
    """A data folder with the trial in it."""
    with Workbench.open(folder) as bench:
        fill(bench)
    return folder


def open_run(bench: Workbench, data: CuttingData) -> int:
    """One more run of carbide, drilled for 700 holes and looked at three times; its number."""
    number = bench.plan_run(NAME, data, drill="carbide").number
    bench._shop.store.change_run(
        NAME, number, lambda run: replace(run, state="drilled", holes=700, cycle_min=0.06)
    )
    for hole, wear in ((200, 0.07), (400, 0.12), (600, 0.17)):
        bench.add_wear(NAME, number, WearReading(hole, vb_maximum_mm=wear))
    return number

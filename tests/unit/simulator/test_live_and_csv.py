"""One pass of the simulator, heard live and imported from its own CSV, gives identical holes."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from trials.logger import LineFormat, Mapping
from trials.model import (
    Bounds,
    CuttingData,
    Drill,
    Economics,
    HoleFeature,
    Machine,
    PeckMode,
    Trial,
    Work,
)
from trials.simulator import Command, Job, Signal, SimulatorProcess, Watch
from trials.workbench import Workbench


def _trial(mode: PeckMode) -> Trial:
    return Trial(
        name="both ways",
        machine=Machine(2.2, 2500, 8000),
        work=Work("invented steel", "P"),
        hole=HoleFeature(8.5, 30.0),
        drills=(Drill("invented drill", 8.5, substrate="cobalt", coating="TiN"),),
        economics=Economics(1.2),
        bounds=Bounds((10.0, 50.0), (0.05, 0.3), peck_modes=(mode,)),
        start=CuttingData(26.0, 0.13, mode, 1.0),
        invented=True,
    )


@pytest.mark.parametrize(
    ("mode", "link"),
    [
        ("none", "127.0.0.1:0"),
        ("chip_break", "127.0.0.1:0"),
        ("full_retract", "127.0.0.1:0"),
        ("chip_break", "pty"),
    ],
)
def test_live_and_imported_are_the_same(mode: PeckMode, link: str, tmp_path: Path) -> None:
    trial = _trial(mode)
    csv = tmp_path / "pass.csv"
    command = Command(
        Job(trial.machine, trial.work, trial.hole, trial.drill(), trial.start),
        Watch(25, look_every_holes=10),
        Signal(20.0),
        seed=3,
        link=link,
        speed_up=0.0,
        csv=csv,
    )
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(trial)
        for _ in range(2):
            bench.plan_run(trial.name, trial.start)
        with SimulatorProcess(command) as machine:
            source = f"serial:{machine.address}" if link == "pty" else machine.address
            live = bench.record(
                trial.name, 1, source,
                line_format=LineFormat.parse("key=value"),
                mapping=Mapping.parse("load=load,unit=%,time=t,rpm=rpm"),
            )  # fmt: skip
            assert machine.wait(20) == 0
        imported = bench.import_trace(
            trial.name, 2, csv, mapping=Mapping.parse("load=load_pct,time=time_s,rpm=rpm")
        )
        assert live.samples == imported.samples
        assert (live.rejected, live.gaps) == (imported.rejected, imported.gaps) == (0, 0)
        assert live.holes == imported.holes == 25  # as many as were drilled
        pd.testing.assert_frame_equal(
            bench.holes(trial.name, 1), bench.holes(trial.name, 2), check_exact=True
        )
        pd.testing.assert_frame_equal(
            bench.trace(trial.name, 1), bench.trace(trial.name, 2), check_exact=True
        )
        one, two = bench.run(trial.name, 1), bench.run(trial.name, 2)
        assert (one.holes, one.load_fresh_pct, one.load_worn_pct, one.cycle_min) == (
            two.holes, two.load_fresh_pct, two.load_worn_pct, two.cycle_min,
        )  # fmt: skip

"""A workbench that holds what a test gives it: for tests of layout and wording only.

What it promises is not tested here; the browser tests use the real one.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd

from trials.errors import ConflictError, NotFoundError
from trials.figures import (
    Convergence,
    ResponseMap,
    RunMark,
    RunOnSlices,
    SearchSlice,
    SearchSlices,
    TriedMark,
    convergence,
)
from trials.model import (
    Bounds,
    CuttingData,
    Drill,
    Economics,
    HoleFeature,
    Machine,
    Run,
    ShopSettings,
    Trial,
    WearReading,
    Work,
)
from trials.workbench import DrillTest, HoleNow, LikeTrial, LikeTrials, LiveView, NextTest


def invented_trial(name: str = "Bracket holes") -> Trial:
    """An invented trial; every value is made up."""
    return Trial(
        name=name,
        machine=Machine(11.0, 1500.0, 8000.0, name="Machine 2"),
        work=Work("steel, quenched and tempered", "P"),
        hole=HoleFeature(8.0, 32.0, through=True, tolerance="H9"),
        drills=(
            Drill("carbide A", 8.0, price=62.0, regrinds=3, regrind_cost=14.0),
            Drill("cobalt B", 8.0, substrate="cobalt", price=9.0),
        ),
        economics=Economics(1.4, tool_change_min=1.5, breakage_cost=80.0),
        bounds=Bounds((50.0, 120.0), (0.08, 0.25)),
        start=CuttingData(75.0, 0.14),
        max_test_holes=400,
        invented=True,
    )


def invented_runs() -> list[Run]:
    """Six runs, one for each way that matters to the screens."""
    wear = (WearReading(100, vb_maximum_mm=0.12), WearReading(240, vb_maximum_mm=0.31))
    return [
        Run(1, "carbide A", CuttingData(75.0, 0.14), "ended", "stopped", 300, 41.0, 52.0, 0.11),
        Run(2, "carbide A", CuttingData(95.0, 0.20), "ended", "broken", 37, 58.0, 97.0, 0.08),
        Run(3, "carbide A", CuttingData(85.0, 0.16, "chip_break", 1.5), "ended", "worn", 240,
            44.0, 61.0, 0.1, wear),
        Run(4, "cobalt B", CuttingData(60.0, 0.12), "ended", "chipped", 80, 38.0, 47.0, 0.15),
        Run(5, "carbide A", CuttingData(88.0, 0.17), "ended", "load_limit", 210, 51.0, 81.0, 0.09),
    ]  # fmt: skip


def invented_live(**changes: Any) -> LiveView:
    """What the page beside the machine reads, in the middle of the 13th hole."""
    time_s = np.arange(0.0, 75.0, 0.1)
    in_hole = (time_s % 10.0) < 5.5
    load_pct = np.where(in_hole, 44.0 + 3.0 * np.sin(time_s * 3.1), 4.0)
    view = {
        "trial": "Bracket holes",
        "run": replace(invented_runs()[0], number=6, state="recording", end=None),
        "state": "recording", "recording": True, "holder": "logger 4711",
        "newest_load_pct": 46.4, "age_s": 0.3, "stale": False, "limit_pct": 80.0,
        "holes_count": 12, "current": HoleNow(13, 2.4, 47.2),
        "holes": holes_frame([40.1, 41.0, 40.6, 42.2, 43.0, 42.8, 44.1, 43.9, 45.0, 46.2, 46.0,
                              47.1]),
        "time_s": time_s, "load_pct": load_pct, "gaps": (), "alarm": None, "counters": {},
        "behind_bytes": 0,
    }  # fmt: skip
    return LiveView(**(view | changes))


@dataclass
class FakeWorkbench:
    """Trials by name with their runs; a fixed suggestion."""

    held: dict[str, tuple[Trial, list[Run]]] = field(default_factory=dict)
    folder: Path = Path("shop")
    view: Any = None
    stop: bool = False
    likes: tuple[LikeTrial, ...] = ()

    def people(self) -> tuple[Any, ...]:
        """Nobody has to sign in."""
        return ()

    def settings(self) -> ShopSettings:
        """Nothing was set."""
        return ShopSettings()

    def trials(self) -> list[Any]:
        return [
            SimpleNamespace(
                name=trial.name, material=trial.work.material, invented=trial.invented,
                diameter_mm=trial.hole.diameter_mm, depth_mm=trial.hole.depth_mm,
                through=trial.hole.through, drills=tuple(drill.name for drill in trial.drills),
                runs=len(runs), runs_ended=sum(run.state == "ended" for run in runs),
                best_cost=self.convergence(trial.name).best_run and 0.412, currency="EUR",
            )
            for trial, runs in self.held.values()
        ]  # fmt: skip

    def trial(self, name: str) -> Trial:
        if name not in self.held:
            raise NotFoundError("trial", got=name, allowed=", ".join(self.held) or "none yet")
        return self.held[name][0]

    def runs(self, name: str) -> list[Run]:
        self.trial(name)
        return list(self.held[name][1])

    def convergence(
        self,
        name: str,
        drill: str | None = None,  # noqa: ARG002
        *,
        ahead: bool = True,  # noqa: ARG002
    ) -> Convergence:
        costs = {1: (0.58, 0.40, 0.58), 2: (4.1, None, None), 3: (0.44, None, None),
                 4: (0.71, None, None), 5: (0.39, None, None)}  # fmt: skip
        return convergence(
            [
                RunMark(run.number, *costs.get(run.number, (None, None, None)), run.end,
                        f"{run.cutting_data.speed_m_per_min:g} m/min")
                for run in self.runs(name)
            ],
            currency="EUR",
            expected=None if self.stop else (0.36, 0.41, 0.47),
        )  # fmt: skip

    def response_map(self, name: str, drill: str | None = None) -> ResponseMap:  # noqa: ARG002
        """A tiny map with the ended runs on it."""
        tried = tuple(
            TriedMark(run.number, run.cutting_data.speed_m_per_min,
                      run.cutting_data.feed_mm_per_rev, run.end)
            for run in self.runs(name) if run.end
        )  # fmt: skip
        return ResponseMap(
            (40.0, 60.0), (0.1, 0.2), ((0.6, 0.5), (0.45, 0.7)), ((0.5, 0.4), (0.4, 0.5)),
            ((0.7, 0.6), (0.5, 0.9)), ((True, True), (True, False)), tried,
            CuttingData(40.0, 0.2), "EUR", 0.38,
            ("10 % more speed: -25 % holes to wear (-30 to -20 %).",),
        )  # fmt: skip

    def run(self, name: str, number: int | None = None) -> Run:  # noqa: ARG002
        return next(run for run in self.runs(name) if run.state != "ended")

    def search_slices(self, name: str, drill: str | None = None) -> SearchSlices:  # noqa: ARG002
        """Three places along each; the last of them is not allowed."""
        self.trial(name)
        through, allowed = CuttingData(60.0, 0.15), (True, True, False)
        values = ((0.4, 0.35, 0.3), (0.5, 0.45, 0.47), (0.6, 0.55, 0.8))
        loads = ((40.0, 50.0, 70.0), (45.0, 55.0, 76.0), (50.0, 60.0, 85.0))
        run = RunOnSlices(1, CuttingData(60.0, 0.15), 0.5, 52.0, "worn")
        return SearchSlices(
            SearchSlice("speed", (40.0, 60.0, 80.0), *values, *loads, allowed, 60.0, (run,)),
            SearchSlice("feed", (0.1, 0.15, 0.2), *values, *loads, allowed, 0.15),
            through, 80.0, "EUR",
        )  # fmt: skip

    def like_trials(self, name: str, drill: str | None = None) -> Any:  # noqa: ARG002
        self.trial(name)
        return LikeTrials(self.likes)

    def next_test(self, name: str) -> Any:
        tests = (
            DrillTest("carbide A", 3, self.suggest(name), 118.0),
            DrillTest("cobalt B", 1, None, why_not="nothing is left"),
        )
        return NextTest("carbide A", tests, self.stop)

    def plan(self, name: str, count: int, drill: str | None = None) -> list[Any]:
        return [self.suggest(name, drill)] * count

    def suggest(self, name: str, drill: str | None = None) -> Any:  # noqa: ARG002
        def three(low: float, median: float, high: float) -> Any:
            return SimpleNamespace(low=low, median=median, high=high)

        self.trial(name)
        return SimpleNamespace(
            cutting_data=CuttingData(82.0, 0.17, "chip_break", 1.5),
            holes=three(180, 265, 390), load_fresh_pct=three(43, 46, 49),
            load_worn_pct=three(58, 66, 75), cycle_min=three(0.09, 0.095, 0.1),
            cost_per_hole=three(0.36, 0.41, 0.47), p_safe=0.97, p_chip_or_break=0.04,
            value=118.0, test_cost=61.0, stop=self.stop, test_holes=120,
            why="A little slower than run 5, which reached the load limit, with more feed than "
                "run 3: cheaper holes at a load that should stay under 80 %.",
        )  # fmt: skip

    def recommend(self, name: str, drill: str | None = None) -> Any:
        return self.suggest(name, drill)

    def use_suggestion(self, name: str, drill: str | None = None) -> Run:
        trial, runs = self.held[name]
        if any(run.state != "ended" for run in runs):
            raise ConflictError("a run is open already", do="End it first.")
        run = Run(
            len(runs) + 1, trial.drill(drill).name, self.suggest(name, drill).cutting_data,
            origin="suggestion",
        )  # fmt: skip
        runs.append(run)
        return run

    def set_state(self, name: str, **changes: Any) -> None:
        """Change the newest run."""
        runs = self.held[name][1]
        runs[-1] = replace(runs[-1], **changes)

    def profiles(self) -> list[str]:
        return []

    def live(self, name: str, run: int | None = None) -> Any:  # noqa: ARG002
        self.trial(name)
        return self.view


def holes_frame(peaks: list[float]) -> pd.DataFrame:
    """Finished holes of a run with these peaks."""
    return pd.DataFrame(
        {
            "number": range(1, len(peaks) + 1),
            "start_s": [10.0 * n for n in range(len(peaks))],
            "end_s": [10.0 * n + 5.5 for n in range(len(peaks))],
            "cut_s": [5.1] * len(peaks),
            "pecks": [3] * len(peaks),
            "peak_pct": peaks,
            "flags": [""] * len(peaks),
        }
    )

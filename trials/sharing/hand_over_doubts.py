"""What a hand-over does not know: told, so that nobody takes a gap for a promise."""

from __future__ import annotations

from collections.abc import Sequence

from trials.model import CuttingData, Drill, Run, Trial

_TO_THE_END = ("worn", "chipped", "broken", "out_of_tolerance", "load_limit")
_FEW = 3


def doubts(trial: Trial, drill: Drill, data: CuttingData, runs: Sequence[Run]) -> list[str]:
    """One sentence for each thing that the runs do not tell about a drill at cutting data.

    Args:
        trial: the question; drill: what production uses; data: with what.
        runs: all runs of the trial.
    """
    ended = [run for run in runs if run.drill == drill.name and run.end is not None and run.holes]
    said: list[str] = []
    if not ended:
        return [f"No run of {drill.name} has ended: all numbers are a rule of thumb."]
    here = [run for run in ended if run.cutting_data == data]
    if not here:
        said.append("No run was drilled with exactly these cutting data; they follow from the "
                    "others.")  # fmt: skip
    full = [run for run in ended if run.end in _TO_THE_END]
    if len(full) < _FEW:
        said.append(f"Only {_count(len(full), 'edge')} of {drill.name} came to the end, so the "
                    "change interval rests on little. Look at the first edges early.")  # fmt: skip
    stopped = len(ended) - len(full)
    if stopped:
        said.append(f"{_count(stopped, 'edge')} stopped before the end: how long "
                    f"{'it' if stopped == 1 else 'they'} would have lasted is not known."
                    )  # fmt: skip
    loads = [run for run in ended if run.load_worn_pct is None]
    if loads:
        said.append(f"The load of {_count(len(loads), 'run')} was not recorded.")
    said += _places(trial, drill, ended)
    if not any(one.hole_diameter_mm is not None for run in ended for one in run.wear):
        said.append(f"No hole was measured: tolerance {trial.hole.tolerance} was not checked here."
                    if trial.hole.tolerance else "No hole was measured.")  # fmt: skip
    return said


def _places(trial: Trial, drill: Drill, ended: Sequence[Run]) -> list[str]:
    """Batches, machines and regrinds that were not tried."""
    said = []
    batches = {run.batch for run in ended if run.batch}
    unnoted = sum(not run.batch for run in ended)
    if unnoted:
        said.append(f"The workpiece batch of {_count(unnoted, 'run')} was not noted: how much "
                    "another one changes is not known.")  # fmt: skip
    elif len(batches) == 1:
        said.append(f"All of it was drilled in one workpiece batch, {min(batches)}.")
    machines = {run.machine or trial.machine.name for run in ended}
    if len(machines) == 1 and min(machines):
        said.append(f"All of it was drilled on {min(machines)}; other machines were not tried.")
    if drill.regrinds and not any(run.regrinds_done for run in ended):
        said.append("No reground edge was tested.")
    return said


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"

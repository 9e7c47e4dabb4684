"""Records the sample runs anew with the simulator: ``python sample_runs/make.py``.

Each pass gives three files of the same run: what the machine told (``run-N.csv``), what a person
with a loupe noted (``wear-N.csv``) and what was true of every hole (``truth-N.csv``). The expected
results are written by hand from the truth, never from what the program finds.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

from trials.model import CuttingData
from trials.sharing import read_trial
from trials.simulator import Job, Watch, drill_holes
from trials.simulator.files import recording
from trials.simulator.spindle import Signal

HERE = Path(__file__).parent

# folder, run, cutting data (None: the trial's start), what the person does, signal, seed
PASSES: list[tuple[str, int, CuttingData | None, Watch, Signal, int]] = [
    ("one-run", 1, None, Watch(100, look_every_holes=5), Signal(20.0), 6),
    ("spreadsheet", 1, None, Watch(25, look_every_holes=0), Signal(10.0), 2),
    ("small-trial", 1, None, Watch(200, look_every_holes=8), Signal(10.0), 1),
    ("small-trial", 2, CuttingData(38.0, 0.06), Watch(200, look_every_holes=8), Signal(10.0), 3),
    ("small-trial", 3, CuttingData(34.0, 0.11), Watch(200, look_every_holes=8), Signal(10.0), 5),
]


def main() -> None:
    """Write all files of all passes."""
    for name, run, data, watch, signal, seed in PASSES:
        folder = HERE / name
        trial = read_trial(folder / "trial.toml")
        job = Job(trial.machine, trial.work, trial.hole, trial.drill(), data or trial.start)
        files = [folder / f"{what}-{run}.csv" for what in ("run", "wear", "truth")]
        for file in files:
            file.unlink(missing_ok=True)
        with recording(files[0], files[1], files[2]) as written:
            for hole in drill_holes(
                job, replace(watch, wear_limit_mm=trial.wear_limit_mm), signal, seed=seed
            ):
                written.add(hole)
    as_a_spreadsheet(HERE / "spreadsheet" / "run-1.csv", HERE / "spreadsheet" / "messung.csv")


def as_a_spreadsheet(plain: Path, saved: Path) -> None:
    """The same rows as a German spreadsheet saves them: Latin-1, semicolons, decimal commas."""
    with plain.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    with saved.open("w", newline="", encoding="latin-1") as file:
        file.write("Zeit [s];Spindellast [%];Drehzahl [1/min];Bemerkung\r\n")
        for row in rows:
            note = "Kühlung läuft" if row["rpm"] != "0" else "Spindel steht"
            time_s, load = (row[name].replace(".", ",") for name in ("time_s", "load_pct"))
            file.write(f"{time_s};{load};{row['rpm']};{note}\r\n")
    plain.unlink()


if __name__ == "__main__":
    main()

"""The whole job by command, on files; every error is one paragraph and loses nothing."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.helpers.command_line import Answer, holewise
from trials.cli.trial import TEMPLATE


@pytest.fixture
def data(tmp_path: Path) -> Path:
    return tmp_path / "shop"


@pytest.fixture
def trial_file(tmp_path: Path) -> Path:
    path = tmp_path / "trial.toml"
    path.write_text(TEMPLATE, encoding="utf-8")
    return path


def trace_csv(path: Path, peaks: list[float]) -> Path:
    """One hole of 2 s for each peak at 20 values a second, 3 s apart, idle at 5 %."""
    rows = ["time_s,load_pct"]
    step = 0
    for peak in [None, *peaks]:
        for part in range(100):
            load = 5.0 + 0.3 * (part % 3)
            if peak is not None and 40 <= part < 80:
                load = peak
            rows.append(f"{step / 20:.2f},{load}")
            step += 1
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_the_whole_job(data: Path, trial_file: Path, tmp_path: Path) -> None:
    begun = holewise("trial", "new", "--file", trial_file, data=data)
    assert begun.status == 0, begun.err
    assert "Start with drill A" in begun.out
    assert "guards" in begun.out

    assert "bracket-8.5" in holewise("trial", "list", data=data).out
    chosen = holewise("choose", "bracket-8.5", data=data).out
    assert "drill A: fits" in chosen
    assert "common practice, no source" in chosen

    planned = holewise(
        "run", "new", "bracket-8.5", "--speed", "250 sfm", "--feed", "0.16", data=data
    )
    assert planned.status == 0, planned.err
    assert "Run 1" in planned.out
    assert "76.2 m/min" in planned.out

    csv = trace_csv(tmp_path / "run.csv", [30.0, 31.0, 33.0, 36.0, 40.0])
    taken = holewise("import", "bracket-8.5", csv, "--map", "load=load_pct,time=time_s", data=data)
    assert taken.status == 0, taken.err
    assert "5 holes" in taken.out

    for hole, wear in (("0", "0"), ("3", "0,15"), ("5", "0.35 mm")):
        noted = holewise("wear", "bracket-8.5", "--hole", hole, "--vb-average", wear, data=data)
        assert noted.status == 0, noted.err
    ended = holewise("run", "end", "bracket-8.5", "--end", "worn", data=data)
    assert ended.status == 0, ended.err
    # Wear crosses 0.3 mm between hole 3 (0.15) and hole 5 (0.35): 3 + 2 · 0.15/0.20 = 4.5 holes.
    assert "passed near hole 4" in ended.out
    assert "Cost per hole" in ended.out

    shown = holewise("--units", "inch", "trial", "show", "bracket-8.5", data=data)
    assert "250 ft/min" in shown.out
    suggested = holewise("suggest", "bracket-8.5", "--use", data=data)
    assert suggested.status == 0, suggested.err
    assert "Why:" in suggested.out
    assert "Run 2 planned" in suggested.out
    compared = holewise("compare", "bracket-8.5", data=data)
    assert "drill A" in compared.out
    record = tmp_path / "record.md"
    handed = holewise("handover", "bracket-8.5", "--without-prices", "--out", record, data=data)
    assert handed.status == 0, handed.err
    assert "For production" in record.read_text(encoding="utf-8")
    again = holewise("handover", "bracket-8.5", "--out", record, data=data)
    assert again.status == 1
    assert "is there already" in again.err


def refused(answer: Answer, *says: str) -> None:
    """One paragraph on standard error, exit status 1, no traceback."""
    assert answer.status == 1, answer.out + answer.err
    assert answer.err.count("\n") == 1
    assert answer.err.startswith("holewise: ")
    for part in says:
        assert part in answer.err


def test_errors_are_one_paragraph(data: Path, trial_file: Path) -> None:
    refused(holewise("trial", "show", "nothing", data=data), "nothing")
    refused(holewise("trial", "new", "x", data=data), "--material", "trial template")
    refused(holewise("--units", "furlongs", "trial", "list", data=data), "metric or inch")
    assert holewise("trial", "new", "--file", trial_file, data=data).status == 0
    refused(holewise("trial", "new", "--file", trial_file, data=data), "bracket-8.5")
    new = ("run", "new", "bracket-8.5")
    refused(holewise(*new, "--speed", "900", data=data), "8000 /min")
    refused(holewise(*new, "--feed", "0.2 kg", data=data), "--feed", "kg")
    refused(holewise(*new, "--peck-mode", "often", data=data), "chip_break")
    refused(holewise("log", "bracket-8.5", data=data), "open run")
    assert holewise(*new, data=data).status == 0
    refused(holewise("log", "bracket-8.5", data=data), "--source", "doctor")
    refused(holewise("log", "bracket-8.5", "--source", "tcp://127.0.0.1:1", data=data), "--map")
    refused(holewise("run", "end", "bracket-8.5", "--end", "tired", data=data), "worn")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "empty"),
        (b"time_s,load_pct\n", ""),
        (b"time_s,other\n0,1\n", "load_pct"),
        (b"time_s,load_pct\n0,5\n1,nan\n", "line 3"),
        (b"time_s,load_pct\n0,5\n1,-4\n", "line 3"),
        (b"time_s,load_pct\n0,5\n1,900\n", "line 3"),
        (b"time_s,load_pct\n5,5\n1,5\n", "line 3"),
        (bytes(range(256)) * 40, ""),
    ],
)
def test_a_bad_file_leaves_everything_as_it_was(
    data: Path, trial_file: Path, tmp_path: Path, content: bytes, says: str
) -> None:
    holewise("trial", "new", "--file", trial_file, data=data)
    holewise("run", "new", "bracket-8.5", data=data)
    before = holewise("trial", "show", "bracket-8.5", data=data).out
    path = tmp_path / "bad.csv"
    path.write_bytes(content)
    refused(
        holewise("import", "bracket-8.5", path, "--map", "load=load_pct,time=time_s", data=data),
        "bad.csv",
        says,
    )
    assert holewise("trial", "show", "bracket-8.5", data=data).out == before


def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    if os.geteuid() == 0:
        file_instead = tmp_path / "file"
        file_instead.write_text("not a folder")
        refused(holewise("trial", "list", data=file_instead), str(file_instead))
        return
    folder = tmp_path / "closed"
    folder.mkdir(mode=0o500)
    refused(holewise("trial", "list", data=folder / "shop"), str(folder))


def test_doctor_looks_at_everything(data: Path) -> None:
    answer = holewise("doctor", data=data)
    for part in ("versions", "packages", "data folder", "database", "disk space", "serial port"):
        assert part in answer.out


def test_help_does_not_load_the_heavy_parts() -> None:
    code = (
        "import sys; sys.argv = ['holewise', '--help']\n"
        "from trials.cli.app import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "heavy = {'pandas', 'numpy', 'scipy', 'sklearn', 'dash', 'plotly', 'sqlalchemy', 'pint'}\n"
        "sys.exit(', '.join(sorted(heavy & set(sys.modules))) or None)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "advisory" in done.stdout.lower()

"""Units and the container file call the program as it is: commands, options and paths in them."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
import typer

from dashboard.sign_in import READY
from trials.cli.app import app

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "docs/operations"
UNITS = sorted(FOLDER.glob("*.service"))
CONTAINER = FOLDER / "Containerfile"
SECTIONS = {"Unit", "Service", "Install"}


def settings(unit: Path) -> dict[str, list[str]]:
    """What a unit sets, by section and name; a name may stand several times."""
    found: dict[str, list[str]] = {}
    section = ""
    for line in unit.read_text("utf-8").splitlines():
        if line.startswith("["):
            section = line.strip("[]")
            assert section in SECTIONS, line
        elif line and not line.startswith("#"):
            name, mark, value = line.partition("=")
            assert mark, line
            found.setdefault(f"{section}.{name}", []).append(value)
    return found


def command_of(words: list[str]) -> Any:
    """The command that words lead to, whose options are checked on the way."""
    command: Any = typer.main.get_command(app)
    left = list(words)
    while left and left[0] in getattr(command, "commands", {}):
        command = command.commands[left.pop(0)]
    known = {option for one in command.params for option in one.opts}
    for word in left:
        assert not word.startswith("--") or word in known, f"{command.name} has no {word}"
    return command


def variables() -> set[str]:
    """Every environment variable that an option of any command reads."""

    def of(command: Any) -> set[str]:
        own = {one.envvar for one in command.params if one.envvar}
        return own.union(*(of(one) for one in getattr(command, "commands", {}).values()))

    return of(typer.main.get_command(app))


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.name)
def test_a_unit_calls_what_there_is(unit: Path) -> None:
    found = settings(unit)
    (line,) = found["Service.ExecStart"]
    program, *words = shlex.split(line)
    assert program == "/opt/holewise/bin/holewise"
    command_of(words)
    text = unit.read_text("utf-8")
    for name in re.findall(r"\b(HOLEWISE_\w+)=", text):
        assert name in variables(), name
    for name in re.findall(r"\$\{(\w+)\}", line):
        assert re.search(rf"^# +{name}=", text, re.MULTILINE), f"{name} is explained at its head"
    for page in re.findall(r"docs/[\w./-]+\.md", text):
        assert (ROOT / page).exists(), page
    assert found["Service.User"] == ["holewise"]
    assert found["Service.NoNewPrivileges"] == ["yes"]


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.name)
def test_systemd_itself_understands_it(unit: Path, tmp_path: Path) -> None:
    if shutil.which("systemd-analyze") is None:
        pytest.skip("systemd-analyze is not on this computer")
    instance = unit.name.replace("@.", "@mill-2.")
    text = unit.read_text("utf-8").replace("/opt/holewise/bin/holewise", "/bin/true")
    (tmp_path / unit.name).write_text(text)
    said = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", "--recursive-errors=no", tmp_path / instance],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    about_it = [line for line in said.stderr.splitlines() if unit.stem.rstrip("@") in line]
    assert about_it == []


def instructions() -> list[tuple[str, str]]:
    """Each instruction of the container file and what follows it."""
    lines = CONTAINER.read_text("utf-8").splitlines()
    found = [line.split(" ", 1) for line in lines if line and not line.startswith("#")]
    return [(name, rest) for name, rest in found]


def test_the_container_file_is_made_of_known_instructions() -> None:
    known = {"FROM", "COPY", "RUN", "USER", "ENV", "VOLUME", "EXPOSE", "STOPSIGNAL", "HEALTHCHECK",
             "ENTRYPOINT", "CMD"}  # fmt: skip
    names = [name for name, _ in instructions()]
    assert set(names) == known
    assert names[0] == "FROM"
    for once in ("FROM", "USER", "ENTRYPOINT", "CMD", "HEALTHCHECK"):
        assert names.count(once) == 1


def test_the_container_file_copies_installs_and_calls_what_there_is() -> None:
    said: dict[str, list[str]] = {}
    for name, rest in instructions():
        said.setdefault(name, []).append(rest)
    for rest in said["COPY"]:
        *sources, _ = rest.split()
        for source in sources:
            assert (ROOT / source).exists(), source
    (asked,) = re.findall(r"/src\[([\w,]+)\]", " ".join(said["RUN"]))
    project = (ROOT / "pyproject.toml").read_text("utf-8")
    for extra in asked.split(","):
        assert re.search(rf"^{extra} = \[", project, re.MULTILINE), extra
    entry, call = (json.loads(said[name][0]) for name in ("ENTRYPOINT", "CMD"))
    assert entry == ["/opt/holewise/bin/holewise"]
    assert command_of(call).name == "dashboard"
    assert READY in said["HEALTHCHECK"][0]
    json.loads(said["HEALTHCHECK"][0].partition("CMD ")[2])
    assert said["USER"] == ["10001"], "not root"
    for pair in said["ENV"][0].split():
        assert pair.partition("=")[0] in variables()

"""Run the steps of the container file without a container: a fresh environment in a new folder.

What only an engine can show (the base image, users, volumes) is not tried.

    python -m tests.benchmarks.container_steps
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CONTAINER = ROOT / "docs/operations/Containerfile"


def main() -> None:
    """Copy, install, add a person, serve, probe, stop."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    with tempfile.TemporaryDirectory(prefix="holewise-container-") as name:
        root = Path(name)
        said = [line.split(" ", 1) for line in CONTAINER.read_text("utf-8").splitlines()
                if line and not line.startswith("#")]  # fmt: skip
        inside = {"/src": root / "src", "/opt/holewise": root / "opt", "/data": root / "data"}
        environment = dict(os.environ)
        probe: list[str] = []
        entry: list[str] = []
        call: list[str] = []
        for step, rest in said:
            here = _here(rest, inside)
            if step == "COPY":
                *sources, target = rest.split()
                _copy(sources, Path(_here(target, inside)), folder=target.endswith("/"))
            elif step == "RUN" and "useradd" not in rest:
                here = here.replace("python -m venv", f"{sys.executable} -m venv")
                print("RUN", here, flush=True)
                subprocess.run(["bash", "-ec", here], check=True)
            elif step == "ENV":
                environment |= dict(pair.split("=", 1) for pair in here.split())
            elif step == "HEALTHCHECK":
                probe = json.loads(here.partition("CMD ")[2])
            elif step == "ENTRYPOINT":
                entry = json.loads(here)
            elif step == "CMD":
                call = json.loads(rest)
        (root / "data").mkdir()
        _serve(entry, call, probe, environment, root)


def _serve(
    entry: list[str], call: list[str], probe: list[str], environment: dict[str, str], root: Path
) -> None:
    refused = subprocess.run([*entry, *call], env=environment, capture_output=True, text=True,
                             check=False, timeout=60)  # fmt: skip
    print("while nobody has to sign in:", refused.stderr.strip().splitlines()[-1][:160])
    assert refused.returncode == 1, "it must not serve to all while nobody has to sign in"
    password = root / "password"
    password.write_text("invented words\n")
    password.chmod(0o600)
    subprocess.run([*entry, "people", "add", "anna", "--role", "editor", "--password-file",
                    str(password)], env=environment, check=True)  # fmt: skip
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    server = subprocess.Popen([*entry, *call, "--port", str(port)], env=environment)
    try:
        own = [word.replace(":8050", f":{port}") for word in probe]
        until = time.monotonic() + 60
        while status := subprocess.run(own, check=False, stderr=subprocess.DEVNULL).returncode:
            assert time.monotonic() < until, "the health check never went well"
            time.sleep(0.5)
        print("health check:", status)
    finally:
        server.send_signal(signal.SIGINT)
    print("ended by the stop signal with", server.wait(20))


def _here(text: str, inside: dict[str, Path]) -> str:
    for there, path in inside.items():
        text = text.replace(there, str(path))
    return text


def _copy(sources: list[str], target: Path, *, folder: bool) -> None:
    for source in sources:
        path = ROOT / source
        place = target / path.name if folder else target
        place.parent.mkdir(parents=True, exist_ok=True)
        if path.is_dir():
            shutil.copytree(path, place, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copyfile(path, place)


if __name__ == "__main__":
    main()

"""``holewise doctor``: is everything in place, and if not, what to do."""

from __future__ import annotations

import importlib.metadata
import os
import platform
from typing import Annotated

import typer

from trials import __version__
from trials.cli.common import common
from trials.cli.doctor_shop import Finding, shop_findings
from trials.cli.show import say, table

# Extras for users: what each is for. Those for tests and contributors are theirs to know.
_EXTRAS = {
    "postgres": "a shop's tables on a server",
    "objects": "traces and photos on an object store",
    "cluster": "finding all holes again on a Dask cluster",
    "metrics": "figures for a monitoring system",
}


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("doctor")(doctor)


def doctor(
    context: typer.Context,
    upgrade: Annotated[
        bool,
        typer.Option("--upgrade", help="Bring the database up to date, after a backup of it."),
    ] = False,
) -> None:
    """Look at every part, from versions to the clock, and say what to do."""
    shown = common(context)
    if upgrade:
        from trials.workbench import Workbench

        done = Workbench.upgrade(shown.data)
        say(str(done))
    findings = [_versions(), *_packages(), *_extras(), *shop_findings(shown.data), *_ports()]
    table(
        "Doctor",
        ("", "what", "found", "what to do"),
        [(finding.outcome, finding.what, finding.found, finding.do) for finding in findings],
    )
    if any(finding.outcome == "bad" for finding in findings):
        raise typer.Exit(1)


def _versions() -> Finding:
    found = f"holewise {__version__}, Python {platform.python_version()}, {platform.system()}"
    return Finding("versions", "ok", found)


def _packages() -> list[Finding]:
    """Packages that are missing, or older than the floor that this version asks for."""
    from packaging.requirements import Requirement

    findings = []
    try:
        asked = importlib.metadata.requires("holewise") or []
    except importlib.metadata.PackageNotFoundError:
        return [Finding("packages", "look", "run from a folder, not installed", "pip install .")]
    for text in asked:
        requirement = Requirement(text)
        if requirement.marker is not None and not requirement.marker.evaluate():
            continue
        try:
            version = importlib.metadata.version(requirement.name)
        except importlib.metadata.PackageNotFoundError:
            findings.append(Finding(requirement.name, "bad", "missing", f"pip install '{text}'"))
            continue
        if not requirement.specifier.contains(version, prereleases=True):
            findings.append(Finding(requirement.name, "bad", version, f"pip install '{text}'"))
    return findings or [Finding("packages", "ok", f"{len(asked)} asked for, all there")]


def _extras() -> list[Finding]:
    """What is installed of the extras, and whether it is new enough."""
    from packaging.requirements import Requirement

    try:
        asked = [Requirement(text) for text in importlib.metadata.requires("holewise") or []]
    except importlib.metadata.PackageNotFoundError:
        return []
    findings = []
    for extra, purpose in _EXTRAS.items():
        own = [one for one in asked
               if one.marker is not None and not one.marker.evaluate()
               and one.marker.evaluate({"extra": extra})]  # fmt: skip
        install = f"pip install 'holewise[{extra}]'"
        for one in own:
            what = f"extra {extra}"
            try:
                version = importlib.metadata.version(one.name)
            except importlib.metadata.PackageNotFoundError:
                found = f"not installed; only needed for {purpose}"
                findings.append(Finding(what, "ok", found, install))
                continue
            new_enough = one.specifier.contains(version, prereleases=True)
            findings.append(Finding(what, "ok" if new_enough else "bad", f"{one.name} {version}",
                                    "" if new_enough else install))  # fmt: skip
    return findings


def _ports() -> list[Finding]:
    from serial.tools import list_ports

    ports = sorted(list_ports.comports(), key=lambda port: str(port.device))
    if not ports:
        return [
            Finding(
                "serial ports",
                "look",
                "none found",
                "Plug the adapter in, or record over tcp://host:port.",
            )
        ]
    return [_port(str(port.device), str(port.description)) for port in ports]


def _port(device: str, description: str) -> Finding:
    found = f"{device} ({description})"
    if os.name == "posix" and not os.access(device, os.R_OK | os.W_OK):
        return Finding(
            "serial port",
            "bad",
            f"{found}: you may not open it",
            "Join its group and sign in again: sudo usermod -a -G dialout $USER",
        )
    return Finding("serial port", "ok", found)

"""``holewise doctor``: is everything in place, and if not, what to do."""

from __future__ import annotations

import importlib.metadata
import os
import platform
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

import typer

from trials import __version__
from trials.cli.common import Common, common
from trials.cli.show import say, table
from trials.errors import HolewiseError

Outcome = Literal["ok", "look", "bad"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at: how it is, what was found, what to do."""

    what: str
    outcome: Outcome
    found: str
    do: str = ""


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
    """Check versions, data folder, database, ports and permissions, and say what to do."""
    shown = common(context)
    if upgrade:
        from trials.workbench import Workbench

        done = Workbench.upgrade(shown.data)
        say(str(done))
    findings = [_versions(), *_packages(), *_data_folder(shown), *_sending(shown), *_ports()]
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


def _data_folder(shown: Common) -> list[Finding]:
    from trials.workbench import Workbench

    try:
        with Workbench.open(shown.data) as bench:
            folder = bench.folder
            damage = bench.damage()
            trials = len(bench.trials())
    except HolewiseError as error:
        return [Finding("data folder", "bad", error.what, error.do or str(error))]
    findings = [Finding("data folder", "ok", str(folder)), _space(folder)]
    if damage:
        findings += [
            Finding("database", "bad", sentence, "Keep the file; restore a copy from 'backups'.")
            for sentence in damage
        ]
    else:
        findings.append(Finding("database", "ok", f"sound, {trials} trials"))
    return findings


def _sending(shown: Common) -> list[Finding]:
    """How sending to the shop stands, where a folder is sent from."""
    from trials.workbench import Workbench

    try:
        found = Workbench.forward_status(shown.data)
    except HolewiseError as error:
        return [Finding("sending", "bad", error.what, error.do or str(error))]
    if found is None:
        return []
    findings = []
    if found.by is None:
        do = "Start it: holewise forward --to … (or end it for good: remove forward.db)"
        findings.append(Finding("sending", "look", "no process sends to the shop", do))
    if found.linked is False:
        why = found.trouble or "the shop is not reached"
        findings.append(Finding("sending", "look", why, "All is kept here, and sent when it is."))
    held = [one for one in found.waiting if one.trouble]
    if held:
        text = f"{len(held)} held up: {held[0].what}: {held[0].trouble}"
        findings.append(Finding("sending", "bad", text, "holewise forward --status shows all."))
    if found.conflicts:
        text = f"{len(found.conflicts)} values were changed here and at the shop"
        findings.append(Finding("sending", "look", text, "holewise forward --status shows them."))
    waits = f"{len(found.waiting)} wait, the oldest for {found.lag_s:.0f} s"
    return findings or [Finding("sending", "ok", f"to {found.to}; {waits}")]


def _space(folder: Path) -> Finding:
    import shutil

    free_gib = shutil.disk_usage(folder).free / 2**30
    found = f"{free_gib:.1f} GiB free"
    if free_gib < 1:
        return Finding("disk space", "look", found, "A day of recording needs up to 1 GiB.")
    return Finding("disk space", "ok", found)


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

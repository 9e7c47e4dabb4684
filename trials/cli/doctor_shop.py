"""What ``holewise doctor`` looks at in a shop: from its data folder to its clock."""

from __future__ import annotations

import shutil
import stat
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from trials.errors import HolewiseError

if TYPE_CHECKING:
    from trials.workbench import Workbench

Outcome = Literal["ok", "look", "bad"]
DASHBOARD = "http://127.0.0.1:8050"
_LEAST_FREE_GIB = 1.0
_CLOCK_OFF_S = 5.0  # alarms and orders of entries are told apart by seconds


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at: how it is, what was found, what to do."""

    what: str
    outcome: Outcome
    found: str
    do: str = ""


def shop_findings(data: Path | None) -> Iterator[Finding]:
    """Every part of a shop, one after the other; one that fails keeps none from being looked at."""
    from trials.workbench import Workbench

    try:
        bench = Workbench.open(data)
    except HolewiseError as error:
        yield Finding("data folder", "bad", error.what, error.do or str(error))
    else:
        with bench:
            yield Finding("data folder", "ok", str(bench.folder))
            yield _space(bench.folder)
            for what, look in _PARTS.items():
                try:
                    yield from look(bench)
                except HolewiseError as error:
                    yield Finding(what, "bad", error.what, error.do or str(error))
    yield from _sending(data)


def _space(folder: Path) -> Finding:
    free_gib = shutil.disk_usage(folder).free / 2**30
    found = f"{free_gib:.1f} GiB free"
    if free_gib < _LEAST_FREE_GIB:
        return Finding("disk space", "look", found, "A day of recording needs up to 1 GiB.")
    return Finding("disk space", "ok", found)


def _store(bench: Workbench) -> Iterator[Finding]:
    damage = bench.damage()
    for sentence in damage:
        do = "Keep the file; restore a copy from 'backups'."
        yield Finding("database", "bad", sentence, do)
    if not damage:
        yield Finding("database", "ok", f"sound, {len(bench.trials())} trials")
    found = f"revision {bench.about().schema} in {bench.database_place}"
    yield Finding("tables", "ok", found)


def _files(bench: Workbench) -> Iterator[Finding]:
    """Traces and photos: here, on the object store, or gone."""
    place = bench.files_place
    if place is not None:
        bench.try_objects()
        yield Finding("object store", "ok", f"{place.address} can be written, read and cleared")
    waiting, nowhere = bench.files_waiting()
    if nowhere:
        elsewhere = "They may lie on the computer that recorded them; "
        do = ("let it run 'holewise files send'." if place is not None
              else "or rebuild them from their journals: holewise journal rebuild.")  # fmt: skip
        found = f"{len(nowhere)} are not here: {', '.join(nowhere[:3])}"
        yield Finding("traces", "look", found, elsewhere + do)
    if waiting:
        yield Finding("traces", "look", f"{waiting} are only here", "holewise files send")
    if not waiting and not nowhere:
        yield Finding("traces", "ok", "all there; each is checked when it is read")


def _journals(bench: Workbench) -> Iterator[Finding]:
    at_work = bench.health().recordings
    for one in at_work:
        run = f"run {one.run} of {one.trial}"
        if one.state == "cannot be read":
            yield Finding("journal", "bad", f"{run} cannot be read",
                          f"holewise journal verify {one.trial} --run {one.run}")  # fmt: skip
        elif one.holder is None:
            yield Finding("logger", "look", f"{run} was cut off, nothing is lost",
                          f"holewise log {one.trial} --run {one.run} --resume")  # fmt: skip
        elif one.stale:
            yield Finding("logger", "look", f"{run}: no new value for {one.age_s or 0:.0f} s",
                          "Is the source still sending?")  # fmt: skip
    yield Finding("loggers", "ok", f"{len(at_work)} recordings at work")


def _stations(bench: Workbench) -> Iterator[Finding]:
    for one in bench.stations():
        yield Finding("station", "ok", f"{one.name} sent last at {one.sent_utc:%Y-%m-%d %H:%M} UTC")


def _dashboard(bench: Workbench) -> Iterator[Finding]:
    for path in bench.private_files():
        if sys.platform != "win32" and stat.S_IMODE(path.stat().st_mode) & 0o077:
            yield Finding("dashboard", "bad", f"others can read {path}", f"chmod 600 {path}")
    people = len(bench.people())
    said = f"{people} people may sign in" if people else "this computer alone may look"
    yield Finding("dashboard", "ok", f"{said}; {_answers(f'{DASHBOARD}/health/live')}")


def _answers(address: str) -> str:
    try:
        with urllib.request.urlopen(address, timeout=1.0) as answer:  # noqa: S310 - our own address
            live = answer.read(100).strip() == b"live"
    except (OSError, urllib.error.URLError):
        live = False
    return f"one answers at {DASHBOARD}" if live else f"none answers at {DASHBOARD}"


def _clock(bench: Workbench) -> Iterator[Finding]:
    found = bench.clock()
    do = "Let the system set its clock by itself, for example with systemd-timesyncd or chrony."
    if found.ahead_s > _CLOCK_OFF_S:
        text = f"what was stored last is {found.ahead_s:.0f} s in the future"
        yield Finding("clock", "look", text, do)
    if abs(found.server_off_s or 0.0) > _CLOCK_OFF_S:
        text = f"the server's differs by {found.server_off_s:.0f} s"
        yield Finding("clock", "look", text, f"{do} On both computers.")
    yield Finding("clock", "ok", f"{found.now_utc:%Y-%m-%d %H:%M:%S} UTC")


_PARTS = {
    "database": _store, "traces": _files, "loggers": _journals, "stations": _stations,
    "dashboard": _dashboard, "clock": _clock,
}  # fmt: skip


def _sending(data: Path | None) -> Iterator[Finding]:
    """How sending to the shop stands, where a folder is sent from."""
    from trials.workbench import Workbench

    try:
        found = Workbench.forward_status(data)
    except HolewiseError as error:
        yield Finding("sending", "bad", error.what, error.do or str(error))
        return
    if found is None:
        return
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
    yield from findings or [Finding("sending", "ok", f"to {found.to}; {waits}")]

"""Send what a station records to the shop, round after round, whatever the network does."""

from __future__ import annotations

import contextlib
import random
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Literal

from trials.errors import HolewiseError, StoreError
from trials.store import (
    FileLock,
    Forwarder,
    ForwardRound,
    forward_lock,
    now_utc,
    shop_folder,
)

EventKind = Literal["reached", "lost", "sent", "waits", "differs"]
OnEvent = Callable[[EventKind, str], None]
OnShare = Callable[[float], None]

_LONGEST_PAUSE_S = 60.0
_NOTE_EVERY_S = 5.0


def forward(
    folder: Path | str | None, to: str, *, files: Path | str | None, every_s: float, once: bool,
    station: str, stop: threading.Event | None, on_event: OnEvent, on_share: OnShare | None = None,
    hurry_s: float = 30.0,
) -> ForwardRound:  # fmt: skip
    """See `trials.workbench.Workbench.forward`."""
    found = shop_folder(folder, create=False)
    stop = stop or threading.Event()
    with (
        FileLock(forward_lock(found), f"sending from {found.path}"),
        contextlib.closing(
            Forwarder(found, to, files=files, station=station, hurry_s=hurry_s, stop=stop)
        ) as forwarder,
    ):
        return _rounds(forwarder, every_s, once, stop, on_event, on_share)


def _rounds(
    forwarder: Forwarder, every_s: float, once: bool, stop: threading.Event, on_event: OnEvent,
    on_share: OnShare | None,
) -> ForwardRound:  # fmt: skip
    linked: bool | None = None
    failed, trouble = 0, ""
    noted_at = 0.0
    last = ForwardRound(0, 0, 0)

    def share(done: int, of: int) -> None:
        if on_share is not None:
            on_share(done / of)

    while True:
        try:
            last = forwarder.round(share)
        except HolewiseError as error:
            if stop.is_set() and not once:
                return last
            failed += 1
            if once:
                _note(forwarder, linked=False, changed=True, trouble=str(error))
                raise
            if linked is not False or str(error) != trouble:
                _note(forwarder, linked=False, changed=linked is not False, trouble=str(error))
                on_event("lost", str(error))
                trouble = str(error)
            linked = False
        else:
            now = time.monotonic()
            if linked is not True or last.sent or now - noted_at >= _NOTE_EVERY_S:
                _note(forwarder, linked=True, changed=linked is not True, trouble=None)
                noted_at = now
            if linked is not True:
                on_event("reached", forwarder.place)
            linked, failed, trouble = True, 0, ""
            if last.sent:
                on_event("sent", f"{last.sent}")
            if last.waiting:
                on_event("waits", f"{last.waiting}")
            if last.conflicts:
                on_event("differs", f"{last.conflicts}")
        if once or stop.wait(_pause_s(every_s, failed)):
            return last


def _pause_s(every_s: float, failed: int) -> float:
    """Longer after each failure, and never in step with the other stations of a shop."""
    if not failed:
        return every_s
    longest = min(_LONGEST_PAUSE_S, every_s * 2.0 ** min(failed, 10))
    return longest * random.uniform(0.5, 1.0)  # noqa: S311 - spreads load, no secret


def _note(forwarder: Forwarder, *, linked: bool, changed: bool, trouble: str | None) -> None:
    """Keep how it stands for others to read; a disk that refuses that stops nothing."""
    now = now_utc().isoformat()
    texts: dict[str, str | None] = {
        "tried": now, "trouble": trouble, "link": "up" if linked else "down",
    }  # fmt: skip
    if linked:
        texts["reached"] = now
    if changed:
        texts["link_since"] = now
    with contextlib.suppress(StoreError):
        forwarder.memory.note(**texts)

"""``holewise forward``: send what this station records to the shop's store."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import common
from trials.cli.ending import stop_on_signal
from trials.cli.show import say, table
from trials.cli.telling import tell
from trials.errors import InputError

if TYPE_CHECKING:
    from trials.store import ForwardStatus


_GIVES_WAY = 5


def add_to(app: typer.Typer) -> None:
    """Add this file's command."""
    app.command("forward")(forward)


def forward(
    context: typer.Context,
    to: Annotated[
        str | None,
        typer.Option(
            envvar="HOLEWISE_SHOP",
            help="The shop's store: postgresql://user@server/database, or its data folder.",
        ),
    ] = None,
    files: Annotated[
        str | None,
        typer.Option(
            envvar="HOLEWISE_SHOP_FILES",
            help="The shop's data folder, perhaps on a network share, or its object store "
            "(s3://bucket/shop, file:///mnt/share), for traces and photos; left out with a server, "
            "none are sent.",
        ),
    ] = None,
    every: Annotated[float, typer.Option(help="Seconds between looks.", min=0.1)] = 5.0,
    once: Annotated[bool, typer.Option("--once", help="Send what is new, and end.")] = False,
    status: Annotated[
        bool, typer.Option("--status", help="Say how sending stands, and what differs.")
    ] = False,
    seen: Annotated[
        bool, typer.Option("--seen", help="Mark the differences that --status told as seen.")
    ] = False,
    station: Annotated[
        str | None,
        typer.Option(
            envvar="HOLEWISE_STATION", help="Name of this station; left out: this computer's."
        ),
    ] = None,
) -> None:
    """Send what is recorded here to the shop, until Ctrl-C; recording never waits for it."""
    from trials.workbench import Workbench

    data = common(context).data
    if seen:
        say(f"{Workbench.forward_seen(data)} differences are marked as seen.")
        return
    if status:
        _say_status(Workbench.forward_status(data))
        return
    if to is None:
        raise InputError(
            "--to", got="nothing", allowed="postgresql://user@server/database, or a data folder",
            do="Say where the shop's store is, or set HOLEWISE_SHOP.",
        )  # fmt: skip
    if hasattr(os, "nice"):
        os.nice(_GIVES_WAY)  # to what records here, should the computer be short of time
    stop = stop_on_signal()
    last = Workbench.forward(
        data, to, files=files, every_s=every, once=once, station=station, stop=stop,
        on_event=_say_event,
    )  # fmt: skip
    if once and not last.sent and not last.waiting:
        say("Everything was sent before.")
    if once and last.waiting:
        say("See what holds it up: holewise forward --status")
        raise typer.Exit(1)


def _say_event(kind: str, text: str) -> None:
    words = {
        "reached": f"The shop is reached: {text}",
        "lost": f"The shop is not reached: {text} Trying again, all is kept here.",
        "sent": f"{text} sent.",
        "waits": f"{text} could not be sent and are tried again.",
        "differs": f"{text} differ at the shop: holewise forward --status",
    }
    level = "warning" if kind in ("lost", "waits", "differs") else "info"
    tell("forward", kind, words[kind], level=level)


def _say_status(found: ForwardStatus | None) -> None:
    if found is None:
        say("Nothing was ever sent from this data folder.")
        return
    say(f"Station {found.station} sends to {found.to}"
        + (f", files to {found.files}." if found.files else "."))  # fmt: skip
    say(f"Sending: {found.by}." if found.by else "No process sends now.")
    if found.linked is not None and found.linked_since_utc is not None:
        since = f"{found.linked_since_utc:%Y-%m-%d %H:%M:%S} UTC"
        say(f"The shop is {'reached' if found.linked else 'not reached'} since {since}.")
    if found.trouble:
        say(found.trouble)
    if found.reached_utc is not None:
        say(f"Reached last: {found.reached_utc:%Y-%m-%d %H:%M:%S} UTC.")
    if found.waiting:
        say(f"{len(found.waiting)} wait to be sent, the oldest for {found.lag_s:.0f} s.")
        table("Waits", ("what", "since, UTC", "why"), [
            (one.what, f"{one.since_utc:%Y-%m-%d %H:%M:%S}", one.trouble or "")
            for one in found.waiting[:50]
        ])  # fmt: skip
    else:
        say("Nothing waits.")
    if found.conflicts:
        table("Changed here and at the shop", ("told, UTC", "what"), [
            (f"{one.at_utc:%Y-%m-%d %H:%M:%S}", one.text) for one in found.conflicts
        ])  # fmt: skip
        say("When all were looked at: holewise forward --seen")

"""``holewise files``: traces and photos on an object store that a shop shares."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import workbench
from trials.cli.ending import stop_on_signal
from trials.cli.show import say
from trials.cli.show_progress import working
from trials.cli.telling import tell
from trials.errors import HolewiseError

if TYPE_CHECKING:
    from trials.store import FilesSent

app = typer.Typer(help="Traces and photos: in this folder alone, or on an object store too.")
_MOST_NAMES = 5


@app.command()
def show(context: typer.Context) -> None:
    """Say where traces and photos lie, and what waits to be sent."""
    with workbench(context) as bench:
        place = bench.files_place
        if place is None:
            say(f"All traces and photos are in {bench.folder}.")
            return
        say(f"Traces and photos are sent to {place.address}; up to {place.keep_gib:g} GiB of them "
            "stay here as well.")  # fmt: skip
        waiting, nowhere = bench.files_waiting()
        say(f"{waiting} wait to be sent: holewise files send" if waiting else "Nothing waits.")
        _say_nowhere(nowhere)


@app.command()
def use(
    context: typer.Context,
    address: Annotated[
        str,
        typer.Argument(
            help="s3://bucket/shop, or the full path of a shared folder, or 'folder' to have all "
            "in the data folder again."
        ),
    ],
    keep_gib: Annotated[
        float, typer.Option("--keep-gib", help="How much may stay here as well, GiB.")
    ] = 20.0,
) -> None:
    """Keep traces and photos on an object store; it is tried before, and nothing is sent yet."""
    with workbench(context) as bench:
        if address == "folder":
            with working("Fetching files") as told:
                count = bench.use_no_objects(told)
            say(f"All traces and photos are in {bench.folder} again, {count} of them fetched.")
            return
        place = bench.use_objects(address, keep_gib)
    say(f"{place.address} can be written, read and cleared.")
    say("Next: holewise files send, and let it run as a service; see docs/how-to/look-after-the-"
        "shop.md.")  # fmt: skip


@app.command()
def send(
    context: typer.Context,
    every: Annotated[
        float | None,
        typer.Option(help="Go on, with so many seconds between looks, until Ctrl-C.", min=1.0),
    ] = None,
) -> None:
    """Send traces and photos that are new; recording never waits for it."""
    stop = threading.Event() if every is None else stop_on_signal()
    said = ""
    while True:
        try:
            with workbench(context) as bench, working("Sending files") as told:
                done = bench.send_files(told)
        except HolewiseError as error:
            if every is None:
                raise
            if str(error) != said:  # once, not each time it is tried
                tell("files", "trouble", str(error), level="warning")
            said = str(error)
        else:
            if every is None or done.sent or said:
                _say_sent(done)
            said = ""
        if every is None or stop.wait(every):
            return


def _say_sent(done: FilesSent) -> None:
    tell("files", "sent", f"{done.sent} files sent, {done.size / 2**20:,.1f} MiB; {done.there} "
         f"were there already; {done.let_go} copies here made room.")  # fmt: skip
    _say_nowhere(done.nowhere)


def _say_nowhere(names: tuple[str, ...]) -> None:
    if names:
        more = f" and {len(names) - _MOST_NAMES} more" if len(names) > _MOST_NAMES else ""
        say(f"{len(names)} are neither here nor there, so another computer has still to send them: "
            f"{', '.join(names[:_MOST_NAMES])}{more}")  # fmt: skip

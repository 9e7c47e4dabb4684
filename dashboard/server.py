"""Serving the dashboard: waitress, on this machine only unless told otherwise."""

from __future__ import annotations

import contextlib
import logging
import socket
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING

import waitress

from dashboard.app import create_app
from dashboard.door import MOST_BYTES
from dashboard.memory import give_back, make_ready
from dashboard.sign_in import Rules, rules_for
from trials.errors import HolewiseError, SourceError

if TYPE_CHECKING:
    from trials.workbench import Workbench

# Each page beside a machine asks four times a second and is answered in a few milliseconds; who
# waits for a search holds a thread for seconds, and must not keep the others from theirs.
_THREADS = 24


def serve(
    workbench: Workbench,
    host: str = "127.0.0.1",
    port: int = 8050,
    *,
    rules: Rules | None = None,
    on_ready: Callable[[str], None] | None = None,
) -> None:
    """Serve the dashboard until the process is interrupted.

    Args:
        workbench: an open workbench.
        host: address to listen on; the default is reached from this machine only.
        rules: who has to sign in; left out, as `rules_for` decides for the address.
        port: 0 takes any free port.
        on_ready: called with the address once requests are accepted.

    Raises:
        SourceError: the address cannot be listened on.
        InputError: other computers reach the address, and nobody would have to sign in.
    """
    # It says so for each request that waits for a thread, which is nothing to act on.
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    give_back()
    application = create_app(workbench, rules or rules_for(workbench, host)).server
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        listening = socket.create_server((host, port), family=family)
    except OSError as error:
        raise SourceError(
            f"the dashboard cannot listen on {host}, port {port}",
            got=str(error),
            allowed="an address of this machine and a free port",
            do="Is another dashboard running? Choose another port with --port.",
        ) from error
    with listening:
        server = waitress.create_server(
            application, sockets=[listening], threads=_THREADS, ident=None,
            # A little more than the app takes, so that the app answers in words.
            max_request_body_size=MOST_BYTES + 2**20, max_request_header_size=32 * 1024,
            channel_timeout=60,
        )  # fmt: skip
        make_ready()
        looked = threading.Thread(target=_look_through, args=(workbench,), name="first look")
        looked.start()
        if on_ready is not None:
            on_ready(f"http://{_shown(host)}:{listening.getsockname()[1]}/")
        try:
            server.run()
        finally:
            server.close()
            looked.join()


def _look_through(workbench: Workbench) -> None:
    """Read all trials once before somebody asks: of a thousand that takes seconds, later none."""
    with contextlib.suppress(HolewiseError):  # a page that asks will say what is wrong
        workbench.trials()


def _shown(host: str) -> str:
    if host in ("0.0.0.0", "::"):  # noqa: S104 - compared, not bound
        return socket.gethostname()
    return f"[{host}]" if ":" in host else host

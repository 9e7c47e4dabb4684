"""The shop's database as a station reaches it: over a network that may hang, break or come late."""

from __future__ import annotations

import contextlib
import os
import socket
import threading
import time
import weakref
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sqlalchemy import event
from sqlalchemy.engine import URL

from trials.errors import InputError, StoreError
from trials.store import _schema as schema
from trials.store._address import server_address
from trials.store._engine import Database
from trials.store._folder import ShopFolder, shop_folder

# A server gives up on us, and holds no lock for us, when it hears nothing for so long.
_PATIENCE = {
    "keepalives": "1", "keepalives_idle": "10", "keepalives_interval": "5", "keepalives_count": "3",
    "tcp_user_timeout": "20000",
    "options": "-c statement_timeout=30s -c lock_timeout=10s "
    "-c idle_in_transaction_session_timeout=60s -c tcp_user_timeout=20000",
}  # fmt: skip
_GRACE_S = 3.0
ALLOWED = "postgresql://user@server/database, or the shop's data folder"


def place_of(to: str) -> tuple[URL | ShopFolder, str]:
    """Where to send: the address of a server, or a data folder; and how it is said.

    Raises:
        InputError: neither.
        StoreError: a folder that cannot be a data folder, such as one on a network drive.
    """
    if "://" in to:
        url = server_address(to)
        return url, url.render_as_string()
    if not to.strip():
        raise InputError("--to", got=to, allowed=ALLOWED)
    folder = shop_folder(Path(to))
    if folder.address.exists():
        return folder.url, folder.url.render_as_string()
    return folder, str(folder.database)


class Link:
    """The shop's database; nothing waits on it longer than `hurry_s`.

    Raises:
        StoreError: it cannot be reached or used.
    """

    def __init__(
        self, to: str, *, hurry_s: float = 30.0, stop: threading.Event | None = None
    ) -> None:
        """``stop`` cuts waiting short: what hangs is given up soon after it is set."""
        place, self.place = place_of(to)
        self._hurry_s = hurry_s
        self._stop = stop or threading.Event()
        url = place.url if isinstance(place, ShopFolder) else _patient(place)
        self.database = Database(url)
        self.database.place = self.place
        self._open: weakref.WeakSet[Any] = weakref.WeakSet()
        if not self.database.is_sqlite:
            for engine in (self.database._writer, self.database._reader.engine):
                event.listen(engine, "connect", lambda raw, _record: self._open.add(raw))

    def check(self) -> None:
        """Is it there, and are its tables those of this program? Makes them in an empty one.

        Raises:
            StoreError: not reached; or older or newer tables, with what mends that.
        """
        try:
            with self.in_time():
                schema.create_or_check(self.database)
        except StoreError as error:
            do = error.do or ""
            if schema.UPGRADE_COMMAND in do:
                do = f"On a computer of the shop: {do[0].lower()}{do[1:]} Sending waits until then."
            raise StoreError(error.what, got=error.got, allowed=error.allowed, do=do or None
                             ) from error  # fmt: skip

    @contextlib.contextmanager
    def in_time(self) -> Iterator[None]:
        """Break the link when what is done inside takes too long.

        The server's own limits do not help where answers no longer come, and the system waits for
        hours.
        """
        if self.database.is_sqlite:
            yield
            return
        done = threading.Event()
        watch = threading.Thread(target=self._watch, args=(done,), name="forward patience")
        watch.start()
        try:
            yield
        finally:
            done.set()
            watch.join()

    def _watch(self, done: threading.Event) -> None:
        last = time.monotonic() + self._hurry_s
        while not done.wait(0.25):
            if self._stop.is_set():
                last = min(last, time.monotonic() + _GRACE_S)
                done.wait(max(0.0, last - time.monotonic()))
                last = time.monotonic()
            if not done.is_set() and time.monotonic() >= last:
                self._break()

    def _break(self) -> None:
        for raw in list(self._open):
            with contextlib.suppress(Exception):  # it may be closing itself at this moment
                if not raw.closed:
                    with socket.socket(fileno=os.dup(raw.fileno())) as line:
                        line.shutdown(socket.SHUT_RDWR)

    def close(self) -> None:
        """Give back every connection."""
        self.database.close()


def _patient(url: URL) -> URL:
    missing = {name: value for name, value in _PATIENCE.items() if name not in url.query}
    return url.update_query_dict(missing)

"""A station and its shop: send what is recorded here, and how that stands."""

from __future__ import annotations

import socket
from pathlib import Path
from typing import TYPE_CHECKING

from trials.store import forward_seen, forward_status, shop_folder

if TYPE_CHECKING:
    import threading

    from trials.store import ForwardRound, ForwardStatus
    from trials.workbench._forward import OnEvent, OnShare


class ForwardFace:
    """Store and forward; see `trials.workbench.Workbench`."""

    @staticmethod
    def forward(
        folder: Path | str | None, to: str, *, files: Path | str | None = None,
        every_s: float = 5.0, once: bool = False, station: str | None = None,
        stop: threading.Event | None = None,
        on_event: OnEvent = lambda _kind, _text: None, on_share: OnShare | None = None,
    ) -> ForwardRound:  # fmt: skip
        """Send what is new in a data folder to the shop, until told to stop; the last round.

        Recording goes on beside it and never waits for it. It tries again after every failure.

        Args:
            folder: the station's data folder.
            to: ``postgresql://user@server/database``, or the shop's data folder.
            files: the shop's data folder or object store, for traces and photos; None takes the
                folder of ``to``, and where that is a server, sends no files.
            every_s: pause between rounds, s.
            once: one round, whose failure is raised.
            station: its name; None takes this computer's.
            stop: ends it in good order.
            on_event: told when the shop is reached or lost, what was sent, what waits, and how
                many values differ.
            on_share: told how much of a round is done, 0 to 1.

        Raises:
            ConflictError: another process sends from this folder.
        """
        from trials.workbench._forward import forward

        return forward(
            folder, to, files=files, every_s=every_s, once=once,
            station=station or socket.gethostname(), stop=stop, on_event=on_event,
            on_share=on_share,
        )  # fmt: skip

    @staticmethod
    def forward_status(folder: Path | str | None) -> ForwardStatus | None:
        """How sending from a data folder stands; None when nothing was ever sent from it."""
        return forward_status(shop_folder(folder, create=False))

    @staticmethod
    def forward_seen(folder: Path | str | None) -> int:
        """Mark the differences that were told as seen; how many there were."""
        return forward_seen(shop_folder(folder, create=False))

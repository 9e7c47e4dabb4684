"""One pass told to a listener: every line when it is due, on the machine's own clock."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator

from trials.simulator.arguments import Command, split_address
from trials.simulator.drilling import DrilledHole, drill_holes
from trials.simulator.files import lines_of, recording
from trials.simulator.links import Link, ListenerGoneError, PtyLink, TcpLink

_SLEEP_AT_MOST_S = 0.05
_LINES_AT_ONCE = 50


def open_link(address: str) -> Link:
    """A pseudo-terminal for ``pty``, else TCP at ``host:port``."""
    return PtyLink() if address == "pty" else TcpLink(*split_address(address))


def tell(command: Command, say: Callable[[str], None]) -> None:
    """Drill one run and tell it; ``say`` gets the address before anyone is waited for.

    Raises:
        InputError: an address or a file cannot be used.
        SourceError: nobody listened in time.
        ListenerGoneError: the listener left and ``reconnect`` is off.
    """
    link = open_link(command.link)
    try:
        with recording(
            command.csv, command.notes, command.labels, with_depth=command.with_depth
        ) as files:
            say(link.address)
            link.wait_for_listener(command.wait_s)
            holes = drill_holes(command.job, command.watch, command.signal, seed=command.seed)
            began = time.monotonic()
            for hole in holes:
                lines = lines_of(hole, with_depth=command.with_depth)
                for part in _when_due(hole, lines, began, command.speed_up):
                    _send(link, part, command)
                files.add(hole)
            link.hang_up()
    finally:
        link.close()


def _send(link: Link, part: bytes, command: Command) -> None:
    """A machine does not say anything twice: what was on its way to a lost listener is lost."""
    try:
        link.send(part)
    except ListenerGoneError:
        if not command.reconnect:
            raise
        link.wait_for_listener(command.wait_s)


def _when_due(
    hole: DrilledHole, lines: list[str], began: float, speed_up: float
) -> Iterator[bytes]:
    """The lines of a hole in parts, each part given out when its first line is due."""
    if speed_up == 0:
        for first in range(0, len(lines), _LINES_AT_ONCE):
            yield "".join(lines[first : first + _LINES_AT_ONCE]).encode("ascii")
        return
    times: Iterable[float] = hole.samples.time_s.tolist()
    waiting: list[str] = []
    for time_s, line in zip(times, lines, strict=True):
        due = began + time_s / speed_up
        ahead = due - time.monotonic()
        if ahead > 0 and waiting:
            yield "".join(waiting).encode("ascii")
            waiting = []
        while (ahead := due - time.monotonic()) > 0:
            time.sleep(min(ahead, _SLEEP_AT_MOST_S))
        waiting.append(line)
    if waiting:
        yield "".join(waiting).encode("ascii")

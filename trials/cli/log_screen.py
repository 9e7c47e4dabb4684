"""The live terminal view at work: a thread that draws and hears keys, beside the recording.

The recording only leaves its newest `Progress` here and never waits: a terminal that is slow or
stopped holds up the view alone. The terminal is put back on any end that a program can see.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from types import TracebackType
from typing import TYPE_CHECKING, Any

from trials.cli.log_view import Head, Look, draw
from trials.cli.show import console
from trials.cli.telling import tell, tells_json
from trials.errors import HolewiseError

if TYPE_CHECKING:
    from rich.console import Console
    from rich.live import Live

    from trials.workbench import Progress

_DRAW_EVERY_S = 0.1
_BELL_EVERY_S = 3.0
_MESSAGE_S = 4.0
_JOIN_S = 3.0


def fit_for_a_view() -> bool:
    """Whether standard output is a terminal that a view can be drawn on."""
    return sys.stdout.isatty() and not tells_json() and os.environ.get("TERM", "") != "dumb"


class PlainLines:
    """The recording as it goes when piped: a line for each hole, alarm, gap and trouble."""

    def __init__(self, limit_pct: float) -> None:
        self._limit_pct = limit_pct
        self._holes = 0
        self._gaps = 0
        self._broken: str | None = None
        self._trouble: str | None = None
        self._alarms: set[int] = set()

    def __enter__(self) -> PlainLines:
        return self

    def __exit__(self, *error: object) -> None:
        """Nothing to put back."""

    def update(self, progress: Progress) -> None:
        """Say what is new."""
        if progress.holes > self._holes:
            new = progress.holes - self._holes
            for place in range(min(new, len(progress.peaks_pct)), 0, -1):
                number = progress.holes - place + 1
                peak = progress.peaks_pct[-place]
                self._say(
                    "hole",
                    f"hole {number}: peak {peak:.1f} % "
                    f"(limit {self._limit_pct:g} %), {progress.samples} samples",
                    hole=number, peak_pct=round(peak, 2), samples=progress.samples,
                )  # fmt: skip
            self._holes = progress.holes
        if progress.broken is not None and progress.broken != self._broken:
            self._say("broken", f"! no values: {progress.broken}", level="warning")
        elif progress.broken is None and self._broken is not None:
            self._say("restored", "values come again")
        self._broken = progress.broken
        if progress.trouble and progress.trouble != self._trouble:
            self._say("trouble", f"! {progress.trouble}", level="warning")
        self._trouble = progress.trouble
        standing = {alarm.number for alarm in progress.alarms}
        for alarm in progress.alarms:
            if alarm.number not in self._alarms:
                self._say("alarm", f"ALARM {alarm.text}", level="warning")
        if self._alarms and not standing:
            self._say("quiet", "no alarm stands any more")
        self._alarms = standing

    def _say(self, event: str, text: str, *, level: str = "info", **more: object) -> None:
        tell("recording", event, text, level=level, **more)
        with contextlib.suppress(OSError, ValueError):
            sys.stdout.flush()


class Screen:
    """The view on a terminal; use it as a context manager.

    Args:
        head: what stays the same.
        acknowledge: called for the key ``a``, beside the recording; says how many alarms it were.
        sound: ring the terminal's bell while an alarm stands.
    """

    def __init__(self, head: Head, acknowledge: Callable[[], int], *, sound: bool = True) -> None:
        self._head = head
        self._acknowledge = acknowledge
        self._sound = sound
        self._console: Console = console()
        self._blocks = _can_show("█┃┄", self._console)
        self._progress: Progress | None = None
        self._told_at = time.monotonic()
        self._frozen: Progress | None = None
        self._paused = False
        self._message = ("", 0.0)
        self._bell_at = 0.0
        self._rung: set[int] = set()
        self._end = threading.Event()
        self._keys = _Keys()
        self._live: Live | None = None
        self._thread = threading.Thread(target=self._work, name="log-view", daemon=True)

    def __enter__(self) -> Screen:
        from rich.live import Live

        self._keys.begin()
        self._live = Live(console=self._console, screen=True, auto_refresh=False,
                          redirect_stdout=False, redirect_stderr=False)  # fmt: skip
        self._live.start()
        atexit.register(self._restore)
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._end.set()
        self._thread.join(_JOIN_S)
        self._restore()
        atexit.unregister(self._restore)

    def _restore(self) -> None:
        self._keys.end()
        live, self._live = self._live, None
        if live is not None:
            with contextlib.suppress(OSError, ValueError):
                live.stop()

    def update(self, progress: Progress) -> None:
        """Leave how the recording stands; called by the recording, which never waits here."""
        self._told_at = time.monotonic()
        self._progress = progress

    # -- in the view's thread -------------------------------------------------------------------

    def _work(self) -> None:
        while not self._end.is_set():
            for key in self._keys.pressed(_DRAW_EVERY_S):
                self._press(key)
            if self._end.is_set():
                return
            with contextlib.suppress(OSError, ValueError):  # a terminal that went away
                self._ring()
                self._draw()

    def _press(self, key: str) -> None:
        if key == "p":
            self._paused = not self._paused
            self._frozen = self._progress if self._paused else None
        elif key == "a":
            try:
                count = self._acknowledge()
                said = "No alarm stands." if count == 0 else "Acknowledged, and kept with the run."
            except HolewiseError as error:
                said = str(error)
            self._message = (said, time.monotonic() + _MESSAGE_S)

    def _ring(self) -> None:
        """The bell at once for a new alarm, and again while one stands."""
        standing = set() if self._progress is None else {a.number for a in self._progress.alarms}
        now = time.monotonic()
        if self._sound and standing and (standing - self._rung or now >= self._bell_at):
            self._console.bell()
            self._bell_at = now + _BELL_EVERY_S
        self._rung = standing

    def _draw(self) -> None:
        from rich.console import Group

        live, progress = self._live, self._progress
        if live is None:
            return
        frozen = self._frozen
        if frozen is not None and progress is not None:
            # Alarms break through a paused view, and it says that the recording goes on.
            from dataclasses import replace

            progress = replace(frozen, alarms=progress.alarms, samples=progress.samples)
        size = self._console.size
        message, until = self._message
        now = time.monotonic()
        look = Look(
            size.width, size.height, 0.0 if frozen is not None else now - self._told_at,
            self._paused, message if now < until else "", self._blocks,
        )  # fmt: skip
        live.update(Group(*draw(self._head, progress, look)), refresh=True)


def _can_show(text: str, target: Console) -> bool:
    try:
        text.encode(target.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


class _Keys:
    """Single keys from the terminal, where standard input is one and this process may read it."""

    def __init__(self) -> None:
        self._saved: Any = None
        self._descriptor = -1
        self._handlers: list[tuple[int, Any]] = []

    def begin(self) -> None:
        """Take keys as they are pressed; a key that would stop the process stops nothing."""
        if sys.platform == "win32":
            return
        import termios
        import tty

        # Stopped by the terminal, the process would record no more.
        for name in ("SIGTSTP", "SIGTTIN", "SIGTTOU"):
            number = getattr(signal, name)
            if threading.current_thread() is threading.main_thread():
                self._handlers.append((number, signal.signal(number, signal.SIG_IGN)))
        try:
            descriptor = sys.stdin.fileno()
            if not os.isatty(descriptor) or os.tcgetpgrp(descriptor) != os.getpgrp():
                return
            self._saved = termios.tcgetattr(descriptor)
            self._descriptor = descriptor
            tty.setcbreak(descriptor, termios.TCSANOW)
        except (OSError, ValueError, termios.error):
            self._saved = None

    def end(self) -> None:
        """Put the terminal back; more than once does no harm."""
        if sys.platform == "win32":
            return
        import termios

        saved, self._saved = self._saved, None
        if saved is not None:
            with contextlib.suppress(OSError, termios.error):
                termios.tcsetattr(self._descriptor, termios.TCSANOW, saved)
        for number, handler in self._handlers:
            if threading.current_thread() is threading.main_thread():
                signal.signal(number, handler)
        self._handlers = []

    def pressed(self, timeout_s: float) -> str:
        """Keys pressed since the last call, waiting at most so long for the first."""
        if sys.platform == "win32":
            import msvcrt

            time.sleep(timeout_s)
            keys = ""
            while msvcrt.kbhit():
                keys += msvcrt.getwch()
            return keys
        import select

        if self._saved is None:
            time.sleep(timeout_s)
            return ""
        try:
            ready, _, _ = select.select([self._descriptor], [], [], timeout_s)
            if not ready:
                return ""
            data = os.read(self._descriptor, 64)
        except (OSError, ValueError):
            time.sleep(timeout_s)
            return ""
        if not data:  # the terminal has gone
            time.sleep(timeout_s)
        return data.decode("ascii", "ignore")

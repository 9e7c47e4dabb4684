"""Where an alarm goes beside the screen: a file that says how it stands, a command that is run.

Both work in a thread of their own: the recording never waits for them.
"""

from __future__ import annotations

import contextlib
import os
import queue
import shlex
import shutil
import signal
import subprocess
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, Protocol

from trials.errors import InputError

AlarmState = Literal["raised", "over", "acknowledged"]
COMMAND_LIMIT_S = 10.0
_MOST_WAITING = 20


@dataclass(frozen=True, slots=True)
class AlarmNews:
    """What happened to an alarm, and what stands after it.

    Args:
        state: ``raised``, ``over`` (what raised it has passed) or ``acknowledged``.
        kind, text: of the alarm.
        trial, run: where; hole, load_pct: what it is about, where known.
        standing: sentences of all alarms that nobody has acknowledged, the newest last.
    """

    state: AlarmState
    kind: str
    text: str
    trial: str
    run: int
    hole: int | None = None
    load_pct: float | None = None
    standing: tuple[str, ...] = ()

    def environment(self) -> dict[str, str]:
        """The same as environment variables, all beginning with ``HOLEWISE_ALARM``."""
        values = {
            "": self.state, "_KIND": self.kind, "_TEXT": self.text, "_TRIAL": self.trial,
            "_RUN": self.run, "_HOLE": self.hole, "_LOAD_PCT": self.load_pct,
            "_STANDING": len(self.standing),
        }  # fmt: skip
        return {
            f"HOLEWISE_ALARM{name}": "" if value is None else str(value)
            for name, value in values.items()
        }


class Outlet(Protocol):
    """Something that is told about alarms."""

    def send(self, news: AlarmNews) -> None:
        """Take news; returns at once and never raises."""

    def close(self) -> list[str]:
        """Deliver what waits, within limits; sentences about what went wrong."""


class AlarmFile:
    """A text file with a line for each alarm that stands; empty while none does.

    It is replaced as a whole, so that whoever reads it never sees half of it.

    Raises:
        InputError: it cannot be written when the recording starts.
    """

    def __init__(self, path: Path) -> None:
        self._path = path.absolute()
        self._newest: tuple[str, ...] = ()
        self._troubles: list[str] = []
        self._change = threading.Event()
        self._stop = False
        try:
            self._write(())
        except OSError as error:
            raise InputError(
                f"alarm file {path}", got=error.strerror or str(error),
                allowed="a file that can be written", do="Choose another with --alarm-file.",
            ) from None  # fmt: skip
        self._thread = threading.Thread(target=self._work, name="alarm-file", daemon=True)
        self._thread.start()

    def send(self, news: AlarmNews) -> None:
        self._newest = news.standing
        self._change.set()

    def close(self) -> list[str]:
        self._stop = True
        self._change.set()
        self._thread.join(timeout=COMMAND_LIMIT_S)
        return self._troubles

    def _work(self) -> None:
        while not self._stop or self._change.is_set():
            self._change.wait()
            self._change.clear()
            try:
                self._write(self._newest)
            except OSError as error:
                trouble = f"alarm file {self._path}: {error.strerror or error}"
                if trouble not in self._troubles:
                    self._troubles.append(trouble)

    def _write(self, lines: tuple[str, ...]) -> None:
        partial = self._path.with_name(f"{self._path.name}.partial-{os.getpid()}")
        try:
            partial.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
            partial.replace(self._path)
        finally:
            partial.unlink(missing_ok=True)


class AlarmCommand:
    """Runs a command when an alarm is raised, is over or is acknowledged.

    No shell: the text is split into a program and its arguments. What it is about stands in the
    environment (`AlarmNews.environment`). One at a time, each for at most ten seconds, then it is
    ended with all that it started; when many wait, the oldest are left out.

    Raises:
        InputError: the text cannot be split, or there is no such program.
    """

    def __init__(self, text: str, *, limit_s: float = COMMAND_LIMIT_S) -> None:
        self._arguments = _arguments(text)
        self._limit_s = limit_s
        self._waiting: queue.Queue[AlarmNews | None] = queue.Queue()
        self._troubles: list[str] = []
        self._thread = threading.Thread(target=self._work, name="alarm-command", daemon=True)
        self._thread.start()

    def send(self, news: AlarmNews) -> None:
        while self._waiting.qsize() >= _MOST_WAITING:
            with contextlib.suppress(queue.Empty):
                self._waiting.get_nowait()
                self._trouble("too many alarms waited for it; the oldest were left out")
        self._waiting.put(news)

    def close(self) -> list[str]:
        self._waiting.put(None)
        self._thread.join(timeout=2 * self._limit_s)
        return self._troubles

    def _work(self) -> None:
        while (news := self._waiting.get()) is not None:
            try:
                self._run(news)
            except OSError as error:
                self._trouble(error.strerror or str(error))

    def _run(self, news: AlarmNews) -> None:
        process = subprocess.Popen(  # noqa: S603 - the command that the user asked for
            self._arguments,
            env={**os.environ, **news.environment()},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        try:
            status = process.wait(self._limit_s)
        except subprocess.TimeoutExpired:
            _end(process)
            self._trouble(f"it took longer than {self._limit_s:g} s and was ended")
        else:
            if status != 0:
                self._trouble(f"it ended with status {status}")

    def _trouble(self, what: str) -> None:
        text = f"alarm command {self._arguments[0]}: {what}"
        if text not in self._troubles:
            self._troubles.append(text)


def _arguments(text: str) -> list[str]:
    try:
        arguments = shlex.split(text, posix=os.name == "posix")
    except ValueError as error:
        raise InputError(
            "alarm command", got=f"{text} ({error})", allowed="a program and its arguments"
        ) from None
    if not arguments or shutil.which(arguments[0]) is None:
        raise InputError(
            "alarm command", got=text, allowed="a program that is there, and its arguments",
            do="It is not given to a shell: put what needs one into a script.",
        )  # fmt: skip
    return arguments


def _end(process: subprocess.Popen[bytes]) -> None:
    """End a process and whatever it started."""
    if os.name == "posix":
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
    else:
        process.kill()
    process.wait()

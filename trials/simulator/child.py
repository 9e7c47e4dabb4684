"""The simulator started as a process of its own, for the demo and the tests."""

from __future__ import annotations

import subprocess
import sys
import threading
from types import TracebackType

from trials.errors import SourceError
from trials.simulator.arguments import Command, write_arguments

_STARTS_WITHIN_S = 30.0


class SimulatorProcess:
    """Starts ``python -m trials.simulator`` and stops it again when left.

    ``address`` is what it says it talks on: ``tcp://host:port`` or the path of a pseudo-terminal.

    Raises:
        SourceError: it did not start; its own message is in the error.
    """

    def __init__(self, command: Command) -> None:
        self._process = subprocess.Popen(  # noqa: S603 - our own module, arguments we wrote
            [sys.executable, "-m", "trials.simulator", *write_arguments(command)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )
        impatience = threading.Timer(_STARTS_WITHIN_S, self._process.kill)
        impatience.start()
        try:
            assert self._process.stdout is not None  # noqa: S101 - asked for above
            self.address = self._process.stdout.readline().strip()
        finally:
            impatience.cancel()
            impatience.join()
        if not self.address:
            _, errors = self._process.communicate()
            raise SourceError(f"the simulator did not start: {errors.strip() or 'it said nothing'}")

    @property
    def pid(self) -> int:
        """Number of the process."""
        return self._process.pid

    def running(self) -> bool:
        """Whether it still has something to say."""
        return self._process.poll() is None

    def wait(self, timeout_s: float | None = None) -> int:
        """Wait until it has told everything; its exit code, 0 when all of it was sent.

        Raises:
            SourceError: it was still running after ``timeout_s``.
        """
        try:
            self._process.communicate(timeout=timeout_s)
        except subprocess.TimeoutExpired:
            raise SourceError(f"the simulator was still running after {timeout_s:g} s") from None
        return self._process.returncode

    def close(self) -> None:
        """Stop it if it still runs, and let go of its pipes."""
        if self._process.poll() is None:
            self._process.terminate()
        try:
            self._process.communicate(timeout=10.0)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.communicate()

    def __enter__(self) -> SimulatorProcess:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

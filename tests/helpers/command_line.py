"""Run the command line inside the test's process, as a shell would see it."""

from __future__ import annotations

import contextlib
import io
import os
import signal
import sys
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from trials.cli.app import main
from trials.cli.ending import ENDING


@dataclass(frozen=True, slots=True)
class Answer:
    """What a command answered: exit status, standard output, standard error."""

    status: int
    out: str
    err: str


@contextlib.contextmanager
def _as_a_process_of_its_own() -> Iterator[None]:
    """Undo what a command does to its process: giving way to others, ending on a signal."""
    here = threading.current_thread() is threading.main_thread()
    before = {one: signal.getsignal(one) for one in ENDING} if here else {}
    with mock.patch.object(os, "nice", create=True):
        try:
            yield
        finally:
            for one, handler in before.items():
                signal.signal(one, handler)


def holewise(*arguments: str | Path, data: Path) -> Answer:
    """Run ``holewise --data DATA ARGUMENTS``."""
    out, err = io.StringIO(), io.StringIO()
    line = ["holewise", "--data", str(data), *map(str, arguments)]
    status = 0
    with (
        mock.patch.object(sys, "argv", line),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        _as_a_process_of_its_own(),
    ):
        try:
            main()
        except SystemExit as left:
            status = left.code if isinstance(left.code, int) else int(left.code is not None)
    return Answer(status, out.getvalue(), err.getvalue())

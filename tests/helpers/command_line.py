"""Run the command line inside the test's process, as a shell would see it."""

from __future__ import annotations

import contextlib
import io
import sys
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from trials.cli.app import main


@dataclass(frozen=True, slots=True)
class Answer:
    """What a command answered: exit status, standard output, standard error."""

    status: int
    out: str
    err: str


def holewise(*arguments: str | Path, data: Path) -> Answer:
    """Run ``holewise --data DATA ARGUMENTS``."""
    out, err = io.StringIO(), io.StringIO()
    line = ["holewise", "--data", str(data), *map(str, arguments)]
    status = 0
    with (
        mock.patch.object(sys, "argv", line),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            main()
        except SystemExit as left:
            status = left.code if isinstance(left.code, int) else int(left.code is not None)
    return Answer(status, out.getvalue(), err.getvalue())

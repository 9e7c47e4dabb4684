"""What commands that run for hours tell: lines for a person, or JSON records for a log store.

Both go through the standard library's logging. A record never holds a password, a price or who
somebody is; of an unexpected error it says the kind and the places in the program, not the text.
"""

from __future__ import annotations

import json
import logging
import sys
import traceback
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

from trials.cli.show import say
from trials.errors import require

LogFormat = Literal["text", "json"]
LEVELS = ("debug", "info", "warning", "error")
_PROGRAM = "holewise"
_OURS = (_PROGRAM, "dashboard")
# What every record has by itself; anything else was added by whoever logs it.
_USUAL = frozenset(vars(logging.makeLogRecord({}))) | {"message", "asctime", "taskName", "plain"}


class JsonLines(logging.Formatter):
    """One JSON object a line: ``time level logger event message`` and what was added by name."""

    def format(self, record: logging.LogRecord) -> str:
        """See `logging.Formatter.format`."""
        said: dict[str, object] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "process": record.process,
            # Some tell a terminal more than a log that is kept may hold.
            "message": getattr(record, "plain", None) or record.getMessage(),
        }
        said |= {key: value for key, value in vars(record).items() if key not in _USUAL}
        if record.exc_info is not None and record.exc_info[0] is not None:
            said["error"] = record.exc_info[0].__name__
            said["where"] = [
                f"{Path(frame.filename).name}:{frame.lineno} {frame.name}"
                for frame in traceback.extract_tb(record.exc_info[2])
            ]
        return json.dumps(said, ensure_ascii=False, default=str)


class _OnStderr(logging.StreamHandler):  # type: ignore[type-arg]
    """Writes to whatever standard error is at the moment."""

    def emit(self, record: logging.LogRecord) -> None:
        self.stream = sys.stderr
        super().emit(record)


class _AsLines(logging.Handler):
    """What the program itself tells, as lines on standard output."""

    def emit(self, record: logging.LogRecord) -> None:
        say(record.getMessage())


def set_up_logs(log_format: str, level: str) -> None:
    """Decide once, before a command runs, how it tells.

    Raises:
        InputError: no such format or level.
    """
    require(log_format in ("text", "json"), "--log-format", log_format, "text or json")
    require(level in LEVELS, "--log-level", level, "one of " + ", ".join(LEVELS))
    root, program = logging.getLogger(), logging.getLogger(_PROGRAM)
    for logger in (root, program):
        for handler in [one for one in logger.handlers if isinstance(one, _OnStderr | _AsLines)]:
            logger.removeHandler(handler)
    as_json = log_format == "json"
    program.setLevel(logging.INFO)
    program.propagate = as_json
    if as_json:
        handler = _OnStderr()
        handler.setFormatter(JsonLines())
        root.addHandler(handler)
        for name in _OURS:  # of the libraries, only what asks for a look
            logging.getLogger(name).setLevel(level.upper())
    else:
        program.addHandler(_AsLines())


def tell(part: str, event: str, text: str, *, level: str = "info", **more: object) -> None:
    """Tell what happened: ``text`` for a person, the rest for a program that reads the log.

    Args:
        part: of the program, such as ``forward``.
        event: one word for what happened.
        level: one of `LEVELS`.
        more: numbers and names worth searching for.
    """
    number = logging.getLevelNamesMapping()[level.upper()]
    logging.getLogger(f"{_PROGRAM}.{part}").log(number, text, extra={"event": event, **more})


def tells_json() -> bool:
    """Whether records are told rather than lines; then no view is drawn either."""
    return logging.getLogger(_PROGRAM).propagate

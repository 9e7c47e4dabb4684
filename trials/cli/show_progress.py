"""A bar for what takes over a second: on a terminal only, and on standard error."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

_SHOW_AFTER_S = 1.0


@contextmanager
def working(what: str) -> Iterator[Callable[[float], None]]:
    """Give a function that takes the share done; a bar shows once a second has passed.

    Args:
        what: what is being worked out.
    """
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

    began = time.monotonic()
    bar = Progress(
        TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(),
        console=Console(stderr=True, markup=False), transient=True,
    )  # fmt: skip
    task = bar.add_task(what, total=1.0)

    def told(share: float) -> None:
        if not bar.live.is_started and time.monotonic() - began > _SHOW_AFTER_S:
            bar.start()
        bar.update(task, completed=share)

    try:
        yield told
    finally:
        bar.stop()

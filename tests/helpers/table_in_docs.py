"""Tables of measured figures, printed and put between marks of a document."""

from __future__ import annotations

import os
import platform
from collections.abc import Iterable, Sequence
from pathlib import Path


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table as documents have it."""
    lines = [head, ["---"] * len(head), *rows]
    return "".join(f"| {' | '.join(map(str, line))} |\n" for line in lines)


def between_marks(page: Path, mark: str = "figures") -> str:
    """What stands between ``<!-- mark -->`` and its end in a file."""
    _, rest = page.read_text("utf-8").split(f"<!-- {mark} -->\n")
    return rest.split(f"<!-- end of {mark} -->")[0]


def put(text: str, write: Path | None, mark: str = "figures") -> None:
    """Print a table, and put it between ``<!-- mark -->`` and its end in a file."""
    print(text)
    if write is None:
        return
    page = write.read_text("utf-8")
    first, last = f"<!-- {mark} -->\n", f"<!-- end of {mark} -->"
    before, rest = page.split(first)
    after = rest.split(last)[1]
    where = f"{platform.system()}, {os.cpu_count()} cores, Python {platform.python_version()}"
    write.write_text(f"{before}{first}Measured on: {where}.\n\n{text}{last}{after}", "utf-8")

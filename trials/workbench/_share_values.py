"""What the workbench answers when a trial is shared."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Exported:
    """A written package: where, its length in bytes, traces in it, and what was removed."""

    path: Path
    size_bytes: int
    traces: int
    removed: tuple[str, ...]

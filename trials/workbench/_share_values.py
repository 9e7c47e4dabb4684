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


@dataclass(frozen=True, slots=True)
class Difference:
    """One value that is another here than in a package: where, which field, and both values."""

    place: str
    field: str
    here: str
    there: str


@dataclass(frozen=True, slots=True)
class PackagePreview:
    """What taking in a package does, or did.

    Args:
        file: its name; trial: the name that the trial has here.
        new_trial: whether it begins a trial; runs: how many the package has.
        new_runs: numbers of those that are not here yet.
        differences: values of the same runs that were changed on one side or on both.
        licence: terms for passing it on; removed: what its sender left out.
    """

    file: str
    trial: str
    new_trial: bool
    runs: int
    new_runs: tuple[int, ...]
    differences: tuple[Difference, ...]
    licence: str
    removed: tuple[str, ...]

    @property
    def nothing_to_do(self) -> bool:
        """Everything in it is here already, as it is there."""
        return not (self.new_trial or self.new_runs or self.differences)

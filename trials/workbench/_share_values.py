"""What the workbench answers when a trial is shared."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from trials.model import CuttingData


@dataclass(frozen=True, slots=True)
class Exported:
    """A written package: where, its length in bytes, traces and photos in it, what was removed."""

    path: Path
    size_bytes: int
    traces: int
    photos: int
    removed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Difference:
    """One value that is another here than in a package.

    Args:
        place: ``trial`` or ``run 3``; field: which of its values.
        here, there: both values, as text.
        takeable: whether the other one can be taken; false where parts of it were left out, or
            both sides recorded the same run.
    """

    place: str
    field: str
    here: str
    there: str
    takeable: bool = True

    @property
    def key(self) -> str:
        """What a person calls it by: ``run 3, end``."""
        return f"{self.place}, {self.field}"


@dataclass(frozen=True, slots=True)
class ProposalShown:
    """Cutting data that somebody proposes, with what this shop says of them.

    Args:
        number: counted from 1; 0 while it is not taken in.
        drill, cutting_data, why: what is proposed; made_by, made_utc, came_from: its origin.
        problem: why it cannot be drilled here; empty when it can.
        run: the run that it became.
    """

    number: int
    drill: str
    cutting_data: CuttingData
    why: str
    made_by: str
    made_utc: datetime | None
    came_from: str
    problem: str
    run: int | None = None


@dataclass(frozen=True, slots=True)
class RemarkShown:
    """What somebody remarked on a run, or with None on the whole trial."""

    run: int | None
    text: str
    made_by: str
    made_utc: datetime | None
    came_from: str


@dataclass(frozen=True, slots=True)
class PackagePreview:
    """What taking in a package does, or did.

    Args:
        file: its name; trial: the name that the trial has here.
        new_trial: whether it begins a trial; runs: how many the package has.
        new_runs: numbers, here, of those that are not here yet; renumbered: number there and here
            of those whose number was another run's.
        differences: values of the same runs that were changed on one side or on both.
        licence: terms for passing it on; removed: what its sender left out.
        new_photos: how many photos come with it.
        remarks, proposals: what is answered in it and is new here.
    """

    file: str
    trial: str
    new_trial: bool
    runs: int
    new_runs: tuple[int, ...]
    differences: tuple[Difference, ...]
    licence: str
    removed: tuple[str, ...]
    renumbered: tuple[tuple[int, int], ...] = ()
    new_photos: int = 0
    remarks: tuple[RemarkShown, ...] = ()
    proposals: tuple[ProposalShown, ...] = ()

    @property
    def nothing_to_do(self) -> bool:
        """Everything in it is here already, as it is there."""
        return not (self.new_trial or self.adds or self.differences)

    @property
    def adds(self) -> bool:
        """It brings something that is not here."""
        return bool(self.new_runs or self.new_photos or self.remarks or self.proposals)

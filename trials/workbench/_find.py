"""Holes in any recorded file, without a shop: read, found, nothing stored."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from trials.holes import Hole, HoleFinder, to_frame
from trials.logger import LineFormat, Mapping, import_file
from trials.model import ExpectedHole, Trial
from trials.workbench._values import OnProgress, Progress

if TYPE_CHECKING:
    from trials.logger import FileImport


@dataclass(frozen=True, slots=True)
class FileHoles:
    """The holes in a file.

    Args:
        holes: columns as `trials.holes.find_holes` gives them.
        samples: how many there were; rejected: lines that gave none; gaps: stretches without.
        duration_s: from the first to the last sample, s.
    """

    holes: pd.DataFrame
    samples: int
    rejected: int
    gaps: int
    duration_s: float


def holes_in_file(
    path: Path,
    *,
    expected: Trial | None,
    line_format: LineFormat | None,
    mapping: Mapping | None,
    skip_bad_lines: bool,
    on_progress: OnProgress | None,
) -> FileHoles:
    """See `trials.workbench.Workbench.holes_in_file`."""
    file = import_file(path, line_format, mapping, skip_bad_lines=skip_bad_lines)
    finder = HoleFinder(None if expected is None else _first_hole(expected))
    holes: list[Hole] = []
    gaps, first_s, newest_s = 0, None, 0.0
    for batch in file:
        holes += finder.feed(
            batch.time_s,
            batch.load_pct,
            batch.gaps,
            rpm=batch.rpm,
            depth_mm=batch.depth_mm,
            in_cycle=batch.in_cycle if len(batch.in_cycle) else None,
        )
        gaps += len(batch.gaps)
        if len(batch):
            first_s = float(batch.time_s[0]) if first_s is None else first_s
            newest_s = float(batch.time_s[-1])
        if on_progress is not None:
            on_progress(_progress(file, len(holes)))
    holes += finder.finish()
    return FileHoles(
        to_frame(holes), file.counters.samples, file.counters.rejected, gaps,
        newest_s - (first_s or 0.0),
    )  # fmt: skip


def _first_hole(trial: Trial) -> ExpectedHole:
    drill = trial.drill()
    return ExpectedHole(trial.start, drill.diameter_mm, trial.hole.depth_mm, drill.point_angle_deg)


def _progress(file: FileImport, holes: int) -> Progress:
    return Progress(
        file.counters.samples, file.counters.rejected, holes,
        share=min(1.0, file.done_bytes / file.size_bytes),
    )  # fmt: skip

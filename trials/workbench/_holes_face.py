"""What can be done with the holes of a run: the part of the workbench that looks and mends."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from trials.store import read_window, trace_extent
from trials.workbench._kept import kept
from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.figures import TraceOverlay
    from trials.holes import FeatureTrend
    from trials.logger import LineFormat, Mapping
    from trials.model import Trial
    from trials.workbench._edits import EditShown, Mended
    from trials.workbench._find import FileHoles
    from trials.workbench._values import OnProgress

_THIN_ABOVE = 400_000
_THIN_TO = 20_000


class HolesFace:
    """Holes of recorded runs; see `trials.workbench.Workbench`."""

    _shop: Shop

    def holes(self, trial: str, run: int | None = None) -> pd.DataFrame:
        """The holes of a run; columns as `trials.holes.find_holes` gives them.

        With what was mended in them. While it is recorded, those that are settled; the newest
        come with `live`.
        """
        from trials.workbench._edits import mended_holes

        return mended_holes(self._shop, trial, self._number(trial, run))

    def found_holes(self, trial: str, run: int | None = None) -> pd.DataFrame:
        """The holes of a run as they were found, without what was mended in them."""
        return self._shop.store.holes(trial, run)

    def holes_to_look_at(self, trial: str, run: int | None = None) -> list[int]:
        """Numbers of the holes of which it is not sure that each is one whole hole."""
        from trials.holes import holes_of, look_at

        holes = self.holes(trial, run)
        # Most holes have no flag and are sure: they need not be looked at one by one.
        some = holes[(holes["flags"] != "") | ~(holes["confidence"] >= 0.5)]
        return [hole.number for hole in holes_of(some) if look_at(hole)]

    def recorded_runs(self, trial: str) -> list[int]:
        """Numbers of the runs with a finished recording, whose trace can be looked at."""
        return [one.run for one in self._shop.store.finished_recordings(trial)]

    def trends(self, trial: str, run: int | None = None) -> tuple[FeatureTrend, ...]:
        """Peak, mean, area and cutting time against the hole number: steady, or since when not."""
        from trials.holes import TREND_FEATURES, feature_trends

        holes = self.holes(trial, run)
        numbers = holes[["number", *TREND_FEATURES]].to_numpy(dtype=float)
        rests_on = (tuple(holes["flags"]), numbers.tobytes())
        return kept("trends", rests_on, lambda: feature_trends(holes))

    def overlay(
        self, trial: str, run: int | None = None, *, window_s: tuple[float, float] | None = None
    ) -> TraceOverlay:
        """A stretch of a run's trace with its holes; only that stretch is read from the disk.

        Args:
            trial, run: a run whose recording is finished.
            window_s: start and end, s; None shows all. It is kept within the trace.

        Raises:
            ConflictError: nothing was recorded yet.
        """
        from trials.figures import min_max_indices, trace_overlay
        from trials.workbench._edits import finished_recording, mended_holes

        found = self._shop.store.run(trial, run).run
        recording = finished_recording(self._shop, trial, found)
        path = self._shop.trace_file(recording)
        whole = trace_extent(path, recording.trace_sha256)
        start_s, end_s = _within(window_s, whole.first_s, whole.last_s)
        gaps = self._shop.store.gaps(trial, found.number)
        # All of a long stretch is thinned alike, and silences are looked for in what is not.
        share = (end_s - start_s) / max(whole.last_s - whole.first_s, 1e-9)
        thin = share * whole.samples > _THIN_ABOVE
        width = share * whole.samples / _THIN_TO
        times, loads, samples = [], [], 0
        for time_s, load_pct in read_window(path, recording.trace_sha256, start_s, end_s):
            samples += len(time_s)
            if thin:
                kept = min_max_indices(load_pct, max(4, round(len(load_pct) / width)))
                time_s, load_pct = time_s[kept], load_pct[kept]
            times.append(time_s)
            loads.append(load_pct)
        return trace_overlay(
            np.concatenate(times) if times else [],
            np.concatenate(loads) if loads else [],
            mended_holes(self._shop, trial, found.number),
            window_s=(start_s, end_s),
            whole_s=(whole.first_s, whole.last_s),
            limit_pct=self._shop.store.trial(trial).trial.load_limit_pct,
            gaps=gaps,
            silent=_silences(path, recording.trace_sha256, gaps) if thin else None,
            samples=samples,
            run=found.number,
        )

    # Mending: each edit lies on top of what was found, and can be taken back.

    def edits(self, trial: str, run: int | None = None) -> list[EditShown]:
        """What was mended in the holes of a run, in order, also what was taken back."""
        from trials.workbench._edits import edits_shown

        return edits_shown(self._shop, trial, self._number(trial, run))

    def merge_holes(
        self, trial: str, run: int | None, first: int, last: int, *, who: str = "",
        version: int | None = None,
    ) -> Mended:  # fmt: skip
        """Make one hole of the neighbours ``first`` to ``last``.

        The run's figures follow; wear readings stay at the hole number that was typed. A number
        of holes that a person typed when the run was ended stays, too.

        Args:
            trial, run: a run whose recording is finished.
            first, last: numbers of the holes as they stand.
            who: who says so; kept with the edit.
            version: see the class.
        """
        from trials.holes import merge_holes
        from trials.workbench._edits import mend

        return mend(
            self._shop, trial, run, lambda holes: merge_holes(holes, first, last), who, version
        )

    def split_hole(
        self, trial: str, run: int | None, number: int, at_s: float | None = None, *,
        who: str = "", version: int | None = None,
    ) -> Mended:  # fmt: skip
        """Make two holes of one, parted at ``at_s``; None takes `split_place`."""
        from trials.holes import split_hole
        from trials.workbench._edits import mend

        place_s = self.split_place(trial, run, number) if at_s is None else at_s
        return mend(
            self._shop, trial, run, lambda holes: split_hole(holes, number, place_s), who, version
        )

    def split_place(self, trial: str, run: int | None, number: int) -> float:
        """Where a hole that is two would be split, s: the middle of its longest deep dip."""
        from trials.errors import require
        from trials.holes import split_place
        from trials.workbench._edits import finished_recording, samples_of

        found = self._shop.store.run(trial, run).run
        recording = finished_recording(self._shop, trial, found)
        holes = self.holes(trial, found.number)
        require(1 <= number <= len(holes), "number of the hole", number, f"1 to {len(holes)}")
        hole = holes.iloc[number - 1]
        start_s, end_s = float(hole["start_s"]), float(hole["end_s"])
        return split_place(*samples_of(self._shop, recording)(start_s, end_s), start_s, end_s)

    def drop_hole(
        self, trial: str, run: int | None, number: int, *, who: str = "",
        version: int | None = None,
    ) -> Mended:  # fmt: skip
        """Leave a hole out that is none."""
        from trials.holes import drop_hole
        from trials.workbench._edits import mend

        return mend(self._shop, trial, run, lambda holes: drop_hole(holes, number), who, version)

    def add_hole(
        self, trial: str, run: int | None, start_s: float, end_s: float, *, who: str = "",
        version: int | None = None,
    ) -> Mended:  # fmt: skip
        """Add a hole that was missed, from ``start_s`` to ``end_s`` of the trace."""
        from trials.holes import add_hole
        from trials.workbench._edits import mend

        return mend(
            self._shop, trial, run, lambda holes: add_hole(holes, start_s, end_s), who, version
        )

    def undo_edit(
        self, trial: str, run: int | None = None, *, who: str = "", version: int | None = None
    ) -> Mended:
        """Take the newest edit that stands back; it stays in the list."""
        from trials.workbench._edits import undo

        return undo(self._shop, trial, run, who, version)

    def redo_edit(
        self, trial: str, run: int | None = None, *, who: str = "", version: int | None = None
    ) -> Mended:
        """Do again what was taken back last, if nothing else was mended since."""
        from trials.workbench._edits import redo

        return redo(self._shop, trial, run, who, version)

    # Files

    @staticmethod
    def holes_in_file(
        path: Path,
        *,
        expected: Trial | None = None,
        line_format: LineFormat | None = None,
        mapping: Mapping | None = None,
        skip_bad_lines: bool = False,
        on_progress: OnProgress | None = None,
    ) -> FileHoles:
        """Find the holes in any recorded file, in bounded memory; nothing is stored.

        Args:
            path: the file.
            expected: a trial whose first drill, hole and first cutting data say what a hole
                should look like; None reads it from the trace.
            line_format, mapping, skip_bad_lines, on_progress: as for `Workbench.import_trace`.
        """
        from trials.workbench._find import holes_in_file

        return holes_in_file(
            path, expected=expected, line_format=line_format, mapping=mapping,
            skip_bad_lines=skip_bad_lines, on_progress=on_progress,
        )  # fmt: skip

    def _number(self, trial: str, run: int | None) -> int:
        return self._shop.store.run(trial, run).run.number if run is None else run


def _silences(
    path: Path, sha256: str | None, gaps: Sequence[tuple[float, float, str]]
) -> tuple[tuple[float, float, str], ...]:
    """The silences of a whole trace, looked for once."""
    from trials.figures import silences

    def look() -> tuple[tuple[float, float, str], ...]:
        found, before = [], np.empty(0)
        for time_s, _ in read_window(path, sha256, -np.inf, np.inf):
            found += silences(np.concatenate([before, time_s]), gaps)
            before = time_s[-1:].copy()
        return tuple(found)

    return look() if sha256 is None else kept("silences", (sha256, tuple(gaps)), look)


def _within(
    window_s: tuple[float, float] | None, first_s: float, last_s: float
) -> tuple[float, float]:
    """The stretch asked for, moved and cut so that it lies in the trace; 0.1 s or longer."""
    last_s = max(last_s, first_s + 0.1)
    if window_s is None:
        return first_s, last_s
    length = min(max(window_s[1] - window_s[0], 0.1), last_s - first_s)
    start_s = max(first_s, min(window_s[0], last_s - length))
    return start_s, start_s + length

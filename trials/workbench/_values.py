"""What the workbench answers with: frozen values that command line and dashboard only show."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from trials.model import Run
from trials.store import StoredAlarm

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TrialSummary:
    """One line in the list of trials.

    Args:
        name, material, group: of the trial and its work; ``group`` is the ISO 513 letter.
        hole: name of the hole feature; diameter_mm, depth_mm, through, tolerance: as drawn.
        drills: names of the candidates.
        runs, runs_ended: how many there are.
        best_cost: lowest cost per hole of the runs that ended safely, in ``currency``; None
            before there is one.
        invented: demonstration data.
    """

    name: str
    material: str
    group: str
    hole: str
    diameter_mm: float
    depth_mm: float
    through: bool
    tolerance: str
    drills: tuple[str, ...]
    runs: int
    runs_ended: int
    best_cost: float | None
    currency: str
    invented: bool


@dataclass(frozen=True, slots=True)
class HoleNow:
    """The hole being drilled: its number, time since it began, and its highest load so far."""

    number: int
    elapsed_s: float
    peak_pct: float


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a recording or an import has come.

    Args:
        samples: samples so far; rejected: lines that gave none; holes: holes that a person would
            count now, the newest of which may still change a little.
        share: 0 to 1 for a file whose length is known, else None.
        newest_load_pct: load of the newest sample, % of rating; None before the first.
        over_limit: the newest load is above the trial's load limit (advisory).
        trouble: what went wrong without stopping the recording, such as a store that cannot be
            written at the moment; None when all is well.
        peaks_pct: peaks of the newest holes in order, at most 400; current: the hole in progress.
        time_s: time of the newest sample in the trace.
        gaps: stretches without samples so far; broken: why there are no values now, or None.
        rate_per_s: samples a second of late.
        silent_s: time since the newest value; stale: too long for this source.
        alarms: alarms that stand, the newest last.
    """

    samples: int
    rejected: int
    holes: int
    share: float | None = None
    newest_load_pct: float | None = None
    over_limit: bool = False
    trouble: str | None = None
    peaks_pct: tuple[float, ...] = ()
    current: HoleNow | None = None
    time_s: float = 0.0
    gaps: int = 0
    broken: str | None = None
    rate_per_s: float = 0.0
    silent_s: float | None = None
    stale: bool = False
    alarms: tuple[StoredAlarm, ...] = ()


OnProgress = Callable[[Progress], None]


@dataclass(frozen=True, slots=True)
class RecordingSummary:
    """What a finished recording or import gave.

    Args:
        trial, run: where it belongs; ``run`` is as stored now.
        source: where it came from.
        samples, rejected, holes, gaps: how many of each.
        duration_s: from the first to the last sample, s.
        counters: everything that was counted while reading, by name.
        ended_because: one sentence, such as "the source ended".
        alarms: alarms that nobody had acknowledged when it ended.
    """

    trial: str
    run: Run
    source: str
    samples: int
    rejected: int
    holes: int
    gaps: int
    duration_s: float
    counters: Mapping[str, Any]
    ended_because: str
    alarms: tuple[StoredAlarm, ...] = ()


@dataclass(frozen=True, slots=True)
class RebuildCheck:
    """What a rebuild of a run from its journal would change.

    Args:
        trial, run: which.
        same: nothing; same_bytes: the trace would be the same file, byte for byte.
        changes: what would be otherwise, one sentence each.
        samples, holes: how many the rebuild gives.
    """

    trial: str
    run: int
    same: bool
    same_bytes: bool
    changes: tuple[str, ...]
    samples: int
    holes: int


@dataclass(frozen=True, slots=True)
class JournalLoss:
    """A place in a journal that could not be read.

    Args:
        where: segment and byte, and what is wrong there.
        records: whole records that are missing; None where that cannot be known.
        after_utc, before_utc: the whole records around it came in then.
    """

    where: str
    records: int | None
    after_utc: datetime | None
    before_utc: datetime | None


@dataclass(frozen=True, slots=True)
class JournalReport:
    """How a journal stands on the disk.

    Args:
        folder: where it lies.
        records, data_bytes: what is whole in it.
        first_utc, last_utc: arrival of its first and last whole record.
        closed: it was ended in good order; otherwise it is being written or was cut off.
        losses: places with whole records behind them that cannot be read.
        torn: the unfinished end, as a kill leaves it; None for none.
        settings: what it was recorded with.
    """

    folder: Path
    records: int
    data_bytes: int
    first_utc: datetime | None
    last_utc: datetime | None
    closed: bool
    losses: tuple[JournalLoss, ...]
    torn: str | None
    settings: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class LiveView:
    """How a run stands at this moment, from its journal on disk and the store.

    Args:
        trial: name of the trial; run: the run as stored.
        state: one word or two for the screen, such as ``recording`` or ``no new values``.
        recording: whether a logger is at work on it now; holder: which, when one is.
        newest_load_pct: load of the newest sample; None before the first.
        age_s: time since that sample came in; stale: too long for this source.
        limit_pct: the trial's load limit.
        holes_count: holes finished; current: the one being drilled.
        holes: the newest holes, columns as `trials.holes.find_holes` gives them.
        time_s, load_pct: recent samples, thinned so that peaks stay; s and % of rating.
        gaps: start in s, end in s and reason, of those within the samples shown.
        alarm: one sentence when something asks for a look (advisory); None otherwise.
        counters: what was counted so far, by name.
        behind_bytes: bytes of the journal not read yet; more than 0 only while catching up.
        alarms: every alarm that the logger raised, with whether and by whom it was seen; those
            that stand ask for `Workbench.acknowledge`.
    """

    trial: str
    run: Run
    state: str
    recording: bool
    holder: str | None
    newest_load_pct: float | None
    age_s: float | None
    stale: bool
    limit_pct: float
    holes_count: int
    current: HoleNow | None
    holes: pd.DataFrame
    time_s: Floats
    load_pct: Floats
    gaps: tuple[tuple[float, float, str], ...]
    alarm: str | None
    counters: Mapping[str, Any]
    behind_bytes: int
    alarms: tuple[StoredAlarm, ...] = ()

"""What comes out of a source once it is understood: samples, gaps, rejects, clock steps, counts."""

from __future__ import annotations

import time
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    import pandas as pd

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]
RAW_KEPT_BYTES = 200  # of a rejected line; the journal or the file has all of it


class Arrival(NamedTuple):
    """When bytes came in: monotonic clock and UTC, both in nanoseconds."""

    monotonic_ns: int
    utc_ns: int

    @classmethod
    def now(cls) -> Arrival:
        return cls(time.monotonic_ns(), time.time_ns())


class LineArrivals:
    """When each line of a stretch had come in whole: with the chunk that held its end.

    Args:
        first_line: number of the first line that ends in the stretch.
    """

    __slots__ = ("_arrivals", "_ends", "_first")

    def __init__(self, first_line: int) -> None:
        self._first = first_line
        self._ends: list[int] = []  # lines that ended with each chunk and those before it
        self._arrivals: list[Arrival | None] = []

    @classmethod
    def same(cls, first_line: int, arrival: Arrival | None) -> LineArrivals:
        """All lines came in at once."""
        lines = cls(first_line)
        lines.add(1, arrival)
        return lines

    def add(self, line_ends: int, arrival: Arrival | None) -> None:
        """The next chunk, by the line ends in it."""
        self._ends.append((self._ends[-1] if self._ends else 0) + line_ends)
        self._arrivals.append(arrival)

    @property
    def known(self) -> bool:
        return bool(self._arrivals) and all(one is not None for one in self._arrivals)

    def at(self, line: int) -> Arrival:
        """The arrival of one line."""
        index = min(bisect_right(self._ends, line - self._first), len(self._ends) - 1)
        found = self._arrivals[index]
        if found is None:
            raise ValueError("nobody said when these bytes came in")
        return found

    def of(self, lines: Ints) -> Ints:
        """Monotonic ns of many lines."""
        if len(self._arrivals) == 1:
            return np.full(len(lines), self.at(self._first).monotonic_ns, dtype=np.int64)
        index = np.searchsorted(self._ends, lines - self._first, side="right")
        monotonic = [0 if one is None else one.monotonic_ns for one in self._arrivals]
        return np.asarray(monotonic, dtype=np.int64)[np.minimum(index, len(monotonic) - 1)]


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch without values, in seconds of the trace; never interpolated.

    ``start_s == end_s`` where the length is not known (the source's clock stepped back).
    """

    start_s: float
    end_s: float
    reason: str


@dataclass(frozen=True, slots=True)
class ClockStep:
    """The source's clock went back, or leapt ahead (``back_s`` is negative then).

    Steps up to one second are clamped to the newest time (``rebased`` false); larger ones re-base
    the time axis, so that time goes on from the newest time (``rebased`` true), as leaps do.
    """

    line_number: int
    time_s: float
    back_s: float
    rebased: bool


@dataclass(frozen=True, slots=True)
class Reject:
    """A line that gave no sample, and why.

    Args:
        line_number: counted from 1 over everything the source sent.
        raw: the first 200 bytes of the line.
        kind: short and stable, for counting ("not a number", "out of range", …).
        field: "load", "time", "rpm", "depth", "cycle", or "" when it is about the whole line.
        found: what was found; allowed: what would do, with unit; do: what the reader can do.
    """

    line_number: int
    raw: bytes
    kind: str
    field: str = ""
    found: str = ""
    allowed: str = ""
    do: str = ""

    @property
    def reason(self) -> str:
        """One sentence for screens and logs."""
        text = f"{self.field}: {self.kind}" if self.field else self.kind
        if self.found:
            text += f", found {self.found!r}"
        return f"{text}; allowed: {self.allowed}" if self.allowed else text


@dataclass(slots=True)
class Counters:
    """What was seen since the start of a recording.

    ``rejects`` counts by `Reject.kind`. ``clock_steps`` are the steps back of more than a second
    and the leaps ahead, ``clock_clamps`` the small steps back. ``assets``, ``protocol`` and
    ``conditions`` are SHDR lines; ``unavailable`` and ``empty`` are load values that were no number
    on purpose.
    """

    bytes: int = 0
    lines: int = 0
    samples: int = 0
    blank: int = 0
    comments: int = 0
    unavailable: int = 0
    empty: int = 0
    clock_steps: int = 0
    clock_clamps: int = 0
    assets: int = 0
    protocol: int = 0
    conditions: int = 0
    rejects: Counter[str] = field(default_factory=Counter)

    @property
    def rejected(self) -> int:
        """All rejects together."""
        return sum(self.rejects.values())

    def to_dict(self) -> dict[str, int | dict[str, int]]:
        """Plain numbers, for the store and for screens."""
        plain: dict[str, int | dict[str, int]] = {
            name: getattr(self, name) for name in self.__slots__ if name != "rejects"
        }
        plain["rejects"] = dict(self.rejects)
        return plain


def no_floats() -> Floats:
    return np.empty(0, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Batch:
    """Samples in order of arrival, with what happened between them.

    ``time_s`` (s since the first sample), ``load_pct`` (% of rated load), ``rpm`` (1/min) and
    ``depth_mm`` are float64 arrays of one length, and so is ``in_cycle`` (1 or 0) where a field is
    mapped for it; what is not known is NaN.
    """

    time_s: Floats = field(default_factory=no_floats)
    load_pct: Floats = field(default_factory=no_floats)
    rpm: Floats = field(default_factory=no_floats)
    depth_mm: Floats = field(default_factory=no_floats)
    gaps: tuple[Gap, ...] = ()
    rejects: tuple[Reject, ...] = ()
    clock_steps: tuple[ClockStep, ...] = ()
    in_cycle: Floats = field(default_factory=no_floats)

    def __len__(self) -> int:
        return len(self.time_s)

    def __bool__(self) -> bool:
        return bool(len(self.time_s) or self.gaps or self.rejects or self.clock_steps)

    @classmethod
    def join(cls, batches: Iterable[Batch]) -> Batch:
        """One batch of several, in their order."""
        parts = [batch for batch in batches if batch]
        if not parts:
            return cls()
        if len(parts) == 1:
            return parts[0]
        return cls(
            np.concatenate([part.time_s for part in parts]),
            np.concatenate([part.load_pct for part in parts]),
            np.concatenate([part.rpm for part in parts]),
            np.concatenate([part.depth_mm for part in parts]),
            tuple(gap for part in parts for gap in part.gaps),
            tuple(reject for part in parts for reject in part.rejects),
            tuple(step for part in parts for step in part.clock_steps),
            np.concatenate([part.in_cycle for part in parts]),
        )

    def frame(self) -> pd.DataFrame:
        """Samples as a frame: time_s, load_pct, and rpm and depth_mm where any value is known."""
        import pandas as pd

        columns = {"time_s": self.time_s, "load_pct": self.load_pct}
        if not np.isnan(self.rpm).all():
            columns["rpm"] = self.rpm
        if not np.isnan(self.depth_mm).all():
            columns["depth_mm"] = self.depth_mm
        if len(self.in_cycle) and not np.isnan(self.in_cycle).all():
            columns["in_cycle"] = self.in_cycle
        return pd.DataFrame(columns)

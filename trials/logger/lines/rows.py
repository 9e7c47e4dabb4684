"""What a line reader gives the decoder: rows of values that still carry the source's own units."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

from trials.logger.lines.numbers import Problem
from trials.logger.readings import RAW_KEPT_BYTES, Flags, Floats, Ints, Reject, no_floats


@dataclass(slots=True)
class Rows:
    """Rows in the order of their lines.

    ``time`` is int64 ns for ISO times, float64 in the source's unit otherwise, None when lines
    carry no time. A load that is NaN means "not available, said by the source".
    """

    line: Ints
    load: Floats
    time: Ints | Floats | None = None
    rpm: Floats = field(default_factory=no_floats)
    depth: Floats = field(default_factory=no_floats)
    cycle: Floats = field(default_factory=no_floats)
    rejects: list[Reject] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.line)

    def keep(self, mask: Flags) -> None:
        """Drop the rows where the mask is false."""
        self.line, self.load = self.line[mask], self.load[mask]
        self.rpm, self.depth, self.cycle = self.rpm[mask], self.depth[mask], self.cycle[mask]
        if self.time is not None:
            self.time = self.time[mask]


class LineReader(Protocol):
    """Understands whole lines of one format. Holds what a line leaves behind for later ones."""

    def read(self, block: bytes, first_line: int, lines: int) -> Rows:
        """Rows of a block of so many lines, separated by line feeds, without one at the end."""

    def interrupt(self, *, anew: bool = False) -> None:
        """The link was cut: forget what only made sense within it.

        ``anew``: lines begin from the first again, with the header where there is one.
        """


def problem_reject(line_number: int, raw: bytes, what: str, found: bytes, why: Problem) -> Reject:
    """A reject for one field of a line."""
    return Reject(
        line_number, raw[:RAW_KEPT_BYTES], why.kind, what,
        found[:RAW_KEPT_BYTES].decode("utf-8", "replace"), why.allowed, why.do,
    )  # fmt: skip

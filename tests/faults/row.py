"""One row of the table that `tests.faults.full` prints."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """What a test must show, what was seen, and whether that will do.

    ``held`` is None where the figure is of this computer and its load, and nothing is asserted.
    """

    test: str
    must_show: str
    seen: str
    held: bool | None

    def __str__(self) -> str:
        mark = {True: "yes", False: "NO", None: "measured"}[self.held]
        return f"| {self.test} | {self.must_show} | {self.seen} | {mark} |"


HEAD = "| test | must show | seen | held |\n| --- | --- | --- | --- |"

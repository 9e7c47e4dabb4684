"""Files beside the stream: the same pass as CSV, the person's notes, and the labels."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import astuple, dataclass, fields
from pathlib import Path
from typing import IO, get_args

from trials.errors import InputError
from trials.model import End, WearReading
from trials.simulator.drilling import DrilledHole, HoleLabel

NOTE_COLUMNS = ("hole", "vb_average_mm", "vb_maximum_mm", "corner_chipping_mm", "end")
TRACE_COLUMNS = ("time_s", "load_pct", "rpm", "depth_mm")


@dataclass(frozen=True, slots=True)
class Note:
    """One line of the person's notes: a reading (None when none was taken) and the end of run."""

    hole: int
    reading: WearReading | None
    end: End | None


def lines_of(hole: DrilledHole, *, with_depth: bool = False) -> list[str]:
    """The lines that the machine sends of one hole, each ended by a line feed.

    ``t=12.340;load=34.2;rpm=2100`` with time in s, load in %, speed in 1/min and, if wished,
    ``depth`` in mm.
    """
    rows = _rows(hole)
    if with_depth:
        return [f"t={t};load={load};rpm={rpm};depth={depth}\n" for t, load, rpm, depth in rows]
    return [f"t={t};load={load};rpm={rpm}\n" for t, load, rpm, _ in rows]


def _rows(hole: DrilledHole) -> Iterator[tuple[str, str, str, str]]:
    samples = hole.samples
    for t, load, rpm, depth in zip(
        samples.time_s.tolist(),
        samples.load_pct.tolist(),
        samples.rpm.tolist(),
        samples.depth_mm.tolist(),
        strict=True,
    ):
        yield f"{t:.3f}", f"{load:g}", f"{rpm:.0f}", f"{depth:.2f}"


class Recording:
    """Writes the files that were asked for, hole by hole."""

    def __init__(
        self, trace: IO[str] | None, notes: IO[str] | None, labels: IO[str] | None,
        *, with_depth: bool = False,
    ) -> None:  # fmt: skip
        self._columns = len(TRACE_COLUMNS) if with_depth else len(TRACE_COLUMNS) - 1
        self._trace = csv.writer(trace, lineterminator="\n") if trace else None
        self._notes = csv.writer(notes, lineterminator="\n") if notes else None
        self._labels = csv.writer(labels, lineterminator="\n") if labels else None
        self._files = [file for file in (trace, notes, labels) if file is not None]
        if self._trace:
            self._trace.writerow(TRACE_COLUMNS[: self._columns])
        if self._notes:
            self._notes.writerow(NOTE_COLUMNS)
        if self._labels:
            self._labels.writerow(field.name for field in fields(HoleLabel))

    def add(self, hole: DrilledHole) -> None:
        """Write one hole, and everything before it out to the disk."""
        if self._trace:
            self._trace.writerows(row[: self._columns] for row in _rows(hole))
        if self._notes and (hole.reading is not None or hole.end is not None):
            seen = hole.reading
            self._notes.writerow(
                [
                    hole.label.number,
                    "" if seen is None else seen.vb_average_mm,
                    "" if seen is None else seen.vb_maximum_mm,
                    "" if seen is None else seen.corner_chipping_mm,
                    hole.end or "",
                ]
            )
        if self._labels:
            self._labels.writerow(
                f"{value:.6g}" if isinstance(value, float) else int(value)
                for value in astuple(hole.label)
            )
        for file in self._files:
            file.flush()


@contextmanager
def recording(
    trace: Path | None, notes: Path | None, labels: Path | None, *, with_depth: bool = False
) -> Iterator[Recording]:
    """Open the files that were asked for.

    Raises:
        InputError: a file is there already, or cannot be written.
    """
    opened: list[IO[str] | None] = []
    try:
        for path in (trace, notes, labels):
            try:
                opened.append(
                    None if path is None else path.open("x", newline="", encoding="utf-8")
                )
            except FileExistsError:
                raise InputError(
                    f"file {path}: is there already", do="Give another name, or delete it first."
                ) from None
            except OSError as error:
                raise InputError(f"file {path}: cannot be written ({error.strerror})") from None
        yield Recording(*opened, with_depth=with_depth)
    finally:
        for file in opened:
            if file is not None:
                file.close()


def read_notes(path: Path) -> list[Note]:
    """Read a file of notes in the order it was written.

    Raises:
        InputError: names the file, the line, what was found and what is allowed.
    """
    notes: list[Note] = []
    with path.open(newline="", encoding="utf-8") as file:
        rows = csv.reader(file)
        header = next(rows, [])
        if tuple(header) != NOTE_COLUMNS:
            raise InputError(f"{path.name}, line 1", got=",".join(header),
                             allowed=",".join(NOTE_COLUMNS))  # fmt: skip
        for number, row in enumerate(rows, 2):
            notes.append(_note(row, f"{path.name}, line {number}"))
    return notes


def _note(row: list[str], where: str) -> Note:
    if len(row) != len(NOTE_COLUMNS):
        raise InputError(where, got=",".join(row), allowed=f"{len(NOTE_COLUMNS)} fields")
    try:
        hole = int(row[0])
        values = [None if text == "" else float(text) for text in row[1:4]]
    except ValueError:
        raise InputError(where, got=",".join(row), allowed="numbers with a decimal point") from None
    end = next((name for name in get_args(End) if name == row[4]), None)
    if row[4] and end is None:
        raise InputError(f"{where}, end", got=row[4], allowed=", ".join(get_args(End)))
    average, largest, chipping = values
    if values == [None, None, None]:
        return Note(hole, None, end)
    return Note(hole, WearReading(hole, average, largest, chipping), end)

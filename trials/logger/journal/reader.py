"""Reading a journal, also while another process writes it. Nothing damaged passes in silence."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trials.errors import JournalError
from trials.logger.journal.record import (
    HEAD,
    MAGIC,
    Damage,
    Kind,
    Position,
    Record,
    next_record,
    segment_numbers,
    segment_path,
    unpack,
)


@dataclass(frozen=True, slots=True)
class Check:
    """What `JournalReader.verify` found.

    ``torn`` is an unfinished record at the very end, as a crash leaves it: everything before it is
    whole. ``damaged`` are places with whole records (or segments) behind them.
    """

    records: int
    data_bytes: int
    closed: bool
    torn: Damage | None
    damaged: tuple[Damage, ...]

    @property
    def whole(self) -> bool:
        return self.torn is None and not self.damaged


class JournalReader:
    """Reads the records of a journal folder.

    Args:
        folder: the journal.
        strict: raise at damage with whole records behind it; otherwise note it in ``damaged`` and
            go on behind it.

    Attributes:
        damaged: places of damage met so far.
        torn: the unfinished end, when the newest reading stopped at one.

    Raises:
        JournalError: no journal there; and from reading, at damage, when strict.
    """

    def __init__(self, folder: Path | str, *, strict: bool = True) -> None:
        self.folder = Path(folder)
        self.strict = strict
        self.damaged: list[Damage] = []
        self.torn: Damage | None = None
        self._expected = 0
        if not segment_numbers(self.folder):
            raise JournalError(
                f"journal {self.folder.name}", got="no segments in this folder",
                allowed="a folder that a recording wrote",
                do="Look whether the shop's data folder is the right one.",
            )  # fmt: skip

    def __iter__(self) -> Iterator[Record]:
        """All whole records from the beginning."""
        return self.read_from(Position())

    def read_from(self, position: Position) -> Iterator[Record]:
        """Whole records from a position on; stops at the end of what is written so far.

        Go on later from `after` of the newest record.
        """
        self.torn = None
        number, offset, expected = position
        while True:
            numbers = segment_numbers(self.folder)
            later = [n for n in numbers if n > number]
            data = self._segment(number, offset)
            if data is None:
                if not later:
                    return
                self._damage(Damage(number, 0, 0, "the segment is missing"))
                number, offset = later[0], 0
                continue
            start = 0
            if offset == 0:
                start = self._begin(number, data, bool(later))
                if start == 0 and not later:
                    return
            self._expected = expected
            for record in self._records(number, data, start, offset, later):
                if record.number < expected:
                    continue  # the disk had failed, so it was written once more: see `Journal`
                if record.number != expected:
                    lost = f"record {expected} was to come, record {record.number} stands here"
                    self._damage(Damage(number, record.position.offset, 0, lost))
                expected = self._expected = record.number + 1
                yield record
            if not later:
                return
            if later[0] != number + 1:
                self._damage(Damage(number + 1, 0, 0, "the segment is missing"))
            number, offset = later[0], 0

    def _segment(self, number: int, offset: int) -> bytes | None:
        """The bytes of a segment from an offset on; None when there is no such segment."""
        try:
            with segment_path(self.folder, number).open("rb") as file:
                file.seek(offset)
                return file.read()
        except FileNotFoundError:
            return None

    def _begin(self, number: int, data: bytes, followed: bool) -> int:
        """Where the first record of a segment begins; 0 when there is none yet."""
        if data.startswith(MAGIC):
            return len(MAGIC)
        behind = next_record(data, 0, number)
        bad = Damage(number, 0, len(data) if behind is None else behind, "no segment begins here")
        if followed or behind is not None:
            self._damage(bad)
            return len(data) if behind is None else behind
        if data:
            self.torn = bad
        return 0

    def _records(
        self, number: int, data: bytes, start: int, base: int, later: list[int]
    ) -> Iterator[Record]:
        while start < len(data):
            found = unpack(data, start, number, base)
            if not isinstance(found, str):
                record, start = found
                yield record
                continue
            behind = next_record(data, start + 1, number)
            end = len(data) if behind is None else behind
            bad = Damage(number, base + start, end - start, found)
            if behind is None and not later:
                self.torn = bad
                return
            if behind is None and self._comes_again(later[0]):
                return
            self._damage(bad)
            start = end

    def _comes_again(self, segment: int) -> bool:
        """Whether the next segment begins with the record that is to come, or one before it."""
        data = self._segment(segment, 0) or b""
        first = unpack(data, len(MAGIC), segment) if data.startswith(MAGIC) else ""
        return not isinstance(first, str) and first[0].number <= self._expected

    def _damage(self, bad: Damage) -> None:
        self.damaged.append(bad)
        if self.strict:
            raise JournalError(
                f"journal {self.folder.name}, {bad}", allowed="whole records with their checksums",
                do="Copy the folder to a safe place first. What is whole can still be read: "
                "rebuild the recording with damage reported; the damaged stretch becomes a gap.",
            )  # fmt: skip

    def settings(self) -> dict[str, Any]:
        """The settings that the recording started with.

        Raises:
            JournalError: the first record is not there or is not settings.
        """
        for record in self:
            if record.kind is Kind.SETTINGS:
                found: dict[str, Any] = json.loads(record.payload)
                return found
            break
        raise JournalError(
            f"journal {self.folder.name}", got="no settings at its beginning",
            allowed="a journal whose first record is whole",
            do="Give the line format and the mapping by hand to rebuild it.",
        )  # fmt: skip

    def verify(self) -> Check:
        """Read everything and report: never raises for damage."""
        calm = JournalReader(self.folder, strict=False)
        records = data_bytes = 0
        closed = False
        for record in calm:
            records += 1
            closed = record.kind is Kind.CLOSED
            if record.kind is Kind.DATA:
                data_bytes += len(record.payload)
        return Check(records, data_bytes, closed, calm.torn, tuple(calm.damaged))


def after(record: Record) -> Position:
    """Where the record behind this one begins."""
    segment, offset, number = record.position
    return Position(segment, offset + HEAD.size + len(record.payload), number + 1)

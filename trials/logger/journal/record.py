"""The bytes of a journal: a folder of segments, each a row of records with a checksum.

Segment: ``HWJOURN1``, then records. Record: 32 bytes of head, then the payload::

    2  mark A5 5A        1  kind        1  zero       4  length of the payload
    4  number of the record in the journal            8  monotonic ns     8  UTC ns
    4  CRC-32 over the head before it and the payload

All integers little-endian. The record number makes a lost record or segment visible.
"""

from __future__ import annotations

import struct
import zlib
from enum import IntEnum
from pathlib import Path
from typing import NamedTuple

from trials.logger.readings import Arrival

MAGIC = b"HWJOURN1"
MARK = b"\xa5\x5a"
HEAD = struct.Struct("<2sBBIIqqI")
_BEFORE_CRC = HEAD.size - 4
LONGEST_PAYLOAD = 1 << 20
SEGMENT_PATTERN = "segment-*.journal"


class Kind(IntEnum):
    """What a record holds: settings (JSON, first), data (raw bytes), note (JSON), closed (none)."""

    SETTINGS = 1
    DATA = 2
    NOTE = 3
    CLOSED = 4


_KINDS = frozenset(kind.value for kind in Kind)


class Position(NamedTuple):
    """A place in a journal: segment number, offset in it, number of the next record."""

    segment: int = 1
    offset: int = 0
    record: int = 0


class Record(NamedTuple):
    """One whole record; ``position`` is where it begins."""

    kind: Kind
    arrival: Arrival
    payload: bytes
    number: int
    position: Position


class Damage(NamedTuple):
    """Bytes that are no whole record, and where."""

    segment: int
    offset: int
    length: int
    reason: str

    def __str__(self) -> str:
        return f"segment {self.segment}, byte {self.offset}: {self.reason} ({self.length} bytes)"


def pack(kind: Kind, number: int, arrival: Arrival, payload: bytes) -> bytes:
    """One record as it stands on disk."""
    head = HEAD.pack(MARK, kind, 0, len(payload), number, arrival.monotonic_ns, arrival.utc_ns, 0)[
        :_BEFORE_CRC
    ]
    crc = zlib.crc32(payload, zlib.crc32(head))
    return head + crc.to_bytes(4, "little") + payload


def unpack(data: bytes, offset: int, segment: int, base: int = 0) -> tuple[Record, int] | str:
    """The record at an offset of ``data`` and where the next begins, or why there is none.

    ``base`` is where ``data`` begins in the segment.

    "incomplete" means that the bytes end too early; anything else that they are wrong.
    """
    if offset + HEAD.size > len(data):
        return "incomplete"
    mark, kind, zero, length, number, monotonic_ns, utc_ns, crc = HEAD.unpack_from(data, offset)
    if mark != MARK or zero != 0 or kind not in _KINDS or length > LONGEST_PAYLOAD:
        return "no record begins here"
    end = offset + HEAD.size + length
    if end > len(data):
        return "incomplete"
    head = data[offset : offset + _BEFORE_CRC]
    payload = bytes(data[offset + HEAD.size : end])
    if zlib.crc32(payload, zlib.crc32(head)) != crc:
        return "checksum does not match"
    position = Position(segment, base + offset, number)
    return Record(Kind(kind), Arrival(monotonic_ns, utc_ns), payload, number, position), end


def next_record(data: bytes, offset: int, segment: int) -> int | None:
    """Where the first whole record at or behind an offset begins; None when there is none."""
    at = data.find(MARK, offset)
    while at >= 0:
        if not isinstance(unpack(data, at, segment), str):
            return at
        at = data.find(MARK, at + 1)
    return None


def segment_path(folder: Path, number: int) -> Path:
    return folder / f"segment-{number:06d}.journal"


def segment_numbers(folder: Path) -> list[int]:
    """Numbers of the segments that are there, in order."""
    numbers = []
    for path in folder.glob(SEGMENT_PATTERN):
        digits = path.stem.removeprefix("segment-")
        if digits.isdigit():
            numbers.append(int(digits))
    return sorted(numbers)

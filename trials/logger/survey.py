"""What a source sends, seen for some seconds: its line format, and every field with its values."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

import numpy as np

from trials.errors import InputError
from trials.logger.decoder import Decoder
from trials.logger.line_format import LineFormat
from trials.logger.lines.delimited import split_unit
from trials.logger.mapping import Mapping
from trials.logger.readings import Arrival, Batch, Counters, Floats
from trials.logger.sniff import sniff_bytes, split_cells
from trials.logger.sources.protocol import GapError, Source

MOST_BYTES = 2_000_000
_EXAMPLES = 4
_ISO = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d")
_LEVELS = ("NORMAL", "WARNING", "FAULT", "UNAVAILABLE")
_READ_S = 0.1
_LONGEST_STEP_S = 600.0  # a longer one is another recording, or a clock that was set


@dataclass(frozen=True, slots=True)
class Heard:
    """Bytes of a source as they came in; ``at_end`` when there are no more."""

    chunks: tuple[tuple[bytes, Arrival], ...]
    at_end: bool
    name: str
    first_line_whole: bool

    @property
    def data(self) -> bytes:
        return b"".join(chunk for chunk, _ in self.chunks)


def listen(
    source: Source, seconds: float, *, on_progress: Callable[[float, int], None] | None = None
) -> Heard:
    """Read a source for some seconds, or to its end, or two million bytes.

    Args:
        source: not yet open; it is closed in the end.
        seconds: so long at most.
        on_progress: told the time since the beginning, s, and the bytes so far.

    Raises:
        SourceError: it cannot be opened, or the link broke before anything came.
    """
    chunks: list[tuple[bytes, Arrival]] = []
    size, at_end = 0, False
    source.open()
    try:
        begin = time.monotonic()
        while size < MOST_BYTES and (spent := time.monotonic() - begin) < seconds:
            try:
                chunk = source.read(_READ_S)
            except GapError:
                continue  # something was missed; what follows is looked at all the same
            if chunk is None:
                at_end = True
                break
            if chunk:
                chunks.append((chunk, Arrival.now()))
                size += len(chunk)
            if on_progress is not None:
                on_progress(spent, size)
    finally:
        source.close()
    return Heard(tuple(chunks), at_end, source.name, source.first_line_whole)


@dataclass(slots=True)
class FieldSeen:
    """One field: how often it came, and what its values were.

    Args:
        name: key or column name; a column number counted from 1 where there are no names.
        unit: as said in the header, else "".
        kind: ``number``, ``text``, or ``clock`` (date and time of day).
        count: values that were there; missing: empty or said to be unavailable.
        examples: some values as they were written, all different.
        values: the numbers in order; at_s: when they came, s; both of one length.
    """

    name: str | int
    unit: str = ""
    kind: Literal["number", "text", "clock"] = "text"
    count: int = 0
    missing: int = 0
    examples: list[str] = field(default_factory=list)
    values: Floats = field(default_factory=lambda: np.empty(0))
    at_s: Floats = field(default_factory=lambda: np.empty(0))

    @property
    def low(self) -> float:
        return float(self.values.min()) if len(self.values) else float("nan")

    @property
    def high(self) -> float:
        return float(self.values.max()) if len(self.values) else float("nan")

    @property
    def rises(self) -> bool:
        """Never falls, and nearly always goes up, as a clock or a counter does."""
        steps = np.diff(self.values)
        return len(steps) >= 3 and bool((steps >= 0).all()) and float((steps > 0).mean()) > 0.9

    @property
    def changes(self) -> float:
        """Share of values that differ from the one before."""
        return float((np.diff(self.values) != 0).mean()) if len(self.values) > 1 else 0.0


@dataclass(frozen=True, slots=True)
class Survey:
    """What was seen.

    Args:
        heard: the bytes.
        line_format: ready for the decoder.
        fields: every field, in the order in which they came first.
        lines: lines with values; duration_s: from the first to the last of them, by their own
            time stamps where they carry them (SHDR), else as they came in; 0 for a file.
    """

    heard: Heard
    line_format: LineFormat
    fields: tuple[FieldSeen, ...]
    lines: int
    duration_s: float

    def field(self, name: str | int) -> FieldSeen | None:
        """The field of that name or column number."""
        return next((one for one in self.fields if one.name == name), None)

    def rate_per_s(self, one: FieldSeen) -> float | None:
        """Values a second; None where time is not known."""
        return one.count / self.duration_s if self.duration_s > 0.2 else None


def survey(heard: Heard, *, line_format: LineFormat | None = None) -> Survey:
    """Find the line format and look at every field.

    Args:
        heard: what came in.
        line_format: when it is known already.

    Raises:
        InputError: nothing came, or it is no text of lines.
    """
    data = heard.data
    if not data.strip():
        raise InputError(
            heard.name, got="not one line", allowed="lines with load values",
            do="Is the machine sending, and is this the right port and baud rate?",
        )  # fmt: skip
    if not heard.first_line_whole and b"\n" in data:
        data = data[data.index(b"\n") + 1 :]
    if not heard.at_end and b"\n" not in data and b"\r" not in data:
        raise InputError(
            heard.name, got=f"{len(data)} bytes without an end of line", allowed="lines of text",
            do="Is the baud rate right?",
        )  # fmt: skip
    if line_format is None:
        line_format = sniff_bytes(data, heard.name, at_end=heard.at_end).line_format
    rows = list(_rows(heard, line_format))
    if not rows:
        raise InputError(
            heard.name, got="lines without any field",
            allowed=f"lines of the kind {line_format.kind}",
            do="Say how lines are written with --format.",
        )  # fmt: skip
    fields = _fields(rows, line_format)
    steps = np.diff([at_s for at_s, _ in rows])
    spread = float(steps[(steps > 0) & (steps < _LONGEST_STEP_S)].sum())
    return Survey(heard, line_format, tuple(fields.values()), len(rows), spread)


Pairs = list[tuple[str | int, str]]


def _rows(heard: Heard, form: LineFormat) -> Iterator[tuple[float, Pairs]]:
    """Time and fields of each line that holds values."""
    names: list[str] | None = None
    inside: str | None = None  # an SHDR asset over several lines
    for number, (at_s, line) in enumerate(_lines(heard, form)):
        text = line.strip()
        if not text or text.startswith("#") or re.match(r"^sep=.$", text, re.IGNORECASE):
            continue
        if form.kind == "shdr":
            if inside is not None:
                inside = None if text == inside else inside
                continue
            cells = text.split("|")
            if not _ISO.match(cells[0]):
                continue
            if len(cells) > 4 and cells[4].startswith("--multiline--"):
                inside = cells[4]
                continue
            if cells[1:2] and cells[1].startswith("@"):
                continue
            if len(cells) == 7 and cells[2] in _LEVELS:
                continue  # a condition
            pairs: Pairs = list(zip(cells[1::2], cells[2::2], strict=False))
            yield _stamp_s(cells[0]), [(key, value) for key, value in pairs if key]
        elif form.kind == "key=value":
            parts = (part.partition("=") for part in re.split(r"[;\t ]+|,(?=\D)", text))
            pairs = [(key.strip(), value.strip()) for key, mark, value in parts if mark and key]
            if pairs:
                yield at_s, pairs
        else:
            cells = [cell.strip() for cell in split_cells(text, form.delimiter)]
            if form.header and names is None and (number == 0 or not _any_number(cells, form)):
                names = cells
                continue
            yield (
                at_s,
                [
                    (names[place - 1] if names and place <= len(names) else place, cell)
                    for place, cell in enumerate(cells, 1)
                ],
            )


def _lines(heard: Heard, form: LineFormat) -> Iterator[tuple[float, str]]:
    """Whole lines with the time they came in."""
    data = heard.data
    text = data.decode(form.encoding, "replace").removeprefix("\ufeff")
    ends, arrivals, size = [], [], 0
    for chunk, arrival in heard.chunks:
        size += len(chunk)
        ends.append(size)
        arrivals.append(arrival.monotonic_ns / 1e9)
    width = len(data) / max(1, len(text))  # bytes a character, near enough for a rate
    place = 0
    lines = re.split(r"\r\n|\r|\n", text)
    last = len(lines) - (0 if heard.at_end else 1)
    for number, line in enumerate(lines[:last]):
        place += len(line) + 1
        if number == 0 and not heard.first_line_whole:
            continue
        chunk_number = min(int(np.searchsorted(ends, place * width)), len(arrivals) - 1)
        yield arrivals[chunk_number], line


def _fields(rows: list[tuple[float, Pairs]], form: LineFormat) -> dict[str | int, FieldSeen]:
    fields: dict[str | int, FieldSeen] = {}
    numbers: dict[str | int, list[tuple[float, float]]] = {}
    clocks: dict[str | int, int] = {}
    for at_s, pairs in rows:
        for name, value in pairs:
            one = fields.get(name)
            if one is None:
                unit = split_unit(name)[1] if isinstance(name, str) else ""
                one = fields[name] = FieldSeen(name, unit)
                numbers[name], clocks[name] = [], 0
            if value in ("", "UNAVAILABLE"):
                one.missing += 1
                continue
            one.count += 1
            if len(one.examples) < _EXAMPLES and value not in one.examples:
                one.examples.append(value[:24])
            number = _number(value, form.decimal)
            if number is not None:
                numbers[name].append((at_s, number))
            clocks[name] += bool(_ISO.match(value))
    for name, one in fields.items():
        if one.count and len(numbers[name]) >= 0.9 * one.count:
            one.kind = "number"
            one.at_s = np.array([at_s for at_s, _ in numbers[name]])
            one.values = np.array([number for _, number in numbers[name]])
        elif one.count and clocks[name] >= 0.9 * one.count:
            one.kind = "clock"
    return fields


def _number(text: str, decimal: str) -> float | None:
    try:
        number = float(text.replace(",", ".") if decimal == "," else text)
    except ValueError:
        return None
    return number if np.isfinite(number) else None


def _any_number(cells: list[str], form: LineFormat) -> bool:
    return any(_number(cell, form.decimal) is not None for cell in cells)


def _stamp_s(text: str) -> float:
    """Seconds of an SHDR time stamp; a rate needs no more than microseconds."""
    plain = re.sub(r"(\.\d{1,6})\d*", r"\1", text.partition("@")[0]).replace("Z", "+00:00")
    try:
        return datetime.fromisoformat(plain).timestamp()
    except ValueError:
        return 0.0


@dataclass(frozen=True, slots=True)
class Tried:
    """What a line format and a mapping make of what was heard."""

    batch: Batch
    counters: Counters


def try_out(heard: Heard, line_format: LineFormat, mapping: Mapping) -> Tried:
    """Decode what was heard, as a recording would.

    Raises:
        InputError: the mapping does not fit the lines.
    """
    decoder = Decoder(line_format, mapping, first_line_whole=heard.first_line_whole)
    batches = [decoder.feed(chunk, arrival) for chunk, arrival in heard.chunks]
    batches.append(decoder.finish(last_line_whole=heard.at_end))
    return Tried(Batch.join(batches), decoder.counters)

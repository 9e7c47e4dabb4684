"""What a file seems to be: encoding, line format, delimiter, decimal mark, header, columns."""

from __future__ import annotations

import codecs
import csv
import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from trials.errors import InputError
from trials.logger.line_format import LineFormat, LineKind
from trials.logger.lines.delimited import split_unit
from trials.logger.mapping import LOAD_UNITS, TIME_UNITS, Field, Mapping, known_unit
from trials.logger.sources.files import open_file

SAMPLE_BYTES = 65_536
_STAMP = re.compile(r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[\d.,]*(Z|[+-]\d\d:?\d\d)?(@[\d.]+)?\|")
_PAIR = re.compile(r"^[^\s=;,]+\s*=\s*[^=]*$")
_POINT = re.compile(r"^\s*[+-]?\d*\.\d+\s*%?\s*$")
_COMMA = re.compile(r"^\s*[+-]?\d*,\d+\s*%?\s*$")
_NUMBER = re.compile(r"^\s*[+-]?\d*[.,]?\d+(?:[eE][+-]?\d+)?\s*$")
_ISO = re.compile(r"^\s*\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d")
_CONTROL = bytes(set(range(32)) - {9, 10, 12, 13, 26} | {127})


@dataclass(frozen=True, slots=True)
class FileFormat:
    """What was found.

    Args:
        line_format: ready for the decoder.
        columns: names in the header, or keys of the pairs that were seen; empty without a header.
        example: the first lines of values, decoded, at most five.
    """

    line_format: LineFormat
    columns: tuple[str, ...]
    example: tuple[str, ...]

    @property
    def encoding(self) -> str:
        return self.line_format.encoding

    @property
    def delimiter(self) -> str:
        return self.line_format.delimiter

    @property
    def decimal(self) -> str:
        return self.line_format.decimal

    @property
    def header(self) -> bool:
        return bool(self.line_format.header)

    @property
    def kind(self) -> LineKind:
        return self.line_format.kind


def sniff(path: Path | str) -> FileFormat:
    """Look at the first 64 KiB of a file.

    Raises:
        InputError: no readable text file, an empty one, or one that can be read in two ways.
    """
    path = Path(path)
    with open(open_file(path), "rb") as file:  # noqa: PTH123 - it is open already
        data = file.read(SAMPLE_BYTES)
        at_end = not file.read(1)
    return sniff_bytes(data, path.name, at_end=at_end)


def sniff_bytes(data: bytes, name: str, *, at_end: bool = True) -> FileFormat:
    """The same for the first bytes of anything; ``name`` is used in errors."""
    encoding = _encoding(data, name)
    text = data.decode(encoding, "replace").removeprefix("\ufeff")
    lines = re.split(r"\r\n|\r|\n", text)
    if not at_end and len(lines) > 1:
        lines.pop()
    lines = [line for line in lines if line.strip() and not line.startswith("#")][:400]
    stated = re.match(r"^sep=(.)$", lines[0], re.IGNORECASE) if lines else None
    if stated:
        lines = lines[1:]
    if not lines:
        raise InputError(
            f"file {name}", got="no lines in it" if data else "an empty file",
            allowed="lines with load values", do="Was the recording exported to this file?",
        )  # fmt: skip
    stamped = [line for line in lines if _STAMP.match(line)]
    if 2 * len(stamped) >= len(lines):
        keys = Counter(key for line in stamped for key in line.split("|")[1::2])
        columns = tuple(key for key in keys if key and not key.startswith("@"))
        return FileFormat(LineFormat("shdr", encoding=encoding), columns, tuple(stamped[:5]))
    pairs = [line for line in lines if _is_pairs(line)]
    if 2 * len(pairs) >= len(lines):
        return _key_value(pairs, encoding)
    return _delimited(lines, encoding, name, stated)


def _encoding(data: bytes, name: str) -> str:
    if data.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)) and len(data) % 4 == 0:
        raise _not_text(name, "UTF-32 text")
    if data.startswith(codecs.BOM_UTF16_LE):
        return "utf-16-le"
    if data.startswith(codecs.BOM_UTF16_BE):
        return "utf-16-be"
    if len(data) >= 4:
        even, odd = data[::2].count(0) / len(data[::2]), data[1::2].count(0) / len(data[1::2])
        if odd > 0.8 and even < 0.1:
            return "utf-16-le"
        if even > 0.8 and odd < 0.1:
            return "utf-16-be"
    controls = len(data) - len(data.translate(None, _CONTROL))
    if controls > 0.05 * len(data):
        raise _not_text(name, f"{controls} control bytes in its first {len(data)} bytes")
    try:
        codecs.getincrementaldecoder("utf-8")("strict").decode(data)
    except UnicodeDecodeError:
        if sum(128 <= byte < 160 for byte in data) > 0.02 * len(data):
            raise _not_text(name, "bytes that are no text") from None
        return "latin-1"
    return "utf-8"


def _not_text(name: str, found: str) -> InputError:
    return InputError(
        f"file {name}", got=found, allowed="text in UTF-8, UTF-16 or Latin-1",
        do="Is it the right file? Spreadsheets must be saved as CSV first.",
    )  # fmt: skip


def _is_pairs(line: str) -> bool:
    parts = [part for part in re.split(r"[;\t ]+|,(?=\D)", line.strip()) if part]
    return bool(parts) and all(_PAIR.match(part) for part in parts)


def _key_value(lines: list[str], encoding: str) -> FileFormat:
    keys: Counter[str] = Counter()
    commas = points = 0
    for line in lines:
        for part in re.split(r"[;\t ]+|,(?=\D)", line.strip()):
            key, _, value = part.partition("=")
            if key:
                keys[key.strip()] += 1
            commas += bool(_COMMA.match(value))
            points += bool(_POINT.match(value))
    decimal = "," if commas and not points else "."
    return FileFormat(
        LineFormat("key=value", decimal=decimal, encoding=encoding), tuple(keys), tuple(lines[:5])
    )


def _delimited(
    lines: list[str], encoding: str, name: str, stated: re.Match[str] | None
) -> FileFormat:
    delimiter = stated[1] if stated else _delimiter(lines)
    rows = [split_cells(line, delimiter) for line in lines]
    body = rows[1:] if len(rows) > 1 else rows
    commas = sum(bool(_COMMA.match(cell)) for row in body for cell in row)
    points = sum(bool(_POINT.match(cell)) for row in body for cell in row)
    if commas and points and delimiter != ",":
        line = next(i for i, row in enumerate(rows, 1) if any(map(_COMMA.match, row)))
        raise InputError(
            f"file {name}, about line {line}",
            got=f"{commas} numbers with a comma and {points} with a point",
            allowed="one decimal mark", do="Say which it is with --decimal , or --decimal .",
        )  # fmt: skip
    decimal = "," if commas and delimiter != "," else "."
    header = not any(_NUMBER.match(cell) or _ISO.match(cell) for cell in rows[0])
    form = LineFormat("delimited", delimiter, decimal, header, encoding)
    names = tuple(cell.strip() for cell in rows[0]) if header else ()
    return FileFormat(form, names, tuple(lines[1:6] if header else lines[:5]))


def split_cells(line: str, delimiter: str) -> list[str]:
    """The cells of a delimited line; quotes are understood."""
    if '"' in line:
        return next(csv.reader([line], delimiter=delimiter))
    return line.split() if delimiter == " " else line.split(delimiter)


def _delimiter(lines: list[str]) -> str:
    """The mark that gives every line the same number of columns; commas come last, because they
    may be decimal marks."""
    best, best_score = ",", 0.0
    for mark in (";", "\t", "|", ",", " "):
        counts = Counter(len(split_cells(line, mark)) for line in lines[:100])
        width, times = counts.most_common(1)[0]
        score = times / min(len(lines), 100)
        if width > 1 and score > best_score + 0.2:
            best, best_score = mark, score
    return best


def guess_mapping(found: FileFormat, name: str = "the file") -> Mapping:
    """The mapping that names and units in the header leave no doubt about.

    Raises:
        InputError: none or several columns could be the load, its unit is open, or there is no
            time; names what was seen and how to say it.
    """
    example = found.example[0] if found.example else ""
    seen = ", ".join(found.columns)[:400] or f"no names; the first line is {example[:100]!r}"
    loads = [one for one in found.columns if _means(one, ("load",))]
    if len(loads) != 1:
        raise InputError(
            f"{name}: which field is the load", got=f"{len(loads)} fields that could be it",
            allowed=f"one of {', '.join(loads) or seen}",
            do="Say which, such as --map load=<name or number>,unit=%.",
        )  # fmt: skip
    load = Field(loads[0], _load_unit(loads[0], found, name))
    rpm = _one(found, ("rpm", "speed"), ("1/min", "rpm", "min-1"))
    depth = _one(found, ("depth",), ("mm", "in"))
    if found.kind == "shdr":
        return Mapping(load)
    times = [one for one in found.columns if _means(one, ("time", "t", "timestamp"))]
    if len(times) != 1:
        raise InputError(
            f"{name}: which field is the time", got=f"{len(times)} fields that could be it",
            allowed=f"one of {seen}",
            do="Say which, such as --map load=…,time=<name>,time_unit=s; or interval=0.01 for "
            "values at a fixed rate.",
        )  # fmt: skip
    return Mapping(load, Field(times[0], _time_unit(times[0], found)), rpm, depth)


def _words(name: str) -> list[str]:
    return re.findall(r"[a-z%]+", split_unit(name)[0].casefold())


def _means(name: str, words: tuple[str, ...]) -> bool:
    return any(word in words for word in _words(name))


def _unit_said(name: str, allowed: tuple[str, ...]) -> str | None:
    said = split_unit(name)[1]
    for one in (said, *_words(name)[1:]):
        if known_unit(one) in allowed:
            return known_unit(one)
    return None


def _load_unit(name: str, found: FileFormat, file: str) -> str:
    unit = _unit_said(name, LOAD_UNITS)
    if unit in ("%", "ratio"):
        return unit
    values = _example_values(name, found)
    small = bool(values) and max(values) <= 1.5 and any(value % 1 for value in values)
    if unit is None and not small:
        return "%"
    raise InputError(
        f"{file}: unit of {name}", got=unit or "values of at most 1.5",
        allowed="% of the rated load, or another unit that is stated",
        do=f"Say --map load={name},unit=ratio when 1 is full load, unit=% when in percent, or "
        "unit=kW, A or N*m with reference=<value that is 100 %>.",
    )  # fmt: skip


def _example_values(name: str, found: FileFormat) -> list[float]:
    values = []
    for line in found.example:
        if found.kind == "delimited":
            cells = split_cells(line, found.delimiter)
            at = found.columns.index(name)
            cell = cells[at] if at < len(cells) else ""
        else:
            hit = re.search(re.escape(name) + r"[=|]([^;|\s]*)", line)
            cell = hit[1] if hit else ""
        if _NUMBER.match(cell):
            values.append(float(cell.replace(",", ".")))
    return values


def _time_unit(name: str, found: FileFormat) -> str:
    if any(_ISO.search(part) for line in found.example for part in _cells(line, found)):
        return "iso"
    return _unit_said(name, TIME_UNITS) or "s"


def _cells(line: str, found: FileFormat) -> list[str]:
    if found.kind == "delimited":
        return split_cells(line, found.delimiter)
    return [part.partition("=")[2] for part in re.split(r"[;,\t ]+", line)]


def _one(found: FileFormat, words: tuple[str, ...], units: tuple[str, ...]) -> Field | None:
    """An optional field: only when one column has the name and its unit is beyond doubt."""
    hits = [one for one in found.columns if _means(one, words)]
    if len(hits) != 1:
        return None
    unit = _unit_said(hits[0], tuple(known_unit(one) for one in units))
    if unit is None and "rpm" in _words(hits[0]):
        unit = "1/min"
    return Field(hits[0], unit) if unit else None

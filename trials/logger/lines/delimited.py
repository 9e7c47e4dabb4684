"""Columns with a delimiter between them, with or without a header line."""

from __future__ import annotations

import csv
import difflib
import re
from collections.abc import Sequence

import numpy as np
import pyarrow as pa
import pyarrow.csv

from trials.errors import InputError
from trials.logger.line_format import LineFormat, inside_encoding
from trials.logger.lines.columns import BESIDE, rows_of
from trials.logger.lines.numbers import numbers, times_ns
from trials.logger.lines.rows import Rows
from trials.logger.mapping import FLAG_UNIT, Field, Mapping, known_unit
from trials.logger.readings import RAW_KEPT_BYTES, Counters, Floats, Ints, Reject

_BULK_LINES = 50  # fewer are read quicker line by line
_UNIT_IN_NAME = re.compile(r"^(.*?)\s*(?:\[([^\]]*)\]|\(([^)]*)\))\s*$")


class DelimitedReader:
    """Reads columns. Long runs of clean lines go through Arrow's CSV reader at once; whatever it
    cannot read as plain numbers is read again line by line, which is where rejects are made."""

    def __init__(self, line_format: LineFormat, mapping: Mapping, counters: Counters) -> None:
        self._format = line_format
        self._mapping = mapping
        self._counters = counters
        self._delimiter = line_format.delimiter.encode()
        self._encoding = inside_encoding(line_format)
        fields = mapping.fields()
        named = [field for field in fields.values() if isinstance(field.name, str)]
        self._header_due = bool(named) if line_format.header is None else line_format.header
        if named and not self._header_due:
            raise InputError(
                "mapping by column names for lines without a header",
                got=", ".join(str(field) for field in named),
                allowed="column numbers counted from 1", do="Map by number, such as load=2.",
            )  # fmt: skip
        self._has_header = self._header_due
        self._width = 0  # columns of a line; known from the header or the first line
        self._columns: dict[str, int] = {}
        if not named:
            self._columns = {what: int(field.name) - 1 for what, field in fields.items()}

    def interrupt(self, *, anew: bool = False) -> None:
        """Nothing is carried from line to line but the header, which comes again when anew."""
        self._header_due = self._header_due or (anew and self._has_header)

    def read(self, block: bytes, first_line: int, lines: int) -> Rows:
        while self._header_due:
            line, feed, block = block.partition(b"\n")
            self._read_header(line, first_line)
            first_line += 1
            lines -= 1
            if not feed:
                return self._rows([], [], {what: [] for what in self._mapping.fields()}, [])
        rows = self._read_bulk(block, first_line, lines)
        return self._read_each(block.split(b"\n"), first_line) if rows is None else rows

    # -- header ---------------------------------------------------------------------------------

    def _read_header(self, line: bytes, number: int) -> None:
        if not line.strip():
            self._counters.blank += 1
            return
        if line.startswith(b"#") or (number == 1 and line.lower().startswith(b"sep=")):
            self._counters.comments += 1
            return
        self._header_due = False
        names = [name.decode(self._encoding, "replace").strip() for name in self._fields(line)]
        self._width = len(names)
        for what, field in self._mapping.fields().items():
            self._columns[what] = find_column(what, field, names, number)

    def _fields(self, line: bytes) -> list[bytes]:
        if b'"' in line:
            text = line.decode("latin-1")
            delimiter = self._format.delimiter
            try:
                row = next(
                    csv.reader([text], delimiter=delimiter, skipinitialspace=delimiter == " ")
                )
            except (csv.Error, StopIteration):
                return line.split(self._delimiter)
            return [field.encode("latin-1") for field in row]
        return line.split() if self._delimiter == b" " else line.split(self._delimiter)

    # -- many lines at once ---------------------------------------------------------------------

    def _read_bulk(self, block: bytes, first_line: int, count: int) -> Rows | None:
        """All lines through Arrow; None when any line is not plain or too few are there."""
        if count < _BULK_LINES or not self._width or self._delimiter == b" ":
            return None
        if any(mark in block for mark in (b'"', b"#", b"\x00")) or (
            self._format.decimal == "," and b"." in block
        ):
            return None
        names = [str(index) for index in range(self._width)]
        fields = self._mapping.fields()
        try:
            table = pyarrow.csv.read_csv(
                pa.py_buffer(block),
                read_options=pyarrow.csv.ReadOptions(
                    use_threads=False, column_names=names, block_size=len(block) + 1
                ),
                parse_options=pyarrow.csv.ParseOptions(
                    delimiter=self._format.delimiter, quote_char=False, ignore_empty_lines=False
                ),
                convert_options=pyarrow.csv.ConvertOptions(
                    check_utf8=False,
                    column_types={
                        str(self._columns[what]): pa.binary()
                        if field.unit in ("iso", FLAG_UNIT)
                        else pa.float64()
                        for what, field in fields.items()
                    },
                    include_columns=list({str(self._columns[what]) for what in fields}),
                    null_values=[],
                    decimal_point=self._format.decimal,
                ),
            )
        except (pa.ArrowInvalid, pa.ArrowKeyError):
            return None
        if table.num_rows != count:
            return None
        values: dict[str, Floats | Ints] = {}
        for what, field in fields.items():
            column = table.column(str(self._columns[what])).combine_chunks()
            if field.unit == "iso":
                times, problems = times_ns(column.to_pylist())
                if problems:
                    return None
                values[what] = times
                continue
            if field.unit == FLAG_UNIT:
                values[what], problems = numbers(column.to_pylist(), ".", FLAG_UNIT)
                if problems:
                    return None
                continue
            found = column.to_numpy(zero_copy_only=False)
            if column.null_count or not np.isfinite(found.sum()):
                return None
            values[what] = found
        unknown = np.broadcast_to(np.nan, count)  # takes no memory
        load, rpm, depth, cycle = (
            np.asarray(values.get(what, unknown), dtype=np.float64) for what in ("load", *BESIDE)
        )
        lines = np.arange(first_line, first_line + count, dtype=np.int64)
        return Rows(lines, load, values.get("time"), rpm, depth, cycle)

    # -- line by line ---------------------------------------------------------------------------

    def _read_each(self, lines: list[bytes], first_line: int) -> Rows:
        columns: dict[str, list[bytes]] = {what: [] for what in self._mapping.fields()}
        numbers: list[int] = []
        raws: list[bytes] = []
        rejects: list[Reject] = []
        for number, line in enumerate(lines, first_line):
            if not line.strip():
                self._counters.blank += 1
                continue
            if line[:1] == b"#" or (number == 1 and line[:4].lower() == b"sep="):
                self._counters.comments += 1
                continue
            fields = self._fields(line)
            if len(fields) != self._width:
                wrong = self._wrong_width(fields, number, line)
                if wrong is not None:
                    rejects.append(wrong)
                    continue
            numbers.append(number)
            raws.append(line)
            for what, column in self._columns.items():
                columns[what].append(fields[column])
        return self._rows(numbers, raws, columns, rejects)

    def _wrong_width(self, fields: list[bytes], number: int, line: bytes) -> Reject | None:
        """Settle the width with the first line; refuse others, save for empty fields at the end."""
        if not self._width:
            needed = max(self._columns.values()) + 1
            if len(fields) >= needed:
                self._width = len(fields)
                return None
            allowed = f"at least {needed} columns with {self._mark} between them"
        else:
            if not any(field.strip() for field in fields[self._width :]) and (
                len(fields) > self._width
            ):
                return None
            allowed = f"{self._width} columns with {self._mark} between them"
        do = "Is the delimiter right?"
        if self._format.delimiter == "," and len(fields) == 2 * self._width:
            do = "Decimal commas? Export the file with semicolons between the columns."
        return Reject(number, line[:RAW_KEPT_BYTES], "wrong number of columns", "",
                      f"{len(fields)} columns", allowed, do)  # fmt: skip

    @property
    def _mark(self) -> str:
        return {"\t": "tab", " ": "space"}.get(self._format.delimiter, self._format.delimiter)

    def _rows(
        self, numbers: list[int], raws: list[bytes], columns: dict[str, list[bytes]],
        rejects: list[Reject],
    ) -> Rows:  # fmt: skip
        plain: dict[str, Sequence[bytes]] = dict(columns)
        rows = rows_of(self._mapping, self._format.decimal, numbers, raws, plain, self._counters)
        rows.rejects += rejects
        return rows


def find_column(what: str, field: Field, names: list[str], line_number: int) -> int:
    """The index of a mapped column in a header: exact name, else without unit and case.

    Raises:
        InputError: no such column, two that could be meant, or a unit in the header that is not
            the mapped one.
    """
    if isinstance(field.name, int):
        if field.name <= len(names):
            return field.name - 1
        raise InputError(
            f"line {line_number}, header: {what}", got=f"column {field.name} was asked for",
            allowed=f"1 to {len(names)}", do=f"The columns are {', '.join(names)[:300]}.",
        )  # fmt: skip
    wanted = field.name.strip()
    places = [index for index, name in enumerate(names) if name == wanted]
    if not places:
        bare = split_unit(wanted)[0].casefold()
        places = [i for i, name in enumerate(names) if split_unit(name)[0].casefold() == bare]
    if len(places) != 1:
        near = difflib.get_close_matches(wanted, names, n=1)
        raise InputError(
            f"line {line_number}, header: column for {what}",
            got=f"{len(places) or 'no'} columns named {wanted}",
            allowed="one of " + (", ".join(names)[:300] or "none"),
            do=f"Did you mean {near[0]}?" if near else "Say which column it is, such as --map "
            f"{what}=<name or number>; is the delimiter right?",
        )  # fmt: skip
    unit = split_unit(names[places[0]])[1]
    known = {"%", "kW", "A", "N*m", "s", "ms", "1/min", "mm", "in", "ratio"}
    if unit and known_unit(unit) in known and known_unit(unit) != field.unit:
        raise InputError(
            f"line {line_number}, header: unit of {what}", got=names[places[0]],
            allowed=f"{field.unit}, as mapped",
            do=f"Map it as unit={known_unit(unit)} if the header is right.",
        )  # fmt: skip
    return places[0]


def split_unit(name: str) -> tuple[str, str]:
    """``load [%]`` → (``load``, ``%``); no unit → ``""``."""
    found = _UNIT_IN_NAME.match(name)
    if found is None:
        return name.strip(), ""
    return found[1].strip(), (found[2] if found[2] is not None else found[3] or "").strip()

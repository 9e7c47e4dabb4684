"""A spreadsheet saved as text, read into cells: encoding, delimiter, header, units, rows.

Nothing is believed of the file: it is looked at whole before any of it is used, and what cannot be
read is refused with its line.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from trials.errors import InputError, require

MOST_BYTES = 20_000_000
MOST_COLUMNS = 1000
MOST_ROWS = 100_000
_DELIMITERS = (";", "\t", ",", "|")
_HEADER_WITHIN = 40  # rows of titles that may stand above the header
_SAVE_AS = "Save it as CSV, UTF-8, from the spreadsheet program, and take that file."
_NAMES = {";": "semicolons", "\t": "tabs", ",": "commas", "|": "bars"}


@dataclass(frozen=True, slots=True)
class SheetRow:
    """Cells of one row without blanks around them, and the line on which it ends."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """What was found in a file.

    Args:
        name: of the file; encoding, delimiter: how it was written.
        header: the row that names the columns; units: for each column what a row of units below
            the header says, empty where there is none.
        rows: the rows below, without empty ones.
    """

    name: str
    encoding: str
    delimiter: str
    header: SheetRow
    units: tuple[str, ...]
    rows: tuple[SheetRow, ...]

    @property
    def how(self) -> str:
        """How it was written, in words."""
        return (
            f"{self.encoding}, {_NAMES[self.delimiter]} between columns, names of columns in line "
            f"{self.header.line}"
        )


def read_sheet(
    data: bytes, name: str, known: Callable[[str], bool], is_unit: Callable[[str], bool]
) -> Sheet:
    """Read a file that a spreadsheet program wrote as text.

    Args:
        data: the bytes of the file.
        name: what it is called in errors.
        known: whether a cell is the name of a column that means something here; the row with most
            of them is the header.
        is_unit: whether a cell is the name of a unit.

    Raises:
        InputError: too large, no text, no header, or not to be read without doubt; says where.
    """
    require(len(data) <= MOST_BYTES, f"sheet {name}", f"{len(data):,} bytes",
            f"at most {MOST_BYTES:,}")  # fmt: skip
    text, encoding = _text(data, name)
    stated, body, skipped = _stated_delimiter(text)
    best: tuple[int, int, str] | None = None
    for delimiter in (stated,) if stated else _DELIMITERS:
        found = _header(_some(body, delimiter), known)
        if found is not None and (best is None or found[0] > best[0]):
            best = (*found, delimiter)
    if best is None:
        first = next((line for line in body.splitlines() if line.strip()), "")
        raise InputError(
            f"sheet {name}: no row that names its columns", got=first or "an empty file",
            allowed="a row with names such as speed, feed and holes, in any of English, German, "
            "French, Spanish or Italian",
            do="Put names above the columns. A column of another name is said with --map.",
        )  # fmt: skip
    _, at, delimiter = best
    rows = [SheetRow(row.line + skipped, row.cells) for row in _all(body, delimiter, name)]
    header, rest = rows[at], rows[at + 1 :]
    units: tuple[str, ...] = ("",) * len(header.cells)
    if rest and _is_units_row(rest[0], is_unit):
        units = (rest[0].cells + units)[: len(units)]
        rest = rest[1:]
    return Sheet(name, encoding, delimiter, header, units,
                 tuple(row for row in rest if any(row.cells)))  # fmt: skip


def _text(data: bytes, name: str) -> tuple[str, str]:
    require(bool(data.strip()), f"sheet {name}", "an empty file", "a table")
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise InputError(
            f"sheet {name}: a workbook of a spreadsheet program, not text", do=_SAVE_AS
        )
    encoding, shown = _encoding(data)
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        raise InputError(f"sheet {name}, byte {error.start}: not text", do=_SAVE_AS) from None
    text = text.removeprefix("\ufeff")
    for place, letter in enumerate(text):
        if letter < " " and letter not in "\t\r\n\f":
            raise InputError(
                f"sheet {name}, line {text.count(chr(10), 0, place) + 1}: a control character",
                got=letter, allowed="text", do=_SAVE_AS,
            )  # fmt: skip
    return text.replace("\r\n", "\n").replace("\r", "\n"), shown


def _encoding(data: bytes) -> tuple[str, str]:
    for mark, encoding, shown in (
        (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"), (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
        (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
    ):  # fmt: skip
        if data.startswith(mark):
            return encoding, shown
    if len(data) >= 4 and len(data) % 2 == 0:
        even, odd = data[::2].count(0) / len(data[::2]), data[1::2].count(0) / len(data[1::2])
        if odd > 0.8 and even < 0.1:
            return "utf-16-le", "UTF-16"
        if even > 0.8 and odd < 0.1:
            return "utf-16-be", "UTF-16"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        try:
            data.decode("cp1252")  # what spreadsheet programs call ANSI; holds Latin-1's letters
        except UnicodeDecodeError:
            return "latin-1", "Latin-1"
        return "cp1252", "Latin-1"
    return "utf-8", "UTF-8"


def _stated_delimiter(text: str) -> tuple[str, str, int]:
    """The delimiter that a first line ``sep=;`` states, and the text below it."""
    first, _, rest = text.partition("\n")
    stated = first.strip().strip('"').lower()
    if len(stated) == 5 and stated.startswith("sep=") and stated[4] in _DELIMITERS:
        return stated[4], rest, 1
    return ("\t", rest, 1) if first.lower().startswith("sep=\t") else ("", text, 0)


def _reader(text: str, delimiter: str) -> Iterator[SheetRow]:
    sheet = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    for cells in sheet:
        yield SheetRow(sheet.line_num, tuple(cell.strip(" \t\u00a0\u202f") for cell in cells))


def _some(text: str, delimiter: str) -> list[SheetRow]:
    found: list[SheetRow] = []
    try:
        for row in _reader(text, delimiter):
            found.append(row)
            if len(found) >= _HEADER_WITHIN or len(row.cells) > MOST_COLUMNS:
                break
    except csv.Error:
        pass  # told with its line once the file is read whole
    return found


def _all(text: str, delimiter: str, name: str) -> list[SheetRow]:
    found: list[SheetRow] = []
    rows = _reader(text, delimiter)
    while True:
        try:
            row = next(rows, None)
        except csv.Error as error:
            line = found[-1].line + 1 if found else 1
            raise InputError(
                f"sheet {name}, from line {line}: cells cannot be told apart", got=str(error),
                allowed='quotes around a whole cell, and "" for a quote inside',
            ) from None  # fmt: skip
        if row is None:
            return found
        require(len(row.cells) <= MOST_COLUMNS, f"sheet {name}, line {row.line}",
                f"{len(row.cells):,} columns", f"at most {MOST_COLUMNS:,}")  # fmt: skip
        require(len(found) < MOST_ROWS, f"sheet {name}", f"more than {MOST_ROWS:,} rows",
                f"at most {MOST_ROWS:,}")  # fmt: skip
        found.append(row)


def _header(rows: Sequence[SheetRow], known: Callable[[str], bool]) -> tuple[int, int] | None:
    """How many names the best row knows, and its place; None below two."""
    best: tuple[int, int] | None = None
    for place, row in enumerate(rows):
        if len(row.cells) > MOST_COLUMNS:
            continue
        count = sum(bool(cell) and known(cell) for cell in row.cells)
        if count >= 2 and (best is None or count > best[0]):
            best = (count, place)
    return best


def _is_units_row(row: SheetRow, is_unit: Callable[[str], bool]) -> bool:
    said = [cell for cell in row.cells if cell]
    return bool(said) and 2 * sum(map(is_unit, said)) > len(said) and not any(
        any(letter.isdigit() for letter in cell.replace("1/min", "").replace("min-1", ""))
        for cell in said
    )  # fmt: skip

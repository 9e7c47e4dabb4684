"""Cells of a shop's own sheet as values: numbers with either decimal mark, days, words.

What can be read in two ways is refused and never guessed. Nothing in a cell is ever run.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Literal, TypeVar

from trials.errors import InputError
from trials.sharing.sheet_words import UNITS, plain_words

DecimalMark = Literal[",", "."]
DayOrder = Literal["day first", "month first"]
MOST_CHARACTERS = 5000
_GAPS = str.maketrans("", "", " \u00a0\u202f\u2009'’")
_PLAIN = re.compile(r"[+-]?\d{1,30}([.,]\d{1,30})?([eE][+-]?\d{1,3})?")
_GROUPED = re.compile(r"[+-]?\d{1,3}(([.,])\d{3})(\2\d{3})*")
_BOTH = re.compile(r"[+-]?\d{1,3}(?:(\.)\d{3}(?:\.\d{3})*,\d+|(,)\d{3}(?:,\d{3})*\.\d+)")
_WITH_UNIT = re.compile(
    r"([+-]?[\d.,'’ \u00a0\u202f\u2009]*\d(?:[eE][+-]?\d{1,3})?)\s*(.*)", re.DOTALL
)
_PECK = re.compile(
    r"(?<![A-Za-z\d.,])[Qq]?\s*(?P<number>\d[\d.,]*)\s*"
    r"(?:(?P<times>[x×*]?\s*[dD]\b)|(?P<unit>mm|inch|in|zoll|\"|thou)(?![a-z]))?"
)
_DAY = re.compile(r"(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})(?:[T ,]+(\d{1,2}):(\d\d)(?::(\d\d))?.*)?")
_FIRST_YEAR, _LAST_YEAR = 1950, 2100
Word = TypeVar("Word", bound=str)


def decimal_mark(cells: Iterable[str], delimiter: str) -> DecimalMark:
    """The decimal mark of a sheet, by the numbers that can be read in one way only."""
    commas = points = 0
    for cell in cells:
        text = cell.translate(_GAPS)
        if _PLAIN.fullmatch(text) is None:
            both = _BOTH.fullmatch(text)
            commas += both is not None and both[1] is not None
            points += both is not None and both[2] is not None
        elif not _GROUPED.fullmatch(text) or text.lstrip("+-").startswith("0"):
            commas += "," in text
            points += "." in text
    if commas == points:
        return "," if delimiter == ";" else "."
    return "," if commas > points else "."


def number_or_none(cell: str, decimal: DecimalMark, *, whole: bool = False) -> float | None:
    """A number for looking at a column; None for what is none."""
    hit = _WITH_UNIT.fullmatch(cell.strip().lstrip(">≥~ "))
    if hit is None:
        return None
    try:
        return _value(hit[1], decimal, whole=whole)
    except ValueError:
        return None


def read_number(
    cell: str, place: str, decimal: DecimalMark, *, unit: str = "", said: str = "",
    whole: bool = False, span: tuple[float, float] = (-math.inf, math.inf),
) -> float:  # fmt: skip
    """A number of a cell in the inside unit ``unit``.

    Args:
        cell: its text; a unit may stand behind the number and goes before that of the column.
        place: named in errors.
        decimal: decimal mark of the sheet.
        unit: inside unit, a key of `UNITS`; said: unit of the column.
        whole: only whole numbers; a mark between thousands is no doubt then.
        span: lowest and highest that is accepted.

    Raises:
        InputError: no number, two readings, another unit, or out of the span.
    """
    refuse_formula(cell, place)
    hit = _WITH_UNIT.fullmatch(cell.strip())
    if hit is None or len(cell) > 100:
        raise InputError(place, got=cell, allowed=_example(decimal, whole))
    table = UNITS.get(unit, {})
    behind = hit[2].strip().casefold().replace(" ", "")
    if behind and behind not in table:
        raise InputError(place, got=cell, allowed=f"{_example(decimal, whole)}, or a unit of "
                         f"{', '.join(table) or 'none'} behind it")  # fmt: skip
    try:
        value = _value(hit[1], decimal, whole=whole)
    except ValueError as error:
        if str(error) == "two ways":
            raise InputError(
                place, got=cell, allowed="a number that can be read in one way only",
                do=f"Say which mark is decimal, comma or point; it was taken as {decimal!r}.",
            ) from None  # fmt: skip
        raise InputError(place, got=cell, allowed=_example(decimal, whole)) from None
    value *= table.get(behind or said, 1.0)
    if not math.isfinite(value) or not span[0] <= value <= span[1]:
        allowed = f"{span[0]:,.15g} to {span[1]:,.15g} {'' if unit == 'count' else unit}".strip()
        raise InputError(place, got=cell, allowed=allowed)
    if whole and value != int(value):
        raise InputError(place, got=cell, allowed="a whole number")
    return value


def _value(text: str, decimal: DecimalMark, *, whole: bool) -> float:
    plain = text.translate(_GAPS)
    if _BOTH.fullmatch(plain):
        mark = "," if plain.rfind(",") > plain.rfind(".") else "."
        other = "." if mark == "," else ","
        if mark != decimal:
            raise ValueError("two ways")
        return float(plain.replace(other, "").replace(mark, "."))
    grouped = _GROUPED.fullmatch(plain)
    if grouped and not plain.lstrip("+-").startswith("0"):
        if grouped[2] == decimal and plain.count(decimal) == 1 and not whole:
            return float(plain.replace(decimal, "."))
        if grouped[2] != decimal and (whole or plain.count(grouped[2]) > 1):
            return float(plain.replace(grouped[2], ""))
        raise ValueError("two ways")
    if _PLAIN.fullmatch(plain) is None:
        raise ValueError("no number")
    return float(plain.replace(",", "."))


def _example(decimal: DecimalMark, whole: bool) -> str:
    return "a whole number, such as 240" if whole else f"a number, such as 41{decimal}5"


def refuse_formula(cell: str, place: str) -> None:
    """Refuse what a spreadsheet would run.

    Raises:
        InputError: a formula.
    """
    text = cell.lstrip()
    if text.startswith(("=", "@")) or re.match(r"[+-]\s*[A-Za-z(\"']", text):
        raise InputError(
            f"{place}: a formula", got=cell, allowed="a value",
            do="Save the sheet with values in place of formulas. Nothing of the cell was run.",
        )  # fmt: skip


def read_peck(
    cell: str, place: str, decimal: DecimalMark, called: dict[Word, tuple[str, ...]],
    said: str = "mm",
) -> tuple[Word | None, float | None, float | None]:  # fmt: skip
    """Pecking as people write it: ``chip break``, ``2.5``, ``Spanbruch 1xD``, ``G83 Q3``.

    Args:
        cell: its text.
        place: named in errors.
        decimal: decimal mark of the sheet.
        called: the kinds of pecking, by all names they have.
        said: unit of the column, for a depth without one.

    Returns:
        Kind of pecking, depth in mm and depth in drill diameters, None for what it does not say.

    Raises:
        InputError: it says none of these.
    """
    refuse_formula(cell, place)
    hit = _PECK.search(cell)
    words = cell if hit is None else f"{cell[: hit.start()]} {cell[hit.end() :]}"
    mode = read_word(words, place, called) if plain_words(words) else None
    if hit is None:
        return mode, None, None
    times = hit["times"] is not None
    value = read_number(
        hit["number"] + ("" if times else hit["unit"] or ""), place, decimal,
        unit="" if times else "mm", said="" if times else said,
    )  # fmt: skip
    if not value:
        return mode, None, None
    return (mode, None, value) if times else (mode, value, None)


def read_text(cell: str, place: str, most: int) -> str:
    """Free text of a cell, of at most so many characters.

    Raises:
        InputError: a formula, or too long.
    """
    refuse_formula(cell, place)
    text = " ".join(cell.removeprefix("'").split())
    if len(text) > most:
        raise InputError(place, got=f"{len(text):,} characters", allowed=f"at most {most:,}")
    return text


def day_order(cells: Iterable[str]) -> DayOrder | None:
    """Whether days or months come first in a column; None when nothing tells."""
    first = second = 0
    for cell in cells:
        hit = _DAY.fullmatch(cell.strip())
        if hit is None or len(hit[1]) == 4:
            continue
        if hit[2] == ".":
            return "day first"
        first = max(first, int(hit[1]))
        second = max(second, int(hit[3]))
    if first > 12 >= second:
        return "day first"
    return "month first" if second > 12 >= first else None


def read_day(cell: str, place: str, order: DayOrder | None) -> datetime:
    """A day, as noon in UTC so that it is the same day almost everywhere.

    Raises:
        InputError: none, or one that can be read in two ways.
    """
    refuse_formula(cell, place)
    hit = _DAY.fullmatch(cell.strip())
    if hit is None:
        raise InputError(place, got=cell, allowed="a day such as 2026-03-01, 1.3.2026 or 3/1/2026")
    one, two, three = int(hit[1]), int(hit[3]), int(hit[4])
    if len(hit[1]) == 4:
        year, month, day = one, two, three
    else:
        year = three if three > 99 else 2000 + three if three < 70 else 1900 + three
        if order is None and one != two:
            raise InputError(
                place,
                got=cell,
                allowed="a day that can be read in one way only",
                do="Say whether the day or the month comes first.",
            )
        month, day = (one, two) if order == "month first" else (two, one)
    try:
        if not _FIRST_YEAR <= year <= _LAST_YEAR:
            raise ValueError
        return datetime(year, month, day, 12, tzinfo=UTC)
    except ValueError:
        raise InputError(place, got=cell, allowed=f"a day of the years {_FIRST_YEAR} to "
                         f"{_LAST_YEAR}") from None  # fmt: skip


def read_word(cell: str, place: str, called: dict[Word, tuple[str, ...]]) -> Word:
    """A word of a list, by any of the names it has.

    Raises:
        InputError: none of them.
    """
    refuse_formula(cell, place)
    text = plain_words(cell) or cell.strip()
    for word, names in called.items():
        if text in names or text == word.replace("_", " "):
            return word
    parts = set(text.split())
    held = [word for word, names in called.items()
            if any(len(name) > 3 and set(name.split()) <= parts for name in names)]  # fmt: skip
    if len(held) == 1 and not parts & {"not", "no", "nicht", "kein", "keine", "non", "pas", "sin"}:
        return held[0]
    raise InputError(place, got=cell, allowed=", ".join(word.replace("_", " ") for word in called)
                     + ", or the like in English, German, French, Spanish or Italian")  # fmt: skip

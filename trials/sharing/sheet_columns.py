"""Which column of a sheet is what: by its name, its unit and its values, with how sure that is."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, get_args

from trials.errors import InputError
from trials.sharing.sheet_cells import DecimalMark, number_or_none
from trials.sharing.sheet_read import Sheet
from trials.sharing.sheet_words import (
    FIELDS,
    INCH_HABIT,
    UNITS,
    FieldName,
    SheetField,
    plain_words,
    unit_name,
)

Sureness = Literal["said", "sure", "likely", "guess"]
NOT_USED = "-"
_UNITS_AS_NAMES = ("sfm", "sfpm", "fpm", "ipr", "ipm", "rpm", "upm")
_LOOKED_AT = 200  # rows that are looked at to doubt a column
_SURE, _LIKELY, _LEAST = 0.9, 0.7, 0.5


@dataclass(frozen=True, slots=True)
class ColumnMatch:
    """What a column was taken for.

    Args:
        number: counted from 1; header: its name in the sheet.
        field: what it holds; None when it is not used.
        unit: unit of its values, as the header or the habit has it; empty without one.
        sure: how sure that is; ``said`` when a person said so.
        remark: why it is not used, or what was assumed.
    """

    number: int
    header: str
    field: FieldName | None
    unit: str = ""
    sure: Sureness = "guess"
    remark: str = ""

    @property
    def factor(self) -> float:
        """What a value is multiplied with to be in the inside unit of its field."""
        if self.field is None or not self.unit:
            return 1.0
        return UNITS[FIELDS[self.field].unit][self.unit]


def is_known(header: str) -> bool:
    """Whether a cell is the name of a column that means something here."""
    name, _ = split_header(header)
    return any(_likeness(name, field) >= _LIKELY for field in FIELDS.values())


def match_columns(
    sheet: Sheet, said: Mapping[str, str], decimal: DecimalMark, *, inch: bool
) -> tuple[ColumnMatch, ...]:
    """Match the columns of a sheet.

    Args:
        sheet: what was read.
        said: for the name or number of a column, the field that a person says it is (``-`` for
            none).
        decimal: decimal mark of the sheet.
        inch: columns without a unit are in inches, ft/min and in/rev.

    Raises:
        InputError: a name of a column or field that is not there; a unit that does not fit.
    """
    split = [split_header(cell) for cell in sheet.header.cells]
    units = [unit_name(sheet.units[place]) or unit for place, (_, unit) in enumerate(split)]
    fixed = _said(sheet, said)
    taken: dict[int, tuple[FieldName, float]] = {}
    also: dict[int, FieldName] = {}
    found = []
    for place, (name, _) in enumerate(split):
        if place in fixed or not name:
            continue
        for field_name in get_args(FieldName):
            if field_name in fixed.values():
                continue
            score = _score(sheet, place, name, units[place], FIELDS[field_name], decimal, inch)
            if score >= _LEAST:
                found.append((score, -place, field_name))
    for score, place, field_name in sorted(found, key=lambda one: (-one[0], -one[1])):
        if -place in taken or field_name in {one for one, _ in taken.values()}:
            also.setdefault(-place, field_name)
            continue
        taken[-place] = (field_name, score)
    matches = []
    for place, header in enumerate(sheet.header.cells):
        number, unit = place + 1, units[place]
        if place in fixed:
            chosen = fixed[place]
            matches.append(_unit_of(number, header, chosen, unit, "said", inch))
        elif place in taken:
            field_name, score = taken[place]
            sure: Sureness = ("sure" if score >= _SURE else "likely" if score >= _LIKELY
                              else "guess")  # fmt: skip
            matches.append(_unit_of(number, header, field_name, unit, sure, inch))
        else:
            why = f"another column is the {FIELDS[also[place]].means}" if place in also else ""
            matches.append(ColumnMatch(number, header, None, remark=why))
    return tuple(matches)


def split_header(header: str) -> tuple[str, str]:
    """Name of a column in plain words, and unit, of ``Vc [m/min]``, ``f (in/rev)``, ``VB / mm``."""
    text = " ".join(header.split())
    for bracket in re.finditer(r"[\[(]([^\])]*)[\])]", text):
        unit = unit_name(bracket[1])
        if unit is not None and bracket[1].strip():
            return plain_words(text[: bracket.start()] + " " + text[bracket.end() :]), unit
    for mark in (r"\s+/\s*", r"\s+in\s+", r",\s*", r"\s+"):
        head, gap, tail = _last(text, mark)
        unit = unit_name(tail) if gap else None
        if unit is not None and plain_words(head) and unit not in UNITS["count"]:
            return plain_words(head), unit
    return plain_words(text), text.casefold() if text.casefold() in _UNITS_AS_NAMES else ""


def _last(text: str, mark: str) -> tuple[str, str, str]:
    places = list(re.finditer(mark, text))
    if not places:
        return text, "", ""
    return text[: places[-1].start()], places[-1][0], text[places[-1].end() :]


def _said(sheet: Sheet, said: Mapping[str, str]) -> dict[int, FieldName | None]:
    fixed: dict[int, FieldName | None] = {}
    names = [plain_words(cell) for cell in sheet.header.cells]
    bare = [split_header(cell)[0] for cell in sheet.header.cells]
    for column, field in said.items():
        exact = [place for place, cell in enumerate(sheet.header.cells) if cell == column.strip()]
        like = [place for place in range(len(names))
                if plain_words(column) in (names[place], bare[place])]  # fmt: skip
        if exact or like:
            place = (exact or like)[0]
        elif column.strip().isdigit() and 1 <= int(column) <= len(names):
            place = int(column) - 1
        else:
            raise InputError(f"sheet {sheet.name}: column", got=column,
                             allowed=", ".join(cell for cell in sheet.header.cells if cell)[:600]
                             + ", or its number")  # fmt: skip
        known = {name: name for name in get_args(FieldName)}
        known |= {plain_words(one.means): name for name, one in FIELDS.items()}
        key = field.strip()
        if key == NOT_USED:
            fixed[place] = None
        elif key in known or plain_words(key) in known:
            fixed[place] = known.get(key) or known[plain_words(key)]
        else:
            raise InputError(f"what column {column} is", got=field,
                             allowed=", ".join((*get_args(FieldName), "- for none")))  # fmt: skip
    chosen = [field for field in fixed.values() if field is not None]
    for field in set(chosen):
        if chosen.count(field) > 1:
            raise InputError(
                f"sheet {sheet.name}: {FIELDS[field].means}", allowed="one column",
                got=f"{chosen.count(field)} columns",
            )  # fmt: skip
    return fixed


def _unit_of(
    number: int, header: str, field_name: FieldName | None, unit: str, sure: Sureness, inch: bool
) -> ColumnMatch:
    if field_name is None:
        return ColumnMatch(number, header, None, sure=sure)
    field = FIELDS[field_name]
    table = UNITS.get(field.unit, {})
    if not table or field.unit in ("count", "%", "1/min"):
        return ColumnMatch(number, header, field_name, unit if unit in table else "", sure)
    if unit:
        if unit not in table:
            raise InputError(f"unit of column {header}", got=unit,
                             allowed=f"a unit of {field.means}: {', '.join(table)}")  # fmt: skip
        return ColumnMatch(number, header, field_name, unit, sure)
    habit = INCH_HABIT.get(field.unit, field.unit) if inch else field.unit
    return ColumnMatch(number, header, field_name, habit, sure, f"no unit: taken as {habit}")


def _score(
    sheet: Sheet, place: int, name: str, unit: str, field: SheetField, decimal: DecimalMark,
    inch: bool,
) -> float:  # fmt: skip
    score = _likeness(name, field)
    if score < _LEAST:
        return 0.0
    table = UNITS.get(field.unit, {})
    if unit and table:
        if unit not in table:
            return 0.0
        score += 0.1
    elif unit and field.kind == "text":
        score -= 0.3
    if field.kind not in ("number", "whole"):
        return score
    habit = INCH_HABIT.get(field.unit, field.unit) if inch else field.unit
    factor = table.get(unit or habit, 1.0)
    cells = [row.cells[place] for row in sheet.rows[:_LOOKED_AT] if place < len(row.cells)]
    filled = [cell for cell in cells if cell]
    read = [number_or_none(cell, decimal, whole=field.kind == "whole") for cell in filled]
    values = [value * factor for value in read if value is not None]
    if not filled:
        return score - 0.2
    low, high = field.usual
    fitting = sum(low <= value <= high for value in values) / len(filled)
    return score * (0.4 + 0.6 * fitting) if fitting >= 0.25 else 0.0


@cache
def _likeness(name: str, field: SheetField) -> float:
    """1 for a word of the table, less for a name that holds one or is written a little wrong."""
    if name in field.words:
        return 1.0
    parts = set(name.split())
    best = 0.0
    for word in field.words:
        own = set(word.split())
        if len(word) > 2 and own <= parts:
            best = max(best, 0.9 - 0.08 * min(4, len(parts - own)) + 0.02 * (len(own) - 1))
        elif len(word) > 5 and abs(len(word) - len(name)) <= 3:
            alike = difflib.SequenceMatcher(None, name, word).ratio()
            best = max(best, 0.75 * alike if alike >= 0.84 else 0.0)
    return best

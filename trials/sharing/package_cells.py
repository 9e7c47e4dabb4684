"""Values as cells of a CSV file and back: exact, bounded, and never a formula.

A spreadsheet takes a text that begins with one of ``= + - @`` for a formula. Such texts are written
with an apostrophe before them, which is taken off again on reading; a text cell that begins with
one of these without an apostrophe did not come from this program and is refused.
"""

from __future__ import annotations

import json
import math
import re
import uuid
from datetime import UTC, datetime
from typing import Any

from trials.errors import InputError, require, shorten
from trials.store import CellKind, PackedColumn

MOST_CHARACTERS = 100_000
LARGEST = 1e12
LARGEST_WHOLE = 2**31 - 1  # what every database engine keeps
_NUMBER = re.compile(r"-?\d{1,40}(\.\d{1,40})?(e[-+]?\d{1,4})?", re.ASCII)
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_DEEPEST = 20


def to_cell(value: Any, kind: CellKind) -> str:
    """A value as the text of a cell; what is absent becomes an empty cell."""
    if value is None:
        return ""
    if kind == "number":
        return repr(float(value))
    if kind == "yes_no":
        return "true" if value else "false"
    if kind == "time":
        return time_text(value)
    if kind == "json":
        return json_text(value)
    text = str(value)
    if kind == "text" and text.startswith((*_FORMULA, "'")):
        return "'" + text
    return text


def time_text(moment: datetime) -> str:
    """A moment in UTC, to the microsecond: ``2026-03-01T12:00:00.000000Z``."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def json_text(value: Any) -> str:
    """JSON on one line, the same for the same value."""
    return json.dumps(value, allow_nan=False, ensure_ascii=False, sort_keys=True)


def from_cell(text: str, column: PackedColumn, where: str) -> Any:
    """The value of a cell.

    Args:
        text: as the CSV reader gave it.
        column: what it should be.
        where: place named in errors.

    Raises:
        InputError: not of that kind, absent where it must not be, too large, or a formula.
    """
    if len(text) > MOST_CHARACTERS:
        raise InputError(f"{where}, column {column.name}", got=f"{len(text):,} characters",
                         allowed=f"at most {MOST_CHARACTERS:,}")  # fmt: skip
    if text == "":
        if column.may_be_absent:
            return None
        if column.kind == "text":
            return ""
        raise InputError(
            f"{where}, column {column.name}", got="nothing", allowed=_NAMES[column.kind]
        )
    if column.kind == "number" and _NUMBER.fullmatch(text) and abs(value := float(text)) <= LARGEST:
        return value  # most cells of a package are numbers: no place is put in words for them
    place = f"{where}, column {column.name}"
    if column.kind == "text":
        return _text(text, place)
    return _READERS[column.kind](text, place)


def _text(text: str, place: str) -> str:
    if text.startswith("'"):
        return text[1:]
    if text.startswith(_FORMULA):
        raise InputError(
            f"{place}: a formula", got=text, allowed="text",
            do="A spreadsheet would run it. Nothing was taken; ask the sender what it is for.",
        )  # fmt: skip
    return text


def _number(text: str, place: str) -> float:
    if _NUMBER.fullmatch(text) is None:
        raise InputError(place, got=text, allowed="a number")
    return check_number(float(text), place)


def check_number(value: float, place: str) -> float:
    """A finite number of a size that means something.

    Raises:
        InputError: not finite, or enormous.
    """
    if not (math.isfinite(value) and abs(value) <= LARGEST):
        raise InputError(
            place, got=value, allowed=f"a finite number from {-LARGEST:g} to {LARGEST:g}"
        )
    return value


def _whole(text: str, place: str) -> int:
    digits = text.removeprefix("-")
    if not (digits.isascii() and digits.isdigit() and len(digits) <= 12):
        raise InputError(place, got=text, allowed="a whole number")
    value = int(text)
    require(abs(value) <= LARGEST_WHOLE, place, value, f"a whole number up to {LARGEST_WHOLE:,}")
    return value


def _yes_no(text: str, place: str) -> bool:
    require(text in ("true", "false"), place, text, "true or false")
    return text == "true"


def _time(text: str, place: str) -> datetime:
    try:
        moment = datetime.strptime(text, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)
    except ValueError:
        raise InputError(place, got=text, allowed="a time in UTC, 2026-03-01T12:00:00.000000Z"
                         ) from None  # fmt: skip
    return moment


def _uuid(text: str, place: str) -> uuid.UUID:
    try:
        key = uuid.UUID(text)
    except ValueError:
        raise InputError(place, got=text, allowed="a UUID") from None
    require(str(key) == text, place, text, "a UUID in small letters with hyphens")
    return key


def _json(text: str, place: str) -> Any:
    return read_json(text, place)


def read_json(text: str | bytes, place: str) -> Any:
    """JSON with finite numbers of a bounded size, each name once, not too deep.

    Raises:
        InputError: it is not.
    """

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        require(len(found) == len(pairs), place, [name for name, _ in pairs], "each name once")
        return found

    try:
        value = json.loads(text, object_pairs_hook=once)
    except InputError:
        raise
    except (ValueError, RecursionError) as error:
        raise InputError(f"{place}: not JSON", got=shorten(str(error))) from None
    _check_json(value, place, 0)
    return value


def _check_json(value: Any, place: str, depth: int) -> None:
    require(depth <= _DEEPEST, place, f"{depth} levels", f"at most {_DEEPEST} levels deep")
    if isinstance(value, dict):
        for part in value.values():
            _check_json(part, place, depth + 1)
    elif isinstance(value, list):
        for part in value:
            _check_json(part, place, depth + 1)
    elif isinstance(value, float):
        check_number(value, place)
    elif isinstance(value, int) and not isinstance(value, bool):
        require(abs(value) <= LARGEST, place, shorten(value), f"a number up to {LARGEST:g}")
    elif isinstance(value, str):
        require(len(value) <= MOST_CHARACTERS, place, f"{len(value):,} characters",
                f"at most {MOST_CHARACTERS:,}")  # fmt: skip


_READERS = {
    "number": _number, "whole": _whole, "yes_no": _yes_no, "time": _time, "uuid": _uuid,
    "json": _json,
}  # fmt: skip
_NAMES: dict[CellKind, str] = {
    "text": "text", "number": "a number", "whole": "a whole number", "yes_no": "true or false",
    "time": "a time", "uuid": "a UUID", "json": "JSON",
}  # fmt: skip

"""Numbers and times from the bytes of a line, in batches; one at a time only when one is bad.

The batch and the single way accept the same texts and give the same values (a property test holds
them together), so that speed never changes a sample.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

import numpy as np

from trials.logger.mapping import FLAG_UNIT, known_unit
from trials.logger.readings import Floats, Ints

_NUMBER = re.compile(rb"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,4})?")
_COMMA_NUMBER = re.compile(rb"[+-]?(?:\d+,\d*|,\d+)(?:[eE][+-]?\d{1,4})?")
_WITH_UNIT = re.compile(rb"([+-]?[\d.,]+(?:[eE][+-]?\d{1,4})?)\s*([^\d\s].*)")
# What the C parser behind float() would read but no machine means as a load.
_NOT_PLAIN = re.compile(rb"[^0-9+\-.eE\n]")
_YES = (b"1", b"true", b"on", b"yes", b"active", b"running")
_NO = (b"0", b"false", b"off", b"no", b"ready", b"idle", b"stopped", b"interrupted", b"feed_hold",
       b"wait", b"optional_stop", b"program_stopped", b"program_completed")  # fmt: skip
_ISO = re.compile(
    rb"(\d{4})-(\d\d)-(\d\d)[T ](\d\d):(\d\d):(\d\d)(?:[.,](\d{1,9}))?(Z|[+-]\d\d:?\d\d)?"
)
_LAST_DAY = date(2200, 1, 1).toordinal() - 719_163  # nanoseconds fit 64 bits up to 2262
_ISO_HEAD = "dddd-dd-ddTdd:dd:dd"
MARKS = {4: 45, 7: 45, 10: 84, 13: 58, 16: 58}


class Problem(NamedTuple):
    """Why a text is not a value: short kind, what is allowed, what to do."""

    kind: str
    allowed: str
    do: str = ""


def one_flag(token: bytes) -> float | Problem:
    """1 for yes, 0 for no, by number or by word."""
    word = token.strip().strip(b'"').lower()
    if word in _YES or word in _NO:
        return float(word in _YES)
    return Problem(
        "neither in cycle nor out of it", b", ".join(_YES + _NO).decode(),
        "Map another field as cycle, or leave it out.",
    )  # fmt: skip


def one_number(token: bytes, decimal: str, unit: str) -> float | Problem:
    """One number, with its unit behind it or without: ``41.5``, ``41.5 %``; or a flag as 1 or 0."""
    if unit == FLAG_UNIT:
        return one_flag(token)
    text = token.strip()
    if decimal == ",":
        if b"." in text:
            return Problem(
                "point where a decimal comma was declared", f"a number such as 41,5 in {unit}",
                "If the file has decimal points, use --decimal .",
            )  # fmt: skip
        text = text.replace(b",", b".")
    if _NUMBER.fullmatch(text):
        value = float(text)
        if math.isfinite(value):
            return value
        return Problem("not a finite number", f"a finite number in {unit}")
    return _not_a_number(text, decimal, unit)


def _not_a_number(text: bytes, decimal: str, unit: str) -> float | Problem:
    allowed = f"a number in {unit}, such as 41{decimal}5"
    if not text:
        return Problem("empty", allowed)
    if text.lower().lstrip(b"+-") in (b"nan", b"inf", b"infinity", b"na", b"n/a", b"null", b"none"):
        return Problem("not a number", allowed, "Values that were not measured must be left out.")
    if decimal == "." and _COMMA_NUMBER.fullmatch(text):
        return Problem("not a number", allowed, "Decimal comma? Use --decimal ,")
    with_unit = _WITH_UNIT.fullmatch(text)
    if with_unit and _NUMBER.fullmatch(with_unit[1]):
        if known_unit(with_unit[2].decode("utf-8", "replace")) == unit:
            return float(with_unit[1])
        return Problem(
            "another unit", allowed, "Say the unit that the file uses in the mapping (unit=…)."
        )
    return Problem("not a number", allowed)


def numbers(tokens: Sequence[bytes], decimal: str, unit: str) -> tuple[Floats, dict[int, Problem]]:
    """Many numbers at once: values (NaN where there is a problem) and the problems by index."""
    if unit == FLAG_UNIT:
        known = {token: one_flag(token) for token in set(tokens)}
        bad = {i: why for i, t in enumerate(tokens) if isinstance(why := known[t], Problem)}
        flags = [np.nan if isinstance(known[token], Problem) else known[token] for token in tokens]
        return np.array(flags, dtype=np.float64), bad
    together = b"\n".join(tokens)
    plain: Sequence[bytes] = tokens
    if decimal == "," and b"." not in together:
        together = together.replace(b",", b".")
        plain = together.split(b"\n") if tokens else ()
    if not (decimal == "," and plain is tokens) and not _NOT_PLAIN.search(together):
        try:
            values = np.fromiter(map(float, plain), np.float64, len(plain))
        except ValueError:
            pass
        else:
            if np.isfinite(values).all():
                return values, {}
    values = np.full(len(tokens), np.nan)
    problems: dict[int, Problem] = {}
    for index, token in enumerate(tokens):
        value = one_number(token, decimal, unit)
        if isinstance(value, Problem):
            problems[index] = value
        else:
            values[index] = value
    return values, problems


def one_time_ns(token: bytes) -> int | Problem:
    """Nanoseconds since 1970 of one RFC 3339 / ISO 8601 text; without a zone it is read as UTC."""
    found = _ISO.fullmatch(token.strip())
    if found is None:
        return Problem(
            "not a time", "a time such as 2026-01-31T08:30:00.125Z",
            "Say the unit of time in the mapping if it is another (time_unit=s or ms).",
        )  # fmt: skip
    year, month, day, hour, minute, second = (int(part) for part in found.groups()[:6])
    fraction, zone = found[7] or b"", found[8] or b"Z"
    try:
        days = date(year, month, day).toordinal() - 719_163
    except ValueError:
        days = -1
    if not 0 <= days < _LAST_DAY:
        return Problem("not a time", "a day from 1970 to 2199, such as 2026-01-31")
    if hour > 23 or minute > 59 or second > 60:
        return Problem("not a time", "00:00:00 to 23:59:60")
    seconds = ((days * 24 + hour) * 60 + minute) * 60 + second
    if zone != b"Z":
        digits = zone[1:].replace(b":", b"")
        offset = int(digits[:2]) * 3600 + int(digits[2:]) * 60
        seconds -= offset if zone[:1] == b"+" else -offset
    return seconds * 1_000_000_000 + int(fraction.ljust(9, b"0"))


def times_ns(tokens: Sequence[bytes]) -> tuple[Ints, dict[int, Problem]]:
    """Many times at once: int64 nanoseconds (0 where there is a problem) and the problems."""
    if len(tokens) > 8 and len(set(map(len, tokens))) == 1:
        quick = _same_length_times(b"".join(tokens), len(tokens), len(tokens[0]))
        if quick is not None:
            return quick, {}
    values = np.zeros(len(tokens), dtype=np.int64)
    problems: dict[int, Problem] = {}
    for index, token in enumerate(tokens):
        value = one_time_ns(token)
        if isinstance(value, Problem):
            problems[index] = value
        else:
            values[index] = value
    return values, problems


def _same_length_times(text: bytes, count: int, length: int) -> Ints | None:
    """Times of one shape, ``2026-01-31T08:30:00.1234567Z``; None when any differs from it."""
    digits_of_fraction = length - 21 if text[length - 1 : length] == b"Z" else length - 20
    has_fraction = digits_of_fraction > 0
    if not (length in (19, 20) or 1 <= digits_of_fraction <= 9):
        return None
    cells = np.frombuffer(text, dtype=np.uint8).reshape(count, length)
    for place, mark in MARKS.items():
        if not (cells[:, place] == mark).all():
            return None
    if has_fraction and not (cells[:, 19] == 46).all():
        return None
    end = 20 + digits_of_fraction if has_fraction else 19
    if end < length and not (cells[:, end] == 90).all():
        return None
    places = [place for place, sign in enumerate(_ISO_HEAD) if sign == "d"]
    digits = cells[:, places + list(range(20, end))].astype(np.int64) - 48
    if ((digits < 0) | (digits > 9)).any():
        return None
    year = digits[:, 0] * 1000 + digits[:, 1] * 100 + digits[:, 2] * 10 + digits[:, 3]
    month, day, hour, minute, second = (
        digits[:, at] * 10 + digits[:, at + 1] for at in (4, 6, 8, 10, 12)
    )
    if (hour > 23).any() or (minute > 59).any() or (second > 60).any():
        return None
    dates, where = np.unique(year * 10_000 + month * 100 + day, return_inverse=True)
    try:
        ordinals = [date(d // 10_000, d // 100 % 100, d % 100).toordinal() for d in dates.tolist()]
    except ValueError:
        return None
    days = np.array(ordinals, dtype=np.int64)[where] - 719_163
    if (days < 0).any() or (days >= _LAST_DAY).any():
        return None
    fraction = np.zeros(count, dtype=np.int64)
    for column in range(14, digits.shape[1]):
        fraction = fraction * 10 + digits[:, column]
    fraction *= 10 ** (9 - max(digits_of_fraction, 0)) if has_fraction else 1
    seconds = ((days * 24 + hour) * 60 + minute) * 60 + second
    return np.asarray(seconds * 1_000_000_000 + fraction, dtype=np.int64)

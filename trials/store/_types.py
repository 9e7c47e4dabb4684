"""Column types that let only plain, finite Python values through.

A NumPy integer would silently become a blob in SQLite and NumPy booleans fail on other engines;
times without a zone would be read back as another moment.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import DateTime, Dialect, Double, Integer
from sqlalchemy.types import TypeDecorator

from trials.errors import InputError


def plain(value: Any) -> Any:
    """Python's own scalars for NumPy's, also inside dictionaries, lists and tuples."""
    if isinstance(value, dict):
        return {str(name): plain(part) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [plain(part) for part in value]
    return value.item() if hasattr(value, "item") and not isinstance(value, type) else value


def now_utc() -> datetime:
    """This moment, with its zone."""
    return datetime.now(UTC)


class PlainFloat(TypeDecorator[float]):
    """A finite float; whole numbers and NumPy scalars are converted, all else is refused."""

    impl = Double
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> float | None:  # noqa: ARG002
        if value is None or (type(value) is float and math.isfinite(value)):
            return value
        value = plain(value)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise InputError("value to be stored", got=value, allowed="a number")
        if not math.isfinite(value):
            raise InputError("value to be stored", got=value, allowed="a finite number")
        return float(value)


class PlainInteger(TypeDecorator[int]):
    """A whole number; NumPy integers are converted, fractions and booleans are refused."""

    impl = Integer
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> int | None:  # noqa: ARG002
        if value is None or type(value) is int:
            return value
        value = plain(value)
        if type(value) is int:
            return value
        raise InputError("value to be stored", got=value, allowed="a whole number")


class UtcTime(TypeDecorator[datetime]):
    """A moment; stored in UTC, read back with its zone, whatever the engine keeps of it."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        if value is None:
            return None
        if value.tzinfo is None:
            raise InputError("time to be stored", got=value, allowed="a time with its zone")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)

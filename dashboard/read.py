"""What a person typed into a field becomes a value: the other way round from `Show`."""

from __future__ import annotations

from trials import units
from trials.errors import InputError

_INCH = {"mm": "in", "m/min": "ft/min", "mm/rev": "in/rev"}


def length_mm(text: str | None, what: str, system: units.UnitSystem) -> float | None:
    """A length with or without a unit; without one it is in mm or inch, as the reader chose.

    Returns:
        mm; None for an empty field.

    Raises:
        InputError: no length, or a number that can be read in two ways.
    """
    typed = (text or "").strip()
    if not typed:
        return None
    return units.parse(with_unit(typed, what, system), to="mm", what=what)


def value(text: str | None, what: str, unit: str, system: units.UnitSystem) -> float:
    """A value with or without a unit, in an inside unit such as ``m/min``; it must be there.

    Raises:
        InputError: nothing, no number, or a unit of another kind.
    """
    return units.parse(with_unit((text or "").strip(), what, system, unit), to=unit, what=what)


def with_unit(typed: str, what: str, system: units.UnitSystem, unit: str = "mm") -> str:
    """The text with the unit that was meant where none was typed."""
    try:
        units.parse_number(typed, what=what)
        bare = True
    except InputError:
        bare = typed[-1:].isdigit()  # a fraction; or one that can be read in two ways, an error
    return f"{typed} {_INCH[unit]}" if bare and system == "inch" else typed


def whole(text: str | float | None, what: str) -> int | None:
    """A whole number, 0 or more; None for an empty field.

    Raises:
        InputError: anything else.
    """
    typed = "" if text is None else str(text).strip()
    if not typed:
        return None
    number = units.parse_number(typed, what=what)
    if number != int(number) or not 0 <= number <= 1e9:
        raise InputError(what, got=typed, allowed="a whole number, 0 or more")
    return int(number)

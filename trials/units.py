"""The only unit registry. Quantities with units are read and shown here; inside, plain floats.

Everything below this edge holds SI-metric floats with the unit in the name: mm, m/min, mm/rev,
min, kW, N, N·m, % of rated load, s.
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING, Literal

from trials.errors import InputError

if TYPE_CHECKING:
    import pint

UnitSystem = Literal["metric", "inch"]

# Inch sizes as they are stamped: 11/32, 1 3/8, 1-3/8; what follows is the unit.
_FRACTION = re.compile(
    r"^\s*(?:(\d{1,4})(?:\s+|\s*-\s*))?(\d{1,4})\s*/\s*(\d{1,4})(?![\d.,])\s*(.*?)\s*$"
)
_NUMBER = re.compile(r"^\s*([-+]?[\d.,'\u00a0 ]*\d(?:[eE][-+]?\d+)?)\s*(.*?)\s*$")

# What each inside unit is shown as in the inch system, and how many digits help a reader.
_INCH: dict[str, tuple[str, int]] = {
    "mm": ("in", 4),
    "m/min": ("ft/min", 0),
    "mm/rev": ("in/rev", 4),
    "mm/min": ("in/min", 1),
    "N": ("lbf", 0),
    "N*m": ("in*lbf", 0),
    "kW": ("hp", 2),
    "bar": ("psi", 0),
}
_METRIC_DIGITS: dict[str, int] = {
    "mm": 3, "m/min": 1, "mm/rev": 3, "mm/min": 0, "N": 0, "N*m": 2, "kW": 2, "%": 0,
    "min": 3, "s": 2,
}  # fmt: skip
_SHOWN = {"N*m": "N·m", "in*lbf": "in·lb", "lbf": "lb"}


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    registry: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
    registry.define("rev = []")
    registry.define("sfm = foot / minute = SFM")
    registry.define("ipr = inch / rev = IPR")
    registry.define("ipm = inch / minute = IPM")
    return registry


def parse_number(text: str, *, what: str = "number") -> float:
    """Read a number as people write it: a decimal comma or a decimal point.

    One separator is the decimal mark (``41,5`` and ``41.5`` are the same). Two different ones are
    thousands and decimals (``1.234,5`` and ``1,234.5``). ``1,234`` is refused because it can be
    read in two ways.

    Raises:
        InputError: the text is not a finite number, or can be read in two ways.
    """
    plain = text.strip().replace("\u00a0", "").replace(" ", "").replace("'", "")
    if "," in plain and "." in plain:
        thousands = "," if plain.rfind(",") < plain.rfind(".") else "."
        plain = plain.replace(thousands, "").replace(",", ".")
    elif plain.count(",") == 1:
        head, tail = plain.split(",")
        if len(tail) == 3 and tail.isdigit() and head.lstrip("+-") not in ("", "0"):
            raise InputError(
                what,
                got=text,
                allowed="a number that can be read in one way only",
                do=f"Write {head}{tail} or {head}.{tail}, whichever is meant.",
            )
        plain = plain.replace(",", ".")
    try:
        value = float(plain)
    except ValueError:
        raise InputError(what, got=text, allowed="a number, such as 41.5 or 41,5") from None
    if not math.isfinite(value):
        raise InputError(what, got=text, allowed="a finite number")
    return value


def parse(text: str | float, *, to: str, what: str = "value") -> float:
    """Read ``"0.004 in/rev"`` as a float in the unit ``to``; a bare number is in ``to`` already.

    Args:
        text: number with or without a unit. Lengths in inches may be fractions, ``"11/32 in"`` or
            ``"1 3/8 in"``; a fraction without a unit is refused, because mm could be meant.
        to: unit of the result, one of the inside units ("mm", "m/min", "mm/rev", "kW", …).
        what: name used in the error.

    Raises:
        InputError: no number, an unknown unit, or a unit of another kind.
    """
    if isinstance(text, int | float):
        return parse_number(repr(float(text)), what=what)
    inches = _FRACTION.match(text)
    if inches is not None:
        return _fraction(inches, to, what=what, text=text)
    found = _NUMBER.match(text)
    if found is None:
        raise InputError(what, got=text, allowed=f"a number with a unit, such as 12 {to}")
    value = parse_number(found.group(1), what=what)
    unit = found.group(2).replace("·", "*").replace('"', "in")
    if not unit:
        return value
    if unit == "%" or to == "%":
        if unit != to:
            raise InputError(what, got=text, allowed=f"a value in {to}")
        return value
    return _convert(value, unit, to, what=what, text=text)


def _fraction(found: re.Match[str], to: str, *, what: str, text: str) -> float:
    whole, over, under, unit = found.groups()
    unit = unit.replace('"', "in")
    if int(under) == 0 or (whole and int(over) >= int(under)):
        raise InputError(what, got=text, allowed="a fraction of an inch, such as 11/32 in or "
                         "1 3/8 in")  # fmt: skip
    if not unit:
        raise InputError(what, got=text, allowed="a fraction with its unit",
                         do=f"Write {text.strip()} in, if inches are meant.")  # fmt: skip
    return _convert(int(whole or 0) + int(over) / int(under), unit, to, what=what, text=text)


def _convert(value: float, unit: str, to: str, *, what: str, text: str) -> float:
    import pint

    registry = _registry()
    try:
        return float(registry.Quantity(value, unit).to(to).magnitude)
    except pint.UndefinedUnitError:
        problem = f"{unit} is not a unit that is known here"
    except pint.DimensionalityError:
        problem = f"{unit} is not the same kind of unit as {to}"
    except Exception as error:  # noqa: BLE001 - pint raises many kinds on odd unit texts
        problem = f"{unit} could not be read as a unit ({type(error).__name__})"
    raise InputError(what, got=text, allowed=f"a number with a unit like {to}", do=f"{problem}.")


def to_inch(value: float, unit: str) -> tuple[float, str]:
    """Convert a value in an inside unit to the inch system; units without a twin stay."""
    if unit not in _INCH:
        return value, unit
    other, _ = _INCH[unit]
    return float(_registry().Quantity(value, unit).to(other).magnitude), other


_IN_SENTENCE = re.compile(
    r"(?<![\w.,])(\d+(?:\.\d+)?) (mm/rev|mm/min|m/min|mm|N·m|N|kW|bar)(?![\w/²³·])"
)


def sentence(text: str, system: UnitSystem) -> str:
    """A sentence of ours with its values in the system that is asked for.

    Only values that are written as ``12.5 mm`` are changed; what people wrote in other ways stays.
    """
    if system == "metric":
        return text
    return _IN_SENTENCE.sub(
        lambda found: show(float(found[1]), found[2].replace("·", "*"), system), text
    )


def show(value: float | None, unit: str, system: UnitSystem = "metric") -> str:
    """Write a value with its unit: ``show(0.1, "mm/rev", "inch")`` → ``0.0039 in/rev``."""
    if value is None:
        return "–"
    digits = _METRIC_DIGITS.get(unit, 2)
    if system == "inch" and unit in _INCH:
        digits = _INCH[unit][1]
        value, unit = to_inch(value, unit)
    gap = "" if unit == "%" else " "
    return f"{value:,.{digits}f}{gap}{_SHOWN.get(unit, unit)}".replace("-0.", "−0.")

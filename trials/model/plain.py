"""Model values as plain dictionaries and back: for the database, trial files and packages."""

from __future__ import annotations

import dataclasses
import difflib
import types
from functools import cache
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from trials import units
from trials.errors import InputError

T = TypeVar("T")

# Endings of field names and the unit that their floats are in, longest first.
_UNIT_OF_ENDING = {
    "_m_per_min": "m/min",
    "_mm_per_rev": "mm/rev",
    "_mm_per_min": "mm/min",
    "_mm": "mm",
    "_kw": "kW",
    "_pct": "%",
    "_n": "N",
    "_bar": "bar",
    "_deg": "degree",
    "_min": "min",
    "_rpm": "rev/min",
}


def to_plain(value: object) -> dict[str, Any]:
    """A model value as nested dictionaries, lists, texts and numbers, without what is None."""
    plain = _plain(value)
    if not isinstance(plain, dict):
        raise TypeError(f"{type(value).__name__} is not a model value")
    return plain


def _plain(value: object) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        parts = {field.name: getattr(value, field.name) for field in dataclasses.fields(value)}
        return {name: _plain(part) for name, part in parts.items() if part is not None}
    if isinstance(value, tuple):
        return [_plain(part) for part in value]
    return value


def from_plain(cls: type[T], data: object, where: str = "") -> T:
    """Build a model value from a dictionary; floats may be texts with units ("0.004 in/rev").

    Args:
        cls: the model class.
        data: what ``to_plain`` gave, or what a person wrote in a file.
        where: place named in errors, such as ``trial.toml, machine``.

    Raises:
        InputError: an unknown or missing name, a value of the wrong kind, or one that the class
            itself refuses.
    """
    where = where or cls.__name__.lower()
    if not isinstance(data, dict):
        raise InputError(where, got=data, allowed="a table of names and values")
    hints = _hints(cls)  # type: ignore[arg-type]  # every class can be a key
    fields = {field.name: field for field in dataclasses.fields(cls)}  # type: ignore[arg-type]  # every caller passes a dataclass
    for name in data:
        if name not in fields:
            near = difflib.get_close_matches(str(name), fields, n=1, cutoff=0.5)
            raise InputError(
                f"{where}: unknown name",
                got=name,
                allowed=", ".join(fields),
                do=f"Is {near[0]} meant?" if near else None,
            )
    missing = [
        field.name
        for field in fields.values()
        if field.name not in data
        and field.default is dataclasses.MISSING
        and field.default_factory is dataclasses.MISSING
    ]
    if missing:
        raise InputError(f"{where}: {', '.join(missing)} missing", do="Add what is missing.")
    values = {name: _read(hints[name], part, name, where) for name, part in data.items()}
    try:
        return cls(**values)
    except InputError as error:
        raise InputError(
            f"{where}: {error.what}", got=error.got, allowed=error.allowed, do=error.do
        ) from None


@cache
def _hints(cls: type[Any]) -> dict[str, Any]:
    """The types of a class's fields: looked up once, as a list of trials asks for them often."""
    return get_type_hints(cls)


def _read(hint: Any, value: Any, name: str, where: str) -> Any:
    place = f"{where}: {name}"
    if get_origin(hint) in (Union, types.UnionType):
        options = [option for option in get_args(hint) if option is not type(None)]
        if value is None:
            return None
        return _read(options[0], value, name, where)
    if get_origin(hint) is Literal:
        return value  # the class itself checks against its list and says what is allowed
    if get_origin(hint) is tuple:
        return _read_tuple(get_args(hint), value, name, where)
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return from_plain(hint, value, f"{where}, {name}")
    if hint is float:
        return _read_float(value, name, place)
    expected = {bool: "true or false", int: "a whole number", str: "a text"}[hint]
    if type(value) is not hint:
        raise InputError(place, got=value, allowed=expected)
    return value


def _read_tuple(parts: tuple[Any, ...], value: Any, name: str, where: str) -> tuple[Any, ...]:
    if not isinstance(value, list | tuple):
        raise InputError(f"{where}: {name}", got=value, allowed="a list")
    if len(parts) == 2 and parts[1] is Ellipsis:
        each = parts[0]
        if dataclasses.is_dataclass(each) and isinstance(each, type):
            return tuple(
                from_plain(each, item, f"{where}, {name} {number}")
                for number, item in enumerate(value, 1)
            )
        return tuple(_read(each, item, name, where) for item in value)
    if len(value) != len(parts):
        raise InputError(f"{where}: {name}", got=value, allowed=f"a list of {len(parts)} values")
    return tuple(_read(part, item, name, where) for part, item in zip(parts, value, strict=True))


def _read_float(value: Any, name: str, place: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise InputError(place, got=value, allowed="a number")
    if isinstance(value, int | float):
        return float(value)
    for ending, unit in _UNIT_OF_ENDING.items():
        if name.endswith(ending) and not name.endswith("_rate_per_min"):
            return units.parse(value, to=unit, what=place)
    return units.parse_number(value, what=place)

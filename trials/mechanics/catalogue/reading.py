"""Reads the catalogue's TOML files, and a person's own file over them."""

from __future__ import annotations

import dataclasses
import difflib
import math
import tomllib
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Any, Literal, TypeVar, get_args, get_origin, get_type_hints

from trials import units
from trials.errors import InputError
from trials.mechanics.catalogue import rows
from trials.mechanics.catalogue.rows import Catalogue, Row
from trials.model import ISO_GROUPS

R = TypeVar("R", bound=Row)
Tables = dict[str, dict[str, Any]]

# Kinds of rows that a person's file may hold: table name → shipped file and what a row is.
_KINDS: dict[str, tuple[str, type[Row]]] = {
    "materials": ("materials", rows.Material),
    "substrates": ("drills", rows.SubstrateRow),
    "coatings": ("drills", rows.CoatingRow),
    "forms": ("drills", rows.FormRow),
    "lengths": ("lengths", rows.LengthRow),
}
_RULES: dict[str, type[Row]] = {
    "length": rows.LengthRules,
    "entry": rows.EntryRules,
    "depth": rows.DepthRules,
    "coolant": rows.CoolantRules,
    "reaming": rows.ReamingRules,
    "search": rows.SearchRules,
    "test": rows.TestRules,
}
# Least and most of values whose kind does not say it already.
_LIMITS: dict[str, tuple[float, float]] = {
    "hardness_hb": (10, 800), "kc1_1_n_per_mm2": (50, 20_000), "mc": (0, 0.9),
    "kd": (500, 200_000), "helix_deg": (0, 60), "point_deg": (60, 180),
    "speed_m_per_min": (0.1, 2000), "feed_per_diameter": (0.0005, 0.2), "life_m": (0.001, 1e6),
    "max_hardness_hb": (50, 2000), "elastic_n_per_mm2": (1e4, 2e6), "hole_grade": (0, 14),
    "life": (0.05, 50), "speed_share": (0.05, 5), "feed_share": (0.05, 1), "section": (0.001, 0.05),
    "breakthrough_share": (0.05, 1), "breakthrough_mm": (0, 50), "pilot_rpm": (1, 5000),
    "finest_grade": (4, 14), "looks": (1, 50), "buckling_margin": (1, 10), "bar": (0, 1000),
    "life_factor": (1.01, 100), "own_life_factor": (1.01, 100), "dial_in_saves": (0, 0.95),
    "speed_low": (0.1, 1), "speed_high": (1, 5), "feed_low": (0.1, 1), "feed_high": (1, 5),
    "allowance_mm": (0.01, 5), "rows": (0, 2000), "from_mm": (0, 500),
}  # fmt: skip
_ANY = (0.0, 1e5)
# Pairs are from and to; of these longer lists each value belongs to the one beside it.
_BESIDE = {"depth": ("from_xd", "speed_share", "feed_share"), "coolant": ("from_mm", "bar"),
           "reaming": ("from_mm", "allowance_mm")}  # fmt: skip
MOST_BYTES = 1_000_000


def read_catalogue(own_file: Path | None = None) -> Catalogue:
    """The shipped catalogue, with a person's own file over it.

    A table of the own file changes the values it names and keeps the others; a new material has
    to name all of them.

    Raises:
        InputError: names the file, the table and the value, what was found and what is allowed.
    """
    shipped: dict[str, Tables] = {
        kind: _flat(_shipped(file) if file != "drills" else _shipped(file)[kind], f"{file}.toml")
        for kind, (file, _) in _KINDS.items()
    }
    shipped["rules"] = _flat(_shipped("rules"), "rules.toml")
    own: list[str] = []
    where: dict[tuple[str, str], str] = {}
    if own_file is not None and own_file.exists():
        _lay_over(shipped, _load(own_file), own_file.name, own, where)
    made: dict[str, Any] = {
        kind: {
            key: _row(cls, key, table, where.get((kind, key), kind))
            for key, table in shipped[kind].items()
        }
        for kind, (_, cls) in _KINDS.items()
    }
    for key, cls in _RULES.items():
        made[key] = _row(cls, key, shipped["rules"][key], where.get(("rules", key), f"rules.{key}"))
    return Catalogue(**made, own=tuple(own))


def _shipped(name: str) -> Any:
    text = resources.files(rows.__package__).joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def _load(path: Path) -> dict[str, Any]:
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise InputError(f"{path.name}: cannot be read ({error.strerror})") from None
    if len(raw) > MOST_BYTES:
        raise InputError(path.name, got=f"{len(raw):,} bytes", allowed=f"at most {MOST_BYTES:,}")
    try:
        return tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise InputError(f"{path.name}, byte {error.start}", allowed="UTF-8 text") from None
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            f"{path.name}: not valid TOML, {error}",
            do='Names with blanks take quotes: [materials."my steel"].',
        ) from None


def _flat(tables: Mapping[str, Any], where: str) -> Tables:
    """Each value with its source beside it: ``{key: {value: (content, source)}}``."""
    flat: Tables = {}
    for key, table in tables.items():
        if not isinstance(table, dict):
            raise InputError(f"{where}, {key}", got=table, allowed="a table of names and values")
        usual, special = table.get("source", where), table.get("sources", {})
        if not isinstance(usual, str) or not isinstance(special, dict):
            raise InputError(f"{where}, {key}: source", got=usual, allowed="a text")
        flat[key] = {
            name: (value, str(special.get(name, usual)))
            for name, value in table.items()
            if name not in ("source", "sources")
        }
    return flat


def _lay_over(
    shipped: dict[str, Tables],
    tables: dict[str, Any],
    file: str,
    own: list[str],
    where: dict[tuple[str, str], str],
) -> None:
    for kind, content in tables.items():
        if kind not in shipped:
            raise _unknown(file, kind, shipped)
        if not isinstance(content, dict):
            raise InputError(f"{file}, {kind}", got=content, allowed="tables")
        for key, values in _flat(content, f"{file}, {kind}").items():
            if key not in shipped[kind] and kind != "materials":
                raise _unknown(f"{file}, {kind}", key, shipped[kind])
            sourced = content[key].get("source"), content[key].get("sources", {})
            shipped[kind].setdefault(key, {}).update(
                (name, (value, source if sourced[0] or name in sourced[1] else f"your {file}"))
                for name, (value, source) in values.items()
            )
            own += [f"{kind}.{key}.{name}" for name in values]
            where[kind, key] = f"{file}, {kind}.{key}"


def _row(cls: type[R], key: str, table: dict[str, Any], where: str) -> R:
    hints = get_type_hints(cls)
    fields = {field.name: field for field in dataclasses.fields(cls)}
    known = [name for name in fields if name not in ("key", "sources")]
    values: dict[str, Any] = {}
    for name, (content, _) in table.items():
        if name not in known:
            raise _unknown(where, name, known)
        values[name] = _read(hints[name], content, name, f"{where}.{name}")
    missing = [
        name for name in known if name not in values and fields[name].default is dataclasses.MISSING
    ]
    if missing:
        raise InputError(
            f"{where}: {', '.join(missing)} missing",
            do="A new material names all of its values; take the nearest one of the reference.",
        )
    beside = [values[name] for name in _BESIDE.get(key, ()) if name in values]
    if len({len(one) for one in beside}) > 1:
        raise InputError(
            f"{where}: {', '.join(_BESIDE[key])}", got=", ".join(str(len(one)) for one in beside),
            allowed="as many values in each",
        )  # fmt: skip
    sources = {name: source for name, (_, source) in table.items()}
    return cls(key=key, sources=sources, **values)


def _read(hint: Any, value: Any, name: str, place: str) -> Any:
    origin = get_origin(hint)
    if hint is bool:
        if not isinstance(value, bool):
            raise InputError(place, got=value, allowed="true or false")
        return value
    if hint is str:
        if not isinstance(value, str):
            raise InputError(place, got=value, allowed="a text")
        return value
    if origin is Literal:
        if value not in get_args(hint):
            raise InputError(place, got=value, allowed=", ".join(map(str, get_args(hint))))
        return value
    if origin is dict:
        kinds = get_args(get_args(hint)[0])
        if not isinstance(value, dict) or not value:
            raise InputError(place, got=value, allowed=f"values for one or more of {kinds}")
        for kind in value:
            if kind not in kinds:
                raise _unknown(place, kind, kinds)
        return {kind: _number(one, name, f"{place}.{kind}") for kind, one in value.items()}
    if origin is tuple:
        return _read_tuple(hint, value, name, place)
    number = _number(value, name, place)
    if hint is int:
        if number != int(number):
            raise InputError(place, got=value, allowed="a whole number")
        return int(number)
    return number


def _read_tuple(hint: Any, value: Any, name: str, place: str) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise InputError(place, got=value, allowed="a list")
    parts = get_args(hint)
    if len(parts) == 2 and parts[1] is Ellipsis:
        read = tuple(_read(parts[0], one, name, place) for one in value)
        if not read and parts[0] not in (*ISO_GROUPS,) and name not in ("suits", "bears"):
            raise InputError(place, got="an empty list", allowed="one or more values")
        return read
    if len(value) != len(parts):
        raise InputError(place, got=value, allowed=f"a list of {len(parts)} values")
    read = tuple(_read(part, one, name, place) for part, one in zip(parts, value, strict=True))
    if len(parts) == 2 and read[0] > read[1]:
        raise InputError(place, got=value, allowed="from and to, the lower one first")
    return read


def _number(value: Any, name: str, place: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise InputError(place, got=value, allowed="a number")
    if isinstance(value, str):
        unit = "m/min" if name == "speed_m_per_min" else "mm" if name.endswith("_mm") else None
        number = (
            units.parse_number(value, what=place)
            if unit is None
            else units.parse(value, to=unit, what=place)
        )
    else:
        number = float(value)
    low, high = _LIMITS.get(name, _ANY)
    if not math.isfinite(number) or not low <= number <= high:
        raise InputError(place, got=value, allowed=f"{low:g} to {high:g}")
    return number


def _unknown(where: str, name: object, known: Any) -> InputError:
    near = difflib.get_close_matches(str(name), list(known), n=1, cutoff=0.5)
    return InputError(
        f"{where}: unknown name", got=name, allowed=", ".join(known),
        do=f"Is {near[0]} meant?" if near else None,
    )  # fmt: skip

"""Which field of a line is time, load, rpm and depth, and in what unit."""

from __future__ import annotations

import math
from collections.abc import Mapping as AnyMapping
from dataclasses import dataclass
from typing import Any

from trials import units
from trials.errors import InputError, require

LOAD_UNITS = ("%", "ratio", "kW", "A", "N*m")
TIME_UNITS = ("s", "ms", "iso")
DEPTH_UNITS = ("mm", "in")
FLAG_UNIT = "1 or 0"
_ALLOWED = {
    "load": LOAD_UNITS, "time": TIME_UNITS, "rpm": ("1/min",), "depth": DEPTH_UNITS,
    "cycle": (FLAG_UNIT,),
}  # fmt: skip
_SPELLINGS = {
    "pct": "%", "percent": "%", "kw": "kW", "a": "A", "amp": "A", "nm": "N*m", "n*m": "N*m",
    "n·m": "N*m", "n.m": "N*m", "inch": "in", "rpm": "1/min", "min-1": "1/min", "/min": "1/min",
    "sec": "s", "seconds": "s", "iso8601": "iso", "rfc3339": "iso",
}  # fmt: skip


def known_unit(text: str) -> str:
    """The spelling used here for a unit as people and machines write it: ``kw`` → ``kW``."""
    plain = text.strip()
    return _SPELLINGS.get(plain.casefold(), plain)


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a line.

    Args:
        name: column name, key, or column number counted from 1.
        unit: see `Mapping`; usual other spellings are understood (``kw``, ``Nm``, ``percent``).
        reference: the value that is 100 % load; needed for kW, A and N·m.
    """

    name: str | int
    unit: str
    reference: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "unit", known_unit(self.unit))
        if isinstance(self.name, int):
            require(1 <= self.name <= 1000, "column number", self.name, "1 to 1000, counted from 1")
        else:
            require(bool(self.name.strip()), "name of a field", self.name, "a name")

    def __str__(self) -> str:
        return f"column {self.name}" if isinstance(self.name, int) else self.name


@dataclass(frozen=True, slots=True)
class Mapping:
    """How fields become samples.

    Args:
        load: in ``%`` of rated load, ``ratio`` (1 is 100 %), or ``kW``, ``A``, ``N*m`` with the
            reference that is 100 %.
        time: in ``s``, ``ms`` or ``iso`` (RFC 3339 / ISO 8601, up to 9 fraction digits). None: the
            time of arrival; SHDR lines always carry their own time and need none.
        rpm: spindle speed in ``1/min``.
        depth: in ``mm`` or ``in``.
        cycle: whether the machine works through its program: 1 or 0, or a word such as ACTIVE.
        load_range_pct: lowest and highest load that is believed, %; anything else is rejected.
        interval_s: for values without a time field that come at a fixed rate: seconds a line.
        gap_after_s: a silence longer than this in the source's own time is a gap; None for
            sources that only send changes.

    Raises:
        InputError: a unit that is not known, or a reference that is missing.
    """

    load: Field
    time: Field | None = None
    rpm: Field | None = None
    depth: Field | None = None
    cycle: Field | None = None
    load_range_pct: tuple[float, float] = (0.0, 300.0)
    interval_s: float | None = None
    gap_after_s: float | None = None

    def __post_init__(self) -> None:
        for what, one in self.fields().items():
            allowed = _ALLOWED[what]
            require(
                one.unit in allowed, f"unit of {what}", one.unit, "one of " + ", ".join(allowed)
            )
        reference = self.load.reference
        if self.load.unit in ("kW", "A", "N*m") and reference is None:
            raise InputError(
                f"load in {self.load.unit}", got="no reference",
                allowed=f"the value in {self.load.unit} that is 100 % of the rated load",
                do="Give it as reference=…, such as --map load=power,unit=kW,reference=11.",
            )  # fmt: skip
        require(reference is None or (math.isfinite(reference) and reference > 0),
                "reference of the load", reference, "more than 0")  # fmt: skip
        require(reference is None or self.load.unit != "%", "reference of the load", reference,
                "none when the load is in %")  # fmt: skip
        low, high = self.load_range_pct
        require(math.isfinite(low) and math.isfinite(high) and low < high, "range of the load",
                f"{low:g} to {high:g}", "a lowest value below a highest one, %")  # fmt: skip
        require(self.interval_s is None or 0 < self.interval_s <= 3600, "interval",
                self.interval_s, "more than 0 and at most 3600 s")  # fmt: skip
        require(self.interval_s is None or self.time is None, "interval", self.interval_s,
                "no interval when there is a time field")  # fmt: skip
        require(self.gap_after_s is None or self.gap_after_s > 0, "longest silence",
                self.gap_after_s, "more than 0 s")  # fmt: skip

    def fields(self) -> dict[str, Field]:
        """The fields that are mapped, by what they mean."""
        parts = {
            "load": self.load, "time": self.time, "rpm": self.rpm, "depth": self.depth,
            "cycle": self.cycle,
        }  # fmt: skip
        return {what: one for what, one in parts.items() if one is not None}

    @property
    def load_factor(self) -> float:
        """Percent of rated load for one unit of the load field."""
        if self.load.unit == "%":
            return 1.0
        return 100.0 / (self.load.reference or 1.0)

    @classmethod
    def parse(cls, text: str) -> Mapping:
        """Read ``load=S1load,unit=%,time=t,time_unit=ms,rpm=S1speed,depth=z,depth_unit=mm``.

        Also ``cycle=execution`` (1 or 0, or a word such as ACTIVE), ``reference=11`` (value that is
        100 %), ``range=0..300`` (%), ``interval=0.01`` and ``gap_after=5`` (s). A name that is a
        whole number is a column number. Left out: ``unit`` is %, ``time_unit`` is s, ``depth_unit``
        is mm.

        Raises:
            InputError: an unknown word, a word twice, or no load.
        """
        words = ("load", "unit", "reference", "time", "time_unit", "rpm", "depth", "depth_unit",
                 "cycle", "range", "interval", "gap_after")  # fmt: skip
        found: dict[str, str] = {}
        for part in text.split(","):
            key, equals, value = (piece.strip() for piece in part.partition("="))
            allowed = "pairs such as load=S1load,unit=% with the words " + ", ".join(words)
            require(bool(equals and value) and key in words, "mapping", part.strip(), allowed)
            require(key not in found, "mapping", text, f"{key} once")
            found[key] = value
        require("load" in found, "mapping", text, "at least load=<name of the field>")
        number = {
            key: units.parse_number(found[key], what=f"{key} in the mapping")
            for key in ("reference", "interval", "gap_after")
            if key in found
        }
        low, dots, high = found.get("range", "0..300").partition("..")
        require(bool(dots), "range in the mapping", found.get("range"), "such as 0..300")
        load = Field(_name(found["load"]), found.get("unit", "%"), number.get("reference"))
        return cls(
            load=load,
            time=Field(_name(found["time"]), found.get("time_unit", "s"))
            if "time" in found else None,
            rpm=Field(_name(found["rpm"]), "1/min") if "rpm" in found else None,
            depth=Field(_name(found["depth"]), found.get("depth_unit", "mm"))
            if "depth" in found else None,
            cycle=Field(_name(found["cycle"]), FLAG_UNIT) if "cycle" in found else None,
            load_range_pct=(
                units.parse_number(low, what="range in the mapping"),
                units.parse_number(high, what="range in the mapping"),
            ),
            interval_s=number.get("interval"),
            gap_after_s=number.get("gap_after"),
        )  # fmt: skip

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON and TOML; what is None is left out."""
        plain: dict[str, Any] = {}
        for what, one in self.fields().items():
            plain[what] = {"name": one.name, "unit": one.unit}
            if one.reference is not None:
                plain[what]["reference"] = one.reference
        plain["load_range_pct"] = list(self.load_range_pct)
        for what in ("interval_s", "gap_after_s"):
            if getattr(self, what) is not None:
                plain[what] = getattr(self, what)
        return plain

    @classmethod
    def from_dict(cls, plain: AnyMapping[str, Any]) -> Mapping:
        """The mapping that `to_dict` wrote.

        Raises:
            InputError: an unknown key, or a value that `Mapping` refuses.
        """
        known = (*_ALLOWED, "load_range_pct", "interval_s", "gap_after_s")
        values: dict[str, Any] = {}
        for key, value in plain.items():
            require(key in known, "mapping", key, "one of " + ", ".join(known))
            if key in _ALLOWED:
                extra = set(value) - {"name", "unit", "reference"}
                require(not extra and {"name", "unit"} <= set(value), f"mapping of {key}",
                        dict(value), "name, unit and, where needed, reference")  # fmt: skip
                value = Field(value["name"], value["unit"], value.get("reference"))
            elif key == "load_range_pct":
                value = (float(value[0]), float(value[1]))
            values[key] = value
        require("load" in values, "mapping", dict(plain), "at least the field load")
        return cls(**values)


def _name(text: str) -> str | int:
    return int(text) if text.isdigit() else text

"""Fields of the guided page: what each asks, how it is read, and what is wrong beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from dashboard.texts import start as texts
from trials import units
from trials.errors import InputError
from trials.model import (
    ISO_GROUP_NAMES,
    Drill,
    Economics,
    HoleFeature,
    Machine,
    Work,
)

# What a bare number is in, where the reader chose inch.
_INCH = {"mm": "in", "m/min": "ft/min", "mm/rev": "in/rev", "mm/min": "in/min", "N": "lbf",
         "kW": "hp", "bar": "psi"}  # fmt: skip
LETTERS = ("A", "B", "C")
Check = Callable[[Any], object]


@dataclass(frozen=True, slots=True)
class Field:
    """One field.

    Args:
        name: its place in the plain trial, such as ``hole.diameter_mm`` or ``drills.0.price``.
        label: what it asks.
        unit: inside unit of a number; ``""`` a plain number, ``"text"``, ``"whole"``.
        needed: whether it must be filled in.
        choices: keys and words; radio buttons instead of a line to type in.
        usual: what stands there at first.
        hint: a remark below it.
        check: makes a model value with it, which refuses what cannot be.
    """

    name: str
    label: str
    unit: str = "text"
    needed: bool = False
    choices: Mapping[str, str] | None = None
    usual: str = ""
    hint: str = ""
    check: Check | None = None


def _hole(**more: Any) -> HoleFeature:
    usual: dict[str, Any] = {"diameter_mm": 1.0, "depth_mm": 1.0}
    return HoleFeature(**(usual | more))


def _machine(**more: Any) -> Machine:
    usual: dict[str, Any] = {"rated_power_kw": 1.0, "base_rpm": 1.0, "max_rpm": 500_000.0}
    return Machine(**(usual | more))


def _money(**more: Any) -> Economics:
    usual: dict[str, Any] = {"machine_rate_per_min": 1.0}
    return Economics(**(usual | more))


def _drill(**more: Any) -> Drill:
    usual: dict[str, Any] = {"name": "d", "diameter_mm": 1.0}
    return Drill(**(usual | more))


HOLE = (
    Field("name", "Name of the trial", needed=True, hint="short, such as bracket-8.5"),
    Field("work.material", "Work material", needed=True, hint="as on the drawing"),
    Field("work.group", texts.GROUP, choices={k: f"{k} {v}" for k, v in ISO_GROUP_NAMES.items()},
          usual="P"),
    Field("work.hardness_hb", "Hardness, HB", "", hint="may be left out",
          check=lambda v: Work("m", "P", hardness_hb=v)),
    Field("hole.diameter_mm", "Hole diameter", "mm", needed=True,
          check=lambda v: _hole(diameter_mm=v)),
    Field("hole.depth_mm", "Depth to the full diameter", "mm", needed=True,
          check=lambda v: _hole(depth_mm=v)),
    Field("hole.through", "Through or blind", choices=texts.KINDS, usual="blind"),
    Field("hole.tolerance", "Tolerance", hint="H8, IT11, ±0.05, +0.1/0; empty: any drilled hole"),
    Field("hole.finish", "Finish", choices=texts.FINISH, usual="drilled"),
    Field("holes_to_make", "Holes to make", "whole", hint="empty: a job that keeps coming back"),
)  # fmt: skip
MACHINE = (
    Field("machine.name", "Name of the machine", usual="machine", needed=True),
    Field("machine.rated_power_kw", "Rated power", "kW", needed=True,
          check=lambda v: _machine(rated_power_kw=v)),
    Field("machine.base_rpm", "Speed where rated power begins, /min", "", needed=True,
          check=lambda v: _machine(base_rpm=v)),
    Field("machine.max_rpm", "Highest spindle speed, /min", "", needed=True,
          check=lambda v: _machine(max_rpm=v)),
    Field("machine.max_feed_mm_per_min", "Highest feed rate", "mm/min", hint="may be left out",
          check=lambda v: _machine(max_feed_mm_per_min=v)),
    Field("machine.max_thrust_n", "Thrust that the axis bears", "N", hint="may be left out",
          check=lambda v: _machine(max_thrust_n=v)),
    Field("machine.coolant_bar", "Coolant through the spindle", "bar", hint="empty: none",
          check=lambda v: _machine(coolant_bar=v)),
    Field("load_limit_pct", "Highest peak load of a worn drill, %", "%", usual="80"),
    Field("economics.machine_rate_per_min", "Machine and operator, money a minute", "",
          needed=True, check=lambda v: _money(machine_rate_per_min=v)),
    Field("economics.tool_change_min", "Time to change a drill, min", "", usual="1",
          check=lambda v: _money(tool_change_min=v)),
    Field("economics.breakage_cost", "Cost of a broken drill beside the drill", "",
          hint="may be left out", check=lambda v: _money(breakage_cost=v)),
    Field("economics.currency", "Currency", usual="EUR", needed=True,
          check=lambda v: _money(currency=v)),
)  # fmt: skip
TEST = (
    Field("max_test_holes", "Longest run, holes", "whole", usual="300"),
    Field("test.holes", "Test holes at hand", "whole", hint="or give a plate"),
    Field("test.length", "Length of a test plate", "mm"),
    Field("test.width", "Width", "mm"),
    Field("test.thickness", "Thickness", "mm"),
    Field("test.plates", "Plates", "whole", hint="empty: one"),
)


def drill_fields(number: int) -> tuple[Field, ...]:
    """Fields of one candidate; only the first one needs a name."""
    at = f"drills.{number}."
    return (
        Field(f"{at}name", "Name", needed=number == 0, hint="what the shop calls it"),
        Field(f"{at}substrate", "Made of", choices=texts.SUBSTRATES, usual="carbide"),
        Field(f"{at}coating", "Coating", choices=texts.COATINGS, usual="bright"),
        Field(f"{at}length", "Standard length", choices=texts.LENGTHS, usual=""),
        Field(f"{at}flute_length_mm", "Flute length", "mm",
              hint="empty: by the standard length", check=lambda v: _drill(flute_length_mm=v)),
        Field(f"{at}diameter_mm", "Diameter", "mm", hint="empty: as the hole",
              check=lambda v: _drill(diameter_mm=v)),
        Field(f"{at}point_angle_deg", "Point angle, degrees", "", hint="empty: 140",
              check=lambda v: _drill(point_angle_deg=v)),
        Field(f"{at}helix_deg", "Helix, degrees", "", hint="may be left out",
              check=lambda v: _drill(helix_deg=v)),
        Field(f"{at}through_coolant", "Coolant holes", choices=texts.YES_NO, usual="no"),
        Field(f"{at}price", "Price", "", check=lambda v: _drill(price=v)),
        Field(f"{at}regrinds", "Regrinds", "whole", check=lambda v: _drill(regrinds=v)),
        Field(f"{at}regrind_cost", "Cost of a regrind", "",
              check=lambda v: _drill(regrind_cost=v)),
    )  # fmt: skip


def maker_fields(number: int) -> tuple[Field, ...]:
    """The maker's range of one candidate."""
    at = f"drills.{number}."
    return (
        Field(f"{at}maker_speed.low", "Speed from", "m/min"),
        Field(f"{at}maker_speed.high", "Speed to", "m/min"),
        Field(f"{at}maker_feed.low", "Feed from", "mm/rev"),
        Field(f"{at}maker_feed.high", "Feed to", "mm/rev"),
        Field(f"{at}expected_holes", "Holes an edge should last", "",
              check=lambda v: _drill(expected_holes=v)),
    )  # fmt: skip


BY_STEP: tuple[tuple[Field, ...], ...] = (
    HOLE,
    MACHINE,
    (*(one for n in range(len(LETTERS)) for one in (*drill_fields(n), *maker_fields(n))), *TEST),
)
LIKE_FIELD = Field("work.like", texts.LIKE)
FIELDS: dict[str, Field] = {
    field.name: field for step in BY_STEP for field in step
} | {LIKE_FIELD.name: LIKE_FIELD}  # fmt: skip
# Words of an error of the whole trial → the field that it is about.
_ABOUT = {
    "maximum speed of the machine": "machine.max_rpm",
    "base speed of the machine": "machine.base_rpm",
    "drills of the trial": "drills.1.name",
    "catalogue material": "work.like",
    "name of the trial": "name",
    "load limit": "load_limit_pct",
    "holes to make": "holes_to_make",
    "longest test": "max_test_holes",
    "thickness of the plate": "test.thickness",
    "test plate": "test.length",
    "length of the plate": "test.length",
    "width of the plate": "test.width",
}


@dataclass(frozen=True, slots=True)
class Read:
    """What the fields say.

    Args:
        values: by field name; left out where empty or wrong.
        errors: by field name, what is wrong.
        said: by field name, how a number was understood, in both unit systems.
    """

    values: dict[str, Any]
    errors: dict[str, str]
    said: dict[str, str]


def read_fields(typed: Mapping[str, Any], system: units.UnitSystem) -> Read:
    """Read every field that was filled in; each error belongs to one field."""
    read = Read({}, {}, {})
    for name, field in FIELDS.items():
        text = str(typed.get(name) or "").strip()
        if not text:
            continue
        try:
            value, said = _value(field, text, system)
            if field.check is not None:
                field.check(value)
        except InputError as error:
            read.errors[name] = str(error)
            continue
        read.values[name] = value
        if said:
            read.said[name] = said
    return read


def _value(field: Field, text: str, system: units.UnitSystem) -> tuple[Any, str]:
    if field.unit == "text" or field.choices is not None:
        return text, ""
    if field.unit == "whole":
        number = units.parse_number(text, what=field.label)
        if number != int(number) or number < 0:
            raise InputError(field.label, got=text, allowed="a whole number, 0 or more")
        return int(number), ""
    if field.unit not in _INCH:
        return (
            units.parse(text, to="%", what=field.label)
            if field.unit == "%"
            else units.parse_number(text, what=field.label)
        ), ""
    try:
        units.parse_number(text, what=field.label)
        bare = True
    except InputError:
        bare = text[-1:].isdigit()  # a number that can be read in two ways stays an error
    if bare and system == "inch":
        text = f"{text} {_INCH[field.unit]}"
    value = units.parse(text, to=field.unit, what=field.label)
    both = (units.show(value, field.unit), units.show(value, field.unit, "inch"))
    return value, texts.READ_AS.format(one=both[0], other=both[1])


def missing(names: Sequence[Field], typed: Mapping[str, Any]) -> dict[str, str]:
    """Fields that must be filled in and are not; of a drill only when it has a name."""
    return {
        field.name: texts.NEEDED_MISSING
        for field in names
        if field.needed and not str(typed.get(field.name) or "").strip()
    }


def plain_trial(values: Mapping[str, Any], first: str | None = None) -> dict[str, Any]:
    """The values as a plain trial for `Workbench.draft`; drill ``first`` stands first."""
    plain: dict[str, Any] = {}
    drills: dict[int, dict[str, Any]] = {}
    for name, value in values.items():
        parts = name.split(".")
        if parts[0] == "test":
            continue
        if parts[0] == "drills":
            drills.setdefault(int(parts[1]), {})[".".join(parts[2:])] = value
        elif len(parts) == 1:
            plain[name] = value
        else:
            plain.setdefault(parts[0], {})[parts[1]] = value
    if "hole" in plain:
        plain["hole"]["through"] = plain["hole"].get("through") == "through"
    plain["drills"] = [_plain_drill(drills[at]) for at in sorted(drills) if drills[at].get("name")]
    if first is not None:
        plain["drills"].sort(key=lambda drill: drill["name"] != first)
    return plain


def _plain_drill(drill: dict[str, Any]) -> dict[str, Any]:
    made = {name: value for name, value in drill.items() if not name.startswith("maker_")}
    made["through_coolant"] = made.get("through_coolant") == "yes"
    for name, whole in (("maker_speed", "maker_speed_m_per_min"),
                        ("maker_feed", "maker_feed_mm_per_rev")):  # fmt: skip
        ends = [drill.get(f"{name}.low"), drill.get(f"{name}.high")]
        known = [end for end in ends if end is not None]
        if known:
            made[whole] = [known[0], known[-1]]
    return made


def test_material(values: Mapping[str, Any]) -> dict[str, Any]:
    """What `Workbench.begin` takes for the work material of the test."""
    given = {name.removeprefix("test."): value for name, value in values.items()
             if name.startswith("test.")}  # fmt: skip
    made: dict[str, Any] = {}
    if given.get("holes"):
        made["holes_at_hand"] = given["holes"]
    if "length" in given and "width" in given:
        made["plate_mm"] = given["length"], given["width"]
        made["thickness_mm"] = given.get("thickness")
        made["plates"] = given.get("plates") or 1
    return made


def about(error: InputError) -> str | None:
    """The field that an error of the whole trial is about; None when it is about none."""
    said = error.what.casefold()
    return next((name for words, name in _ABOUT.items() if words in said), None)


def step_of(name: str) -> int:
    """The step that a field belongs to, from 0."""
    return next(
        (at for at, step in enumerate(BY_STEP) if any(field.name == name for field in step)), 0
    )

"""Which field is load, speed, depth and time, guessed from names, units and how values behave.

Names are looked at in the languages that machines and their makers usually speak. A guess is an
offer: a person confirms it, and where it is unsure it says so instead of choosing.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field

import numpy as np

from trials.errors import InputError
from trials.logger.mapping import DEPTH_UNITS, LOAD_UNITS, TIME_UNITS, Field, Mapping, known_unit
from trials.logger.survey import FieldSeen, Survey

# Parts of names, without accents, small letters. Common practice in the trade, no source.
_LOAD = (
    "load", "auslastung", "belastung", "spindellast", "charge", "carico", "carga", "belasting",
    "belastning", "obciazenie", "zatizeni", "terheles", "kuormitus", "нагрузк", "负载", "負載",
    "負荷", "부하",
)  # fmt: skip
_POWER = (
    "power", "leistung", "puissance", "potenza", "potencia", "vermogen", "effekt", "vykon",
    "мощност", "功率", "電力",
)  # fmt: skip
_TORQUE = (
    "torque", "drehmoment", "moment", "couple", "coppia", "koppel", "vridmoment", "扭矩", "トルク",
)  # fmt: skip
_CURRENT = (
    "current", "strom", "courant", "corrente", "corriente", "stroom", "ampere", "电流", "電流",
)  # fmt: skip
_SPINDLE = (
    "spind", "broche", "mandrin", "husillo", "wrzecion", "vreten", "шпиндел", "主轴", "主軸",
)  # fmt: skip
_SPEED = (
    "rpm", "drehzahl", "speed", "vitesse", "regime", "giri", "velocita", "velocidad", "toerental",
    "varvtal", "obroty", "otacky", "umdr", "trmin", "оборот", "转速", "轉速", "回転", "회전",
)  # fmt: skip
_NO_SPEED = (
    "cut", "surface", "schnitt", "feed", "vorschub", "avance", "axis", "cmd", "command", "soll",
    "ovr", "override", "fan",
)  # fmt: skip
_DEPTH = (
    "depth", "tiefe", "profond", "profund", "diepte", "djup", "glebokosc", "hloubka", "глубин",
    "深さ", "深度",
)  # fmt: skip
_TIME = (
    "time", "zeit", "temps", "tempo", "tiempo", "tijd", "czas", "zaman", "sekund", "second",
    "datum", "date", "время", "时间", "時間", "時刻", "시간",
)  # fmt: skip
_SHORT = {
    "load": ("last", "sl"), "power": ("p", "moc", "guc"), "torque": ("m", "md", "par", "mom"),
    "current": ("i", "amp"), "speed": ("n", "s", "drz"), "time": ("t", "ts", "tid", "cas"),
}  # fmt: skip
_AXIS = re.compile(r"^(ys|[xyzabcuvw])\d*[_ .]?(axis|achse)?[_ .]?(load|last|charge|carico|carga)")
_STEM_NUMBER = re.compile(r"^[^\W\d]+?(\d+)")
_SURE, _LEAD, _OTHERS = 6.0, 1.5, 3.0


@dataclass(slots=True)
class Guess:
    """What is offered for a mapping.

    Args:
        load: fields that could be the load, the likeliest first; time, rpm, depth: likewise.
        load_unit: unit of the likeliest load.
        why: a few words for each choice.
        doubts: what a person must settle; empty when the guess can be taken as it is.
    """

    load: list[str | int] = field(default_factory=list)
    time: list[str | int] = field(default_factory=list)
    rpm: list[str | int] = field(default_factory=list)
    depth: list[str | int] = field(default_factory=list)
    load_unit: str = "%"
    time_unit: str = "s"
    depth_unit: str = "mm"
    why: dict[str, str] = field(default_factory=dict)
    doubts: list[str] = field(default_factory=list)

    def mapping(self, reference: float | None = None) -> Mapping:
        """The mapping of the likeliest fields.

        Raises:
            InputError: there is no load, or its unit needs a reference.
        """
        if not self.load:
            raise InputError(
                "spindle load", got="no field that could be it",
                allowed="a field of numbers that go up while cutting",
                do="Drill while it listens, or say which it is with --map load=….",
            )  # fmt: skip
        return Mapping(
            Field(self.load[0], self.load_unit, reference),
            Field(self.time[0], self.time_unit) if self.time else None,
            Field(self.rpm[0], "1/min") if self.rpm else None,
            Field(self.depth[0], self.depth_unit) if self.depth else None,
        )


def guess(seen: Survey) -> Guess:
    """Guess what the fields of a source are."""
    found = Guess()
    _guess_time(seen, found)
    numbers = [one for one in seen.fields if one.kind == "number" and one.name not in found.time]
    scored = sorted(((_load_score(one), one) for one in numbers), key=lambda pair: -pair[0])
    least = _OTHERS if scored and scored[0][0] >= _SURE else 0.0
    likely = [(score, one) for score, one in scored if score > least]
    found.load = [one.name for _, one in likely]
    if likely:
        score, best = likely[0]
        found.why["load"] = _load_why(best)
        second = likely[1][0] if len(likely) > 1 else 0.0
        if score < _SURE or score - second < _LEAD:
            others = ", ".join(str(one.name) for _, one in likely[1:4])
            found.doubts.append(
                f"The load could be {best.name}" + (f", or {others}" if others else "")
            )
        set_load_unit(found, best)
        _guess_rpm(seen, found, best)
    else:
        found.doubts.append("No field looks like a spindle load")
    _guess_depth(seen, found)
    return found


def set_load_unit(found: Guess, one: FieldSeen) -> None:
    """Guess the unit of the field that was chosen as the load."""
    found.doubts = [doubt for doubt in found.doubts if not doubt.startswith("The unit of")]
    said = _unit_said(one, LOAD_UNITS)
    kind = _kind_of_load(one)
    if said is not None:
        found.load_unit, found.why["load_unit"] = said, "said by its name"
    elif kind in ("power", "torque", "current"):
        found.load_unit = {"power": "kW", "torque": "N*m", "current": "A"}[kind]
        found.why["load_unit"] = f"its name means {kind}"
        found.doubts.append(f"The unit of {one.name} could be {found.load_unit} or %")
    elif 0 < one.high <= 1.5 and (one.values % 1 != 0).any():
        found.load_unit, found.why["load_unit"] = "ratio", f"no value above {one.high:g}"
        found.doubts.append(f"The unit of {one.name} could be a ratio (1 is full load) or %")
    else:
        found.load_unit, found.why["load_unit"] = "%", f"values {one.low:g} to {one.high:g}"


def _plain(name: str | int) -> str:
    """A name without accents and unit, in small letters, joined."""
    text = re.sub(r"\s*[\[(].*?[\])]", "", str(name))
    text = unicodedata.normalize("NFKD", text.replace("ł", "l").replace("Ł", "l"))
    return "".join(mark for mark in text if not unicodedata.combining(mark)).casefold()


def _words(name: str | int) -> list[str]:
    text = re.sub(r"\s*[\[(].*?[\])]", "", str(name))
    text = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text)
    return re.findall(r"[^\W\d_]+", _plain(text))


def _means(one: FieldSeen, parts: tuple[str, ...], short: str = "") -> bool:
    if isinstance(one.name, int):
        return False
    plain = re.sub(r"[\W_]", "", _plain(one.name))
    words = _words(one.name)
    if any(part in plain for part in parts):
        return True
    return bool(short) and any(word in _SHORT[short] for word in words)


def _kind_of_load(one: FieldSeen) -> str | None:
    for kind, parts in (
        ("load", _LOAD), ("power", _POWER), ("torque", _TORQUE), ("current", _CURRENT),
    ):  # fmt: skip
        if _means(one, parts, kind):
            return kind
    return None


def _load_score(one: FieldSeen) -> float:
    """How much a field looks like the spindle load; 0 and less for one that cannot be it."""
    if one.count < 2 or (one.rises and one.count > 5):
        return 0.0
    unit = _unit_said(one, LOAD_UNITS)
    kind = _kind_of_load(one)
    named = _means(one, _SPEED) or _means(one, _DEPTH) or _means(one, _TIME)
    if kind is None and (named or (one.unit and unit is None)):
        return 0.0
    score = {"load": 7.0, "power": 5.0, "torque": 5.0, "current": 4.0}.get(kind or "", 0.0)
    plain = _plain(one.name)
    if _AXIS.match(plain):
        score -= 5.0
    elif kind is not None and (_means(one, _SPINDLE) or re.match(r"^sp?\d*[_ .]?[a-z]", plain)):
        score += 3.0
    if kind is not None and (number := _STEM_NUMBER.match(plain)):
        score -= 0.4 * (min(int(number[1]), 9) - 1)  # the first spindle before the others
    if kind is None:
        score += 2.0 if unit in ("%", "ratio") else 1.0 if unit is not None else 0.0
        score += _swing(one)
    elif unit == "%":
        score += 1.0
    if one.low < 0:
        score -= 2.0
    if one.high > 300 and kind in (None, "load"):
        score -= 4.0
    return score


def _swing(one: FieldSeen) -> float:
    """0 to 2: values in the range of a load that keep coming back to a low level."""
    if one.low < 0 or one.high > 300 or one.changes < 0.1 or one.high <= one.low:
        return 0.0
    low_level = one.low + 0.25 * (one.high - one.low)
    low_share = float((one.values <= low_level).mean())
    turns = np.diff((one.values > one.low + 0.5 * (one.high - one.low)).astype(int))
    return 2.0 if 0.05 <= low_share <= 0.95 and np.abs(turns).sum() >= 1 else 0.5


def _load_why(one: FieldSeen) -> str:
    kind = _kind_of_load(one)
    return f"its name means {kind}" if kind else "it goes up and down as a load does"


def _guess_time(seen: Survey, found: Guess) -> None:
    if seen.line_format.kind == "shdr":
        found.why["time"] = "each line carries its own"
        return
    likely = []
    for one in seen.fields:
        named = _means(one, _TIME, "time")
        if one.kind == "clock":
            likely.append((3.0 + 2.0 * named, one))
        elif one.kind == "number" and one.rises:
            steps = np.diff(one.values)
            even = float(np.std(steps)) <= 0.5 * float(np.mean(steps))
            counts = bool((steps == 1).all()) and not named  # a counter of lines
            likely.append((2.0 * named + even - 1.5 * counts, one))
    likely = [(score, one) for score, one in likely if score >= 1]
    likely.sort(key=lambda pair: -pair[0])
    found.time = [one.name for _, one in likely]
    if likely:
        best = likely[0][1]
        found.time_unit, found.why["time"] = time_unit(seen, best)
    elif seen.heard.at_end and seen.duration_s < 0.2:
        found.doubts.append("No field looks like a time, and a file needs one")


def time_unit(seen: Survey, one: FieldSeen) -> tuple[str, str]:
    """Unit of a time field, and why."""
    if one.kind == "clock":
        return "iso", "date and time of day"
    said = _unit_said(one, TIME_UNITS)
    if said is not None:
        return said, "said by its name"
    if len(one.values) > 3 and seen.duration_s > 1.0:
        per_s = (one.values[-1] - one.values[0]) / max(one.at_s[-1] - one.at_s[0], 1e-9)
        if 0.5 < per_s < 2.0:
            return "s", "it goes as fast as our clock"
        if 500 < per_s < 2000:
            return "ms", "it goes a thousand times as fast as our clock"
    steps = np.diff(one.values)
    whole = bool((one.values % 1 == 0).all())
    if whole and len(steps) and float(np.median(steps)) >= 2:
        return "ms", f"whole numbers in steps of {np.median(steps):g}"
    return "s", "the usual unit"


def _guess_rpm(seen: Survey, found: Guess, load: FieldSeen) -> None:
    likely = []
    for one in seen.fields:
        if one.kind != "number" or one.name in (load.name, *found.time):
            continue
        if not _means(one, _SPEED, "speed") or _means(one, _NO_SPEED) or _kind_of_load(one):
            continue
        stem = re.match(r"^[^\W\d_]+\d+", _plain(load.name))
        same = stem is not None and _plain(one.name).startswith(stem[0])
        short = not _means(one, _SPEED)
        likely.append((2.0 * same + 1.0 * (_unit_said(one, ("1/min",)) is not None) - short, one))
    likely.sort(key=lambda pair: -pair[0])
    found.rpm = [one.name for _, one in likely]
    if likely:
        found.why["rpm"] = _together(load, likely[0][1]) or "its name means speed"


def _together(load: FieldSeen, speed: FieldSeen) -> str:
    """Whether load is higher while the spindle turns."""
    if len(load.values) != len(speed.values) or len(load.values) < 20:
        return ""
    if np.ptp(load.values) == 0 or np.ptp(speed.values) == 0:
        return ""
    r = float(np.corrcoef(load.values, speed.values)[0, 1])
    return f"its name means speed, and it goes with the load (r = {r:.2f})" if r > 0.3 else ""


def _guess_depth(seen: Survey, found: Guess) -> None:
    for one in seen.fields:
        if one.kind == "number" and _means(one, _DEPTH) and one.name not in found.load[:1]:
            said = _unit_said(one, DEPTH_UNITS)
            if one.unit and said is None:
                continue
            found.depth.append(one.name)
            if len(found.depth) == 1:
                found.depth_unit = said or "mm"
                found.why["depth"] = "its name means depth"


def _unit_said(one: FieldSeen, allowed: tuple[str, ...]) -> str | None:
    """The unit in the name of a field, when it is one of those allowed."""
    if isinstance(one.name, int):
        return None
    for text in (one.unit, *_words(one.name)[1:], *(["%"] if "%" in one.name else [])):
        if text and known_unit(text) in allowed:
            return known_unit(text)
    return None

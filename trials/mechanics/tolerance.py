"""Hole tolerances as drawings write them, and the standard tolerances of ISO 286-1."""

from __future__ import annotations

import re
from dataclasses import dataclass

from trials import units
from trials.errors import InputError

# Standard tolerances in µm for nominal sizes over and up to, mm; grades IT5 to IT14.
# Source: ISO 286-1; IT7 to IT12 up to 30 mm read and cross-checked, the rest from memory.
_UP_TO_MM = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0)
_IT_UM: dict[int, tuple[int, ...]] = {
    5: (4, 5, 6, 8, 9, 11, 13, 15, 18, 20),
    6: (6, 8, 9, 11, 13, 16, 19, 22, 25, 29),
    7: (10, 12, 15, 18, 21, 25, 30, 35, 40, 46),
    8: (14, 18, 22, 27, 33, 39, 46, 54, 63, 72),
    9: (25, 30, 36, 43, 52, 62, 74, 87, 100, 115),
    10: (40, 48, 58, 70, 84, 100, 120, 140, 160, 185),
    11: (60, 75, 90, 110, 130, 160, 190, 220, 250, 290),
    12: (100, 120, 150, 180, 210, 250, 300, 350, 400, 460),
    13: (140, 180, 220, 270, 330, 390, 460, 540, 630, 720),
    14: (250, 300, 360, 430, 520, 620, 740, 870, 1000, 1150),
}
GRADES = tuple(_IT_UM)
_ISO = re.compile(r"(?:IT|([A-Za-z]{1,2})) ?(\d{1,2})")
_AROUND = re.compile(r"(?:±|\+/-|\+-) ?(.+)")
_FROM_TO = re.compile(
    r"([-+−]?) ?([\d.,]+) ?(?:(mm|in|µm|um)?) ?[/; ] ?([-+−]?) ?([\d.,]+) ?(mm|in|µm|um)?"
)


@dataclass(frozen=True, slots=True)
class HoleTolerance:
    """What a drawing asks of a hole's diameter.

    Args:
        text: as it is written.
        width_mm: from the smallest to the largest allowed diameter.
        grade: coarsest ISO 286 grade that fits into this width; None when even IT5 does not.
        low_mm, high_mm: deviations from the nominal diameter; None where only the grade is known.
    """

    text: str
    width_mm: float
    grade: int | None
    low_mm: float | None
    high_mm: float | None


def standard_tolerance_um(diameter_mm: float, grade: int) -> int:
    """IT value of a nominal size in µm; 10 mm belongs to the step up to 10.

    Source: ISO 286-1, see the table above.

    Raises:
        InputError: beyond 250 mm, or a grade that is not in the table.
    """
    if grade not in _IT_UM:
        raise InputError("ISO 286 grade", got=f"IT{grade}", allowed="IT5 to IT14")
    for step, up_to in enumerate(_UP_TO_MM):
        if diameter_mm <= up_to * (1 + 1e-12):
            return _IT_UM[grade][step]
    raise InputError("nominal size", got=f"{diameter_mm:g} mm", allowed="up to 250 mm")


def read_tolerance(text: str, diameter_mm: float) -> HoleTolerance | None:
    """Read ``H8``, ``IT11``, ``±0.05``, ``+0.1/0`` or ``+0.004/-0.001 in``; None when empty.

    Raises:
        InputError: the text is none of these.
    """
    plain = " ".join(text.strip().split())
    if not plain:
        return None
    found = _ISO.fullmatch(plain)
    if found is not None:
        return _by_grade(plain, found[1], int(found[2]), diameter_mm)
    around = _AROUND.fullmatch(plain)
    if around is not None:
        half = abs(units.parse(around[1], to="mm", what=f"tolerance {plain}"))
        return _by_width(plain, -half, half, diameter_mm)
    pair = _FROM_TO.fullmatch(plain)
    if pair is not None:
        unit = pair[6] or pair[3] or "mm"
        ends = [
            _deviation(pair[1], pair[2], unit, plain),
            _deviation(pair[4], pair[5], unit, plain),
        ]
        return _by_width(plain, min(ends), max(ends), diameter_mm)
    raise InputError(
        "hole tolerance", got=text, allowed="such as H8, IT11, ±0.05, +0.1/0 or +0.004/0 in",
        do="Or leave it out where any drilled hole will do.",
    )  # fmt: skip


def _deviation(sign: str, number: str, unit: str, text: str) -> float:
    unit = unit.replace("µm", "um")
    value = units.parse(f"{number} {unit}", to="mm", what=f"tolerance {text}")
    return -value if sign in ("-", "−") else value


def _by_grade(text: str, letter: str | None, grade: int, diameter_mm: float) -> HoleTolerance:
    width = standard_tolerance_um(diameter_mm, grade) / 1000.0
    low = high = None
    if letter == "H":
        low, high = 0.0, width
    elif letter in ("JS", "Js"):
        low, high = -width / 2, width / 2
    elif letter is not None and letter != letter.upper():
        raise InputError(
            "hole tolerance", got=text, allowed="capital letters, which are for holes",
            do=f"Small letters are for shafts. Is {text.upper()} meant?",
        )  # fmt: skip
    return HoleTolerance(text, width, grade, low, high)


def _by_width(text: str, low: float, high: float, diameter_mm: float) -> HoleTolerance:
    width = high - low
    if width <= 0:
        raise InputError("hole tolerance", got=text, allowed="two different limits")
    fitting = [
        grade
        for grade in GRADES
        if standard_tolerance_um(diameter_mm, grade) / 1000.0 <= width * (1 + 1e-9)
    ]
    return HoleTolerance(text, width, fitting[-1] if fitting else None, low, high)

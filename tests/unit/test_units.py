from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials import units
from trials.errors import InputError


@pytest.mark.parametrize(
    ("text", "to", "value"),
    [
        ("0.004 in/rev", "mm/rev", 0.1016),
        ("0.004 ipr", "mm/rev", 0.1016),
        ("300 sfm", "m/min", 91.44),
        ("300 ft/min", "m/min", 91.44),
        ("12,5 mm", "mm", 12.5),
        ("12.5", "mm", 12.5),
        ('0.75"', "mm", 19.05),
        ("1.234,5 mm", "mm", 1234.5),
        ("1,234.5 mm", "mm", 1234.5),
        ("0,125 mm", "mm", 0.125),
        ("1 hp", "kW", 0.7457),
        ("70 %", "%", 70.0),
        (8.5, "mm", 8.5),
        # Exact: an inch is 25.4 mm (ISO 80000, since 1959).
        ("11/32 in", "mm", 8.73125),
        ("1 3/8 in", "mm", 34.925),
        ('1-3/8"', "mm", 34.925),
        (" 1/4 inch ", "mm", 6.35),
        ("1/64in", "mm", 0.396875),
        ("1/8 mm", "mm", 0.125),
    ],
)
def test_reads_what_people_write(text: str | float, to: str, value: float) -> None:
    assert units.parse(text, to=to) == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("abc", "a number with a unit"),
        ("1,234 mm", "Write 1234 or 1.234"),
        ("5 kg", "not the same kind of unit as mm"),
        ("5 furlfoo", "not a unit that is known here"),
        ("nan", "a number"),
        ("1e999 mm", "a finite number"),
        ("5 __import__('os')", "unit"),
        ("5 %", "a value in mm"),
        ("11/32", "Write 11/32 in"),
        ("1 9/8 in", "a fraction of an inch"),
        ("1/0 in", "a fraction of an inch"),
        ("-1/4 in", "a number with a unit"),
        ("1/2/3 in", "unit"),
        ("1.5/2 in", "unit"),
        ("3/8 kg", "not the same kind of unit as mm"),
    ],
)
def test_refuses_with_a_reason(text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        units.parse(text, to="mm", what="depth")
    assert str(caught.value).startswith("depth")
    assert says in str(caught.value)


@given(st.floats(1e-3, 1e4))
def test_inch_and_back(value: float) -> None:
    inch, unit = units.to_inch(value, "mm")
    assert units.parse(f"{inch!r} {unit}", to="mm") == pytest.approx(value)


def test_shows_both_systems() -> None:
    assert units.show(0.1, "mm/rev") == "0.100 mm/rev"
    assert units.show(0.1, "mm/rev", "inch") == "0.0039 in/rev"
    assert units.show(91.44, "m/min", "inch") == "300 ft/min"
    assert units.show(None, "mm") == "–"
    assert units.show(41.25, "%") == "41%"

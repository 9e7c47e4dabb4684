"""Numbers on the screens: metric and inch, point and comma, nothing rounded to certainty."""

from __future__ import annotations

import pytest

from dashboard.show import NOTHING, Show
from trials.model import CuttingData

PLAIN = Show()
COMMA = Show(decimal=",")
INCH = Show(system="inch")
KEPT = "\u00a0"  # keeps number and unit together


def test_values_carry_their_unit_on_the_same_line() -> None:
    assert PLAIN.value(80.0, "m/min") == f"80.0{KEPT}m/min"
    # 1 ft is 0.3048 m exactly: 80 m/min are 262.47 ft/min.
    assert INCH.value(80.0, "m/min") == f"262{KEPT}ft/min"
    assert COMMA.value(0.16, "mm/rev") == f"0,160{KEPT}mm/rev"


@pytest.mark.parametrize(
    ("value_mm", "shown"), [(8.0, "8 mm"), (0.31, "0.31 mm"), (120.0, "120 mm"), (0.0, "0 mm")]
)
def test_lengths_drop_zeros_that_say_nothing(value_mm: float, shown: str) -> None:
    assert PLAIN.length(value_mm) == shown.replace(" ", KEPT)


@pytest.mark.parametrize(
    ("show", "value_mm", "shown"),
    [(PLAIN, 13.175, "13.1 mm"), (PLAIN, 12.0, "12 mm"), (PLAIN, 0.3, "0.3 mm"),
     (INCH, 13.175, "0.515 in"), (INCH, 12.7, "0.5 in")],
)  # fmt: skip
def test_what_a_control_is_given_is_never_rounded_up(
    show: Show, value_mm: float, shown: str
) -> None:
    # 13.175 mm are 0.51870 in; the next lower step of 0.005 in is 0.515 in.
    assert show.length_down(value_mm) == shown.replace(" ", KEPT)


def test_an_inch_is_25_4_mm() -> None:
    assert INCH.length(25.4) == f"1{KEPT}in"


def test_thousands_and_decimals_never_look_alike() -> None:
    assert PLAIN.count(12345) == "12,345"
    assert COMMA.count(12345) == "12\u202f345"
    assert COMMA.money(1234.5, "EUR") == f"1\u202f234,50{KEPT}EUR"


def test_cheap_holes_keep_three_decimals() -> None:
    assert PLAIN.money(0.0421, "USD") == f"0.042{KEPT}USD"
    assert PLAIN.money(12.3, "USD") == f"12.30{KEPT}USD"
    assert PLAIN.money_span(0.36, 1.2, "USD") == f"0.360–1.20{KEPT}USD"


@pytest.mark.parametrize(
    ("share", "shown"),
    [(0.999, "over 99 %"), (1.0, "over 99 %"), (0.97, "97 %"), (0.0, "under 1 %")],
)
def test_a_probability_is_never_shown_as_certain(share: float, shown: str) -> None:
    assert PLAIN.share(share) == shown.replace(" ", KEPT)


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [(0.3, "0.3 s"), (14.2, "14 s"), (119, "119 s"), (600, "10 min"), (9000, "2.5 h"),
     (3 * 86400, "3 days")],
)  # fmt: skip
def test_ages_are_said_as_a_person_would(seconds: float, shown: str) -> None:
    assert PLAIN.seconds(seconds) == shown.replace(" ", KEPT)


def test_what_is_not_known_is_a_dash() -> None:
    assert PLAIN.value(None, "mm") == NOTHING
    assert PLAIN.length(None) == NOTHING
    assert PLAIN.pct(None) == NOTHING
    assert PLAIN.pct_span(None, 3.0) == NOTHING
    assert PLAIN.share(None) == NOTHING
    assert PLAIN.count(None) == NOTHING
    assert PLAIN.count_span(1.0, None) == NOTHING
    assert PLAIN.money(None, "EUR") == NOTHING
    assert PLAIN.money_span(None, None, "EUR") == NOTHING
    assert PLAIN.seconds(None) == NOTHING


def test_pecking_in_words() -> None:
    pecked = CuttingData(80.0, 0.16, "chip_break", 1.5)
    assert PLAIN.pecking(CuttingData(80.0, 0.16), 8.0) == "no pecking"
    assert PLAIN.pecking(pecked, 8.0) == f"chip break 1.5 × D (12{KEPT}mm)"
    assert COMMA.pecking(pecked, 8.0).startswith("chip break 1,5 × D")


@pytest.mark.parametrize(
    "view", [None, {}, {"system": "<b>", "decimal": "x", "dark": "yes", "path": 3}]
)
def test_what_a_browser_sends_is_never_trusted(view: dict[str, object] | None) -> None:
    assert Show.from_view(view) == PLAIN


def test_choices_are_read() -> None:
    view = {"system": "inch", "decimal": ",", "dark": True}
    assert Show.from_view(view) == Show("inch", ",", True)

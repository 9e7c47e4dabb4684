"""Contrast of every colour on its paper, by the formula of WCAG 2.2 (relative luminance)."""

from __future__ import annotations

import pytest

from trials.figures import DARK, LIGHT, Palette


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_against_known_pairs() -> None:
    # WCAG 2.2: black on white is 21:1 and equal colours 1:1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#808080", "#808080") == pytest.approx(1.0)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_texts_reach_4_5_to_1(colours: Palette) -> None:
    for name in ("ink", "muted", "accent", "good", "warn", "bad"):
        assert contrast(getattr(colours, name), colours.paper) >= 4.5, name

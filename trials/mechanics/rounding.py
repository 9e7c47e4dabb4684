"""Rounding of cutting data to the safe side."""

from __future__ import annotations

import math


def speed_down(value: float) -> float:
    """Speed in m/min on a step that a person sets: 0.5 above 5 m/min, 0.1 below; never faster."""
    return _down(value, 0.5 if value > 5 else 0.1)


def feed_down(value: float) -> float:
    """Feed in mm/rev on a step of 0.005, or 0.0005 up to 0.02 mm/rev; never more."""
    return _down(value, 0.005 if value > 0.02 else 0.0005)


def _down(value: float, step: float) -> float:
    """The step at or below; two digits cut off, not rounded, where the value is below a step."""
    if value < step:
        step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return round(math.floor(value / step + 1e-9) * step, 12)

"""Numbers on the screens: the one place where a value becomes text.

A `Show` carries what the reader chose (metric or inch, decimal point or comma), so that no page
formats a number by itself.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from dashboard import texts
from dashboard.access import viewer
from dashboard.texts import access as access_texts
from trials import units
from trials.figures import DecimalMark
from trials.model import CuttingData

NOTHING = "–"
# Keeps a number and its unit on one line.
_KEPT = "\u00a0"
# A minus, and not the hyphen of a date, a range or a name.
_MINUS = re.compile(r"(?<![\w.\-])-(?=\d)")
_SWAP = str.maketrans({",": "\u202f", ".": ","})


@dataclass(frozen=True, slots=True)
class Show:
    """How one reader wants to see values.

    Args:
        system: ``metric`` or ``inch``.
        decimal: decimal mark; thousands are parted by a comma or, with a decimal comma, by a
            narrow space.
        dark: whether the reader's device asks for dark screens (for the figures).
    """

    system: units.UnitSystem = "metric"
    decimal: DecimalMark = "."
    dark: bool = False

    @classmethod
    def from_view(cls, view: Mapping[str, Any] | None) -> Show:
        """Read what the browser sent; anything unknown falls back to the plain choice."""
        chosen = view or {}
        return cls(
            system="inch" if chosen.get("system") == "inch" else "metric",
            decimal="," if chosen.get("decimal") == "," else ".",
            dark=chosen.get("dark") is True,
        )

    def value(self, value: float | None, unit: str) -> str:
        """A value in an inside unit: ``value(0.1, "mm/rev")`` → ``0.100 mm/rev``."""
        return self._mark(units.show(value, unit, self.system))

    def length(self, value_mm: float | None) -> str:
        """A length without the zeros that say nothing: ``8 mm``, ``0.31 mm``, ``0.315 in``."""
        if value_mm is None:
            return NOTHING
        number, unit = units.show(value_mm, "mm", self.system).split(" ")
        if "." in number:
            number = number.rstrip("0").rstrip(".")
        return self._mark(f"{number} {unit}")

    def length_down(self, value_mm: float) -> str:
        """A length cut to a step that a control is given: 0.1 mm or 0.005 in, never longer."""
        step_mm = 0.1 if self.system == "metric" else 0.127
        return self.length(math.floor(value_mm / step_mm + 1e-9) * step_mm)

    def pct(self, value: float | None, digits: int = 0) -> str:
        """A load or a share that is in per cent already."""
        return NOTHING if value is None else self._mark(f"{value:.{digits}f} %")

    def pct_span(self, low: float | None, high: float | None) -> str:
        """A range of loads."""
        if low is None or high is None:
            return NOTHING
        return self._mark(f"{low:.0f}–{high:.0f} %")

    def share(self, value: float | None) -> str:
        """A probability of 0 to 1 in per cent; never rounded up to certainty."""
        if value is None:
            return NOTHING
        if value > 0.99:
            return self._mark("over 99 %")
        return self._mark("under 1 %" if value < 0.01 else f"{100 * value:.0f} %")

    def count(self, value: float | None) -> str:
        """Holes, runs: whole numbers with thousands parted."""
        return NOTHING if value is None else self._mark(f"{round(value):,}")

    def count_span(self, low: float | None, high: float | None) -> str:
        """A range of counts."""
        if low is None or high is None:
            return NOTHING
        return f"{self.count(low)}–{self.count(high)}"

    def money(self, value: float | None, currency: str) -> str:
        """Money with its ISO 4217 code: three decimals below 1, so that a cheap hole shows."""
        if not viewer().sees_prices:
            return access_texts.HIDDEN
        return NOTHING if value is None else f"{self._amount(value)}{_KEPT}{currency}"

    def money_span(self, low: float | None, high: float | None, currency: str) -> str:
        """A range of money, the currency once."""
        if not viewer().sees_prices:
            return access_texts.HIDDEN
        if low is None or high is None:
            return NOTHING
        return f"{self._amount(low)}–{self._amount(high)}{_KEPT}{currency}"

    def seconds(self, value: float | None) -> str:
        """A stretch of time as a person would say it."""
        if value is None:
            return NOTHING
        if value < 10:
            return self._mark(f"{value:.1f} s")
        if value < 120:
            return self._mark(f"{value:.0f} s")
        if value < 7200:
            return self._mark(f"{value / 60:.0f} min")
        if value < 48 * 3600:
            return self._mark(f"{value / 3600:.1f} h")
        return self._mark(f"{value / 86400:.0f} days")

    def room(self, value_bytes: float) -> str:
        """Room on a disk in decimal units, as disks are sold."""
        value, unit = float(value_bytes), "B"
        for larger in ("kB", "MB", "GB", "TB"):
            if value < 1000:
                break
            value, unit = value / 1000, larger
        digits = 0 if unit == "B" or value >= 100 else 1
        return self._mark(f"{value:.{digits}f} {unit}")

    def pecking(self, data: CuttingData, diameter_mm: float) -> str:
        """Pecking in words: ``chip break 1.5 × D (12 mm)``."""
        mode = texts.PECKING[data.peck_mode]
        if data.peck_mode == "none":
            return mode
        return texts.PECK_EVERY.format(
            mode=mode,
            depth_xd=self._mark(f"{data.peck_depth_xd:.3g}"),
            depth=self.length_down(data.peck_depth_xd * diameter_mm),
        )

    def peck_mode(self, data: CuttingData) -> str:
        """Pecking without the length, where that stands beside it."""
        return texts.PECK_MODE_EVERY.format(
            mode=texts.PECKING[data.peck_mode], depth_xd=self._mark(f"{data.peck_depth_xd:.3g}")
        )

    def cutting_data(self, data: CuttingData, diameter_mm: float) -> str:
        """Speed, feed and pecking on one line."""
        return " · ".join(
            (
                self.value(data.speed_m_per_min, "m/min"),
                self.value(data.feed_mm_per_rev, "mm/rev"),
                self.pecking(data, diameter_mm),
            )
        )

    def sentence(self, text: str) -> str:
        """A sentence that comes from below: units and decimal marks as the reader wants them."""
        text = _MINUS.sub("\u2212", units.sentence(text, self.system))
        if self.decimal == ".":
            return text
        return re.sub(r"(?<=\d)[.,](?=\d)", lambda found: found[0].translate(_SWAP), text)

    def _amount(self, value: float) -> str:
        return self._mark(f"{value:,.{3 if abs(value) < 1 else 2}f}")

    def _mark(self, text: str) -> str:
        kept = text.replace(" ", _KEPT)
        return kept.translate(_SWAP) if self.decimal == "," else kept

"""Where wear and chipping of each kind end an edge, and what can still be reground."""

from __future__ import annotations

from dataclasses import dataclass, replace

from trials.errors import require


@dataclass(frozen=True, slots=True)
class WearLimits:
    """Limits of single kinds of wear, for a trial in which one limit for all will not do.

    Flank wear is often taken as worn at 0.3 mm on average or 0.6 mm at its largest: ISO 3685 for
    turning, from memory; for a drill a convention only.

    Args:
        vb_average_mm, vb_maximum_mm, corner_chipping_mm, margin_chipping_mm: where an edge is
            worn; None: the trial's one wear limit holds for this kind.
        regrind_mm: the most wear, or chipping of the corner, that is reground.
        regrind_margin_mm: the most chipping of the margin that is reground; 0: none.
    """

    vb_average_mm: float | None = None
    vb_maximum_mm: float | None = None
    corner_chipping_mm: float | None = None
    margin_chipping_mm: float | None = None
    regrind_mm: float = 0.5
    regrind_margin_mm: float = 0.0

    def __post_init__(self) -> None:
        for what, value in (
            ("limit of VB average", self.vb_average_mm),
            ("limit of VB maximum", self.vb_maximum_mm),
            ("limit of corner chipping", self.corner_chipping_mm),
            ("limit of margin chipping", self.margin_chipping_mm),
        ):
            require(value is None or 0 < value <= 5, what, value,
                    "more than 0 and at most 5 mm, or left out")  # fmt: skip
        require(0 < self.regrind_mm <= 10, "most wear that is reground", self.regrind_mm,
                "more than 0 and at most 10 mm")  # fmt: skip
        require(0 <= self.regrind_margin_mm <= 10, "most margin chipping that is reground",
                self.regrind_margin_mm, "0 to 10 mm")  # fmt: skip

    def filled(self, wear_limit_mm: float) -> WearLimits:
        """The same with this limit, mm, where a kind has none of its own."""
        return replace(
            self,
            vb_average_mm=self.vb_average_mm or wear_limit_mm,
            vb_maximum_mm=self.vb_maximum_mm or wear_limit_mm,
            corner_chipping_mm=self.corner_chipping_mm or wear_limit_mm,
            margin_chipping_mm=self.margin_chipping_mm or wear_limit_mm,
        )

"""Which earlier jobs count as like the one that is asked about."""

from __future__ import annotations

from dataclasses import dataclass

from trials.errors import require
from trials.model.trial import Trial
from trials.model.work import ISO_GROUPS, IsoGroup

Range = tuple[float, float]
# How far apart two jobs may be and still be like each other: common practice, no source.
_DIAMETER, _DEPTH, _HARDNESS = 1.25, 1.5, 1.2


@dataclass(frozen=True, slots=True)
class LikeJobs:
    """A question over all trials: which of them count. What is left out does not matter.

    Args:
        group: ISO 513 group of the work.
        material: a text that the name of the work material contains, large or small letters.
        hardness_hb: lowest and highest Brinell hardness; a trial without one does not count then.
        diameter_mm: smallest and largest hole diameter, mm.
        depth_xd: least and greatest depth in hole diameters.
        currency: ISO 4217 code; None takes the one that most edges are paid in. Money of several
            currencies is never mixed.
        invented: invented trials instead of real ones; the two are never mixed.
        wear_limit_mm: lives by this wear limit instead of each trial's own, mm; an edge that was
            called worn before it reached this one only says that it lasted longer.
    """

    group: IsoGroup | None = None
    material: str = ""
    hardness_hb: Range | None = None
    diameter_mm: Range | None = None
    depth_xd: Range | None = None
    currency: str | None = None
    invented: bool = False
    wear_limit_mm: float | None = None

    def __post_init__(self) -> None:
        require(self.group is None or self.group in ISO_GROUPS, "ISO 513 group", self.group,
                "one of " + ", ".join(ISO_GROUPS))  # fmt: skip
        for what, span in (
            ("hardness", self.hardness_hb), ("hole diameter", self.diameter_mm),
            ("depth in diameters", self.depth_xd),
        ):  # fmt: skip
            require(span is None or 0 < span[0] <= span[1] < 1e6, what, span,
                    "two values above 0, the lower one first")  # fmt: skip
        require(self.wear_limit_mm is None or 0 < self.wear_limit_mm <= 5, "wear limit",
                self.wear_limit_mm, "more than 0 and at most 5 mm")  # fmt: skip

    @classmethod
    def to(cls, trial: Trial) -> LikeJobs:
        """Jobs like that of a trial: its ISO group, and hardness, diameter and depth near its own.

        Diameters within a quarter, depths in diameters within a half, and hardness, where it is
        known, within a fifth: common practice, no source.
        """
        hole, hardness = trial.hole, trial.work.hardness_hb
        return cls(
            group=trial.work.group,
            hardness_hb=None if hardness is None else _around(hardness, _HARDNESS),
            diameter_mm=_around(hole.diameter_mm, _DIAMETER),
            depth_xd=_around(hole.depth_mm / hole.diameter_mm, _DEPTH),
            currency=trial.economics.currency,
            invented=trial.invented,
        )


def _around(value: float, factor: float) -> Range:
    return value / factor, value * factor

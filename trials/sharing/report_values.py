"""What a report is made of."""

from __future__ import annotations

from dataclasses import dataclass

from trials.economics import Comparison
from trials.life import HolesToWear
from trials.model import Run, Trial
from trials.optimizer import Suggestion


@dataclass(frozen=True, slots=True)
class RunReported:
    """A run with what is known of it: life, and the peak load of each hole."""

    run: Run
    life: HolesToWear | None
    peaks: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class PhotoReported:
    """A photo of a drill: of which run, after how many holes, JPEG, and how wide it is if known."""

    run: int
    hole: int
    jpeg: bytes
    note: str = ""
    width_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Report:
    """What a report says.

    Args:
        trial: as it is to be shown, without the names that are removed.
        runs: all of them, in order, with names of drills as in ``trial``.
        compared: drills on cost per hole; None without money.
        drill: name of the drill that is recommended; None when none can be.
        advice: cutting data for production with it; not_advised: why there is none.
        removed: what was left out, by name.
        photos: those that are shown; photos_in_all: how many there are.
    """

    trial: Trial
    runs: tuple[RunReported, ...]
    compared: Comparison | None
    drill: str | None
    advice: Suggestion | None
    not_advised: str
    removed: tuple[str, ...] = ()
    photos: tuple[PhotoReported, ...] = ()
    photos_in_all: int = 0

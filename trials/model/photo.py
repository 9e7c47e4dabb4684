"""A photo of a drill's edge as it is kept."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from trials.errors import require


@dataclass(frozen=True, slots=True)
class Photo:
    """One photo of the drill of a run, taken after so many holes.

    Args:
        uuid: its key, the same wherever the trial is passed on to.
        trial: name of the trial.
        run: number of the run.
        hole: holes drilled when it was taken.
        sha256: of the picture as it is kept, in hexadecimal.
        width_px, height_px: size of the picture, pixels.
        mm_per_pixel: its scale; None while nobody has given one.
        note: what a person wrote about it.
        who: who added it; empty when not said.
        added_utc: when it was added.
        removed_utc: when it was taken out, to be put back if wished; None while it stands.
    """

    uuid: UUID
    trial: str
    run: int
    hole: int
    sha256: str
    width_px: int
    height_px: int
    mm_per_pixel: float | None = None
    note: str = ""
    who: str = ""
    added_utc: datetime | None = None
    removed_utc: datetime | None = None

    def __post_init__(self) -> None:
        require(self.hole >= 0, "hole number of a photo", self.hole, "0 or more")
        check_scale(self.mm_per_pixel)
        require(len(self.note) <= 2000, "note of a photo", self.note, "at most 2000 characters")
        require(len(self.who) <= 100, "who added a photo", self.who, "at most 100 characters")
        require(len(self.sha256) == 64 and set(self.sha256) <= set("0123456789abcdef"),
                "checksum of a photo", self.sha256, "64 hexadecimal digits")  # fmt: skip


def check_scale(mm_per_pixel: float | None) -> None:
    """Refuse a scale that no photo of a drill has.

    Raises:
        InputError: not between 0.00001 and 10 mm.
    """
    require(
        mm_per_pixel is None or (math.isfinite(mm_per_pixel) and 1e-5 <= mm_per_pixel <= 10),
        "scale of a photo", mm_per_pixel, "0.00001 to 10 mm for a pixel, or none",
        "Draw the line along something whose length is known.",
    )  # fmt: skip


Line = tuple[tuple[float, float], tuple[float, float]]


def scale_of(line: Line, length_mm: float) -> float:
    """Scale of a photo, mm for a pixel, from a line drawn along a known length.

    Args:
        line: its two ends, in pixels of the photo.
        length_mm: the known length, mm.

    Raises:
        InputError: the line is shorter than 10 pixels, or the scale is none of a drill's photo.
    """
    pixels = _pixels(line)
    require(pixels >= 10, "scale line", f"{pixels:.1f} pixels", "at least 10 pixels",
            "Draw it along the longest known length that the picture shows.")  # fmt: skip
    require(length_mm > 0, "length of the scale line", length_mm, "more than 0 mm")
    scale = length_mm / pixels
    check_scale(scale)
    return scale


def length_on(photo: Photo, line: Line) -> float | None:
    """Length of a line drawn on a photo, mm; None while it has no scale."""
    return None if photo.mm_per_pixel is None else _pixels(line) * photo.mm_per_pixel


def _pixels(line: Line) -> float:
    (x_0, y_0), (x_1, y_1) = line
    return math.hypot(x_1 - x_0, y_1 - y_0)

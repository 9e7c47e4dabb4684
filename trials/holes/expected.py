"""What the cutting data say about one hole in time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from trials.errors import InputError, require
from trials.mechanics import hole_time
from trials.model import CuttingData, ExpectedHole, PeckMode

_LONGEST_DELAY_S = 5.0
_CUTTING_FIELDS = ("speed_m_per_min", "feed_mm_per_rev", "peck_mode", "peck_depth_xd")


@dataclass(frozen=True, slots=True)
class ExpectedTimes:
    """Times of one hole: all pecks' cutting time, and each peck's, in s; the pecks' number.

    ``filter_delay_s`` is by how much the drive's filter delays the load.
    """

    cut_s: float
    pecks: int
    peck_s: float
    last_peck_s: float
    peck_mode: PeckMode
    filter_delay_s: float = 0.0


def expected_times(expected: object) -> ExpectedTimes:
    """Times of one hole by `trials.mechanics.hole_time`.

    Args:
        expected: an `ExpectedHole`, or any mapping or object with ``diameter_mm``, ``depth_mm``
            and the cutting data, either beside them or in ``cutting_data``. ``filter_delay_s``
            beside them says by how much the drive's filter delays the load; holes are then given
            as much earlier.

    Raises:
        InputError: a value is missing, or is none that a drill can have.
    """
    cutting = _get(expected, "cutting_data")
    source = expected if cutting is None else cutting
    if isinstance(source, CuttingData):
        data = source
    else:
        values = {name: _get(source, name) for name in _CUTTING_FIELDS}
        for name in ("speed_m_per_min", "feed_mm_per_rev"):
            if values[name] is None:
                raise _missing(name)
        extra = {
            name: _get(source, name) for name in ("breakthrough_feed_factor", "breakthrough_mm")
        }
        data = CuttingData(**{k: v for k, v in (values | extra).items() if v is not None})
    diameter_mm, depth_mm = _get(expected, "diameter_mm"), _get(expected, "depth_mm")
    if diameter_mm is None:
        raise _missing("diameter_mm")
    if depth_mm is None:
        raise _missing("depth_mm")
    hole = ExpectedHole(data, float(diameter_mm), float(depth_mm))
    time = hole_time(
        data, hole.diameter_mm, hole.depth_mm,
        point_angle_deg=float(_get(expected, "point_angle_deg") or hole.point_angle_deg),
        through=bool(_get(expected, "through") or data.breakthrough_mm > 0), clearance_mm=0.0,
    )  # fmt: skip
    pecks = time.peck_cut_s or (time.cut_s,)
    return ExpectedTimes(
        cut_s=time.cut_s, pecks=len(pecks), peck_s=max(pecks), last_peck_s=pecks[-1],
        peck_mode=data.peck_mode, filter_delay_s=_delay(_get(expected, "filter_delay_s")),
    )  # fmt: skip


def _delay(value: Any) -> float:
    delay_s = float(value or 0.0)
    require(0.0 <= delay_s <= _LONGEST_DELAY_S, "delay of the drive's filter", delay_s,
            f"0 to {_LONGEST_DELAY_S:g} s")  # fmt: skip
    return delay_s


def _get(source: object, name: str) -> Any:
    if isinstance(source, Mapping):
        return source.get(name)
    return getattr(source, name, None)


def _missing(name: str) -> InputError:
    return InputError(
        f"expected hole: {name}", got="nothing",
        allowed="speed_m_per_min, feed_mm_per_rev, diameter_mm and depth_mm, with peck_mode and "
        "peck_depth_xd when it is pecked",
        do="Give the missing value, or leave out expected to have the holes found without it.",
    )  # fmt: skip

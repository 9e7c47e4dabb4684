"""Samples on their way in: checked, and kept cheaply when they come one by one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trials.errors import InputError

Floats = NDArray[np.float64]

_FEW = 16
_MOST_KEPT = 4096
_ONE_UNKNOWN = [float("nan")]


@dataclass(frozen=True, slots=True)
class Samples:
    """Samples in order of time; what the machine says beside is None where none is known."""

    time_s: Floats
    load_pct: Floats
    rpm: Floats | None = None
    depth_mm: Floats | None = None
    in_cycle: Floats | None = None

    def __len__(self) -> int:
        return len(self.time_s)

    def part(self, begin: int, end: int) -> Samples:
        return Samples(
            self.time_s[begin:end], self.load_pct[begin:end],
            None if self.rpm is None else self.rpm[begin:end],
            None if self.depth_mm is None else self.depth_mm[begin:end],
            None if self.in_cycle is None else self.in_cycle[begin:end],
        )  # fmt: skip

    @classmethod
    def joined(cls, parts: Sequence[Samples]) -> Samples:
        if not parts:
            return cls(np.empty(0), np.empty(0))
        more: list[Floats | None] = []
        for name in ("rpm", "depth_mm", "in_cycle"):
            known = [getattr(part, name) for part in parts]
            if all(values is None for values in known):
                more.append(None)
                continue
            more.append(np.concatenate([
                np.full(len(part), np.nan) if values is None else values
                for part, values in zip(parts, known, strict=True)
            ]))  # fmt: skip
        return cls(
            np.concatenate([part.time_s for part in parts]),
            np.concatenate([part.load_pct for part in parts]), *more,
        )  # fmt: skip


class Few:
    """Samples that come a few at a time, kept in lists until there are many of them."""

    def __init__(self) -> None:
        self._lists: tuple[list[float], ...] = ([], [], [], [], [])
        self.newest_s = -np.inf

    def take(self, time_s: Any, load_pct: Any, *beside: Any) -> bool:
        """Keep them; False, and nothing is kept, when they are many or not plain rows alike."""
        try:
            number = len(time_s)
            if number > _FEW or len(self._lists[0]) >= _MOST_KEPT:
                return False
            rows = [_plain(values, number) for values in (time_s, load_pct, *beside)]
        except (TypeError, ValueError):
            return False
        if any(len(row) != number for row in rows):
            return False
        for kept, row in zip(self._lists, rows, strict=True):
            kept += row
        if number and rows[0][-1] > self.newest_s:
            self.newest_s = rows[0][-1]
        return True

    def give(self) -> tuple[list[float], ...]:
        """All that was kept; nothing is kept after that."""
        lists, self._lists = self._lists, ([], [], [], [], [])
        self.newest_s = -np.inf
        return lists


def _plain(values: Any, number: int) -> list[float]:
    if values is None:
        return _ONE_UNKNOWN * number
    if isinstance(values, np.ndarray):
        return cast("list[float]", values.tolist())
    return [float(value) for value in values]


def checked(
    time_s: ArrayLike, load_pct: ArrayLike, rpm: ArrayLike | None, depth_mm: ArrayLike | None,
    in_cycle: ArrayLike | None, newest_s: float,
) -> Samples:  # fmt: skip
    """Samples as arrays of their own, finite and in order of time.

    Raises:
        InputError: the shapes differ.
    """
    time = np.array(time_s, dtype=np.float64, ndmin=1)
    load = np.array(load_pct, dtype=np.float64, ndmin=1)
    if time.shape != load.shape or time.ndim != 1:
        raise InputError(
            "samples", got=f"{time.shape} times and {load.shape} loads",
            allowed="as many times as loads, each in one row",
        )  # fmt: skip
    more: list[Floats | None] = []
    for name, values in (("rpm", rpm), ("depth_mm", depth_mm), ("in_cycle", in_cycle)):
        row = None if values is None else np.asarray(values, dtype=np.float64).reshape(-1)
        if row is not None and row.shape != time.shape:
            raise InputError(
                f"samples: {name}", got=f"{row.shape} values and {time.shape} times",
                allowed="as many values as times",
            )  # fmt: skip
        more.append(None if row is None or bool(np.isnan(row).all()) else row.copy())
    samples = Samples(time, load, *more)
    if not np.isfinite(float(time.sum()) + float(load.sum())):
        good = np.isfinite(time) & np.isfinite(load)
        samples = Samples(
            time[good], load[good], *(None if row is None else row[good] for row in more)
        )
        time = samples.time_s
    if len(time) and (time[0] < newest_s or bool((time[1:] < time[:-1]).any())):
        np.maximum(time, newest_s, out=time)
        np.maximum.accumulate(time, out=time)
    return samples

"""Many stretches of one array at once: a call for each stretch would cost more than its numbers."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from trials.holes.samples import Floats

Ints = NDArray[np.int64]
_ALIKE = 1.6  # rows of a block differ in length by no more, so that little of it is filling


def blocks(
    values: Floats, begins: Ints, ends: Ints, fill: float = np.inf
) -> Iterator[tuple[Ints, Floats, Ints]]:
    """``values[begin:end]`` as rows filled up to one length: which ones, the rows, their lengths.

    Rows of about one length come together. The rows are copies; empty stretches are left out.
    """
    length = ends - begins
    order = np.argsort(length, kind="stable")
    order = order[np.searchsorted(length[order], 1) :]
    while len(order):
        most = int(_ALIKE * length[order[0]]) + 16
        number = int(np.searchsorted(length[order], most, side="right"))
        which, order = order[:number], order[number:]
        own = length[which]
        columns = np.arange(int(own[-1]))
        rows = np.take(values, begins[which, None] + columns, mode="clip")
        rows[columns >= own[:, None]] = fill
        yield which, rows, own


def medians(values: Floats, begins: Ints, ends: Ints) -> Floats:
    """Median of each stretch; NaN of an empty one."""
    out = np.full(len(begins), np.nan)
    for which, rows, own in blocks(values, begins, ends):
        rows.sort(axis=1)
        out[which] = middles_of_sorted(rows, np.zeros_like(own), own)
    return out


def middles_of_sorted(rows: Floats, begins: Ints, ends: Ints) -> Floats:
    """Median of columns ``begins`` to ``ends`` of rows that are sorted already."""
    number = np.arange(len(rows))
    below = rows[number, (begins + ends - 1) // 2]
    return np.asarray(0.5 * (below + rows[number, (begins + ends) // 2]))


def reduced(ufunc: np.ufunc, values: Floats, begins: Ints, ends: Ints) -> Floats:
    """``ufunc.reduce`` of each stretch; every one needs a value."""
    if len(begins) == 0:
        return np.empty(0)
    limits = np.stack([begins, ends], axis=1).ravel()
    if limits.max() >= len(values):
        values = np.append(values, values[-1:])  # `reduceat` wants every limit to be a place
    return np.asarray(ufunc.reduceat(values, limits)[::2])

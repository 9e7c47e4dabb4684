"""Found holes against labelled traces of every kind (traces invented, see tests/helpers)."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.helpers import trace_kinds  # noqa: F401 - fills KINDS
from tests.helpers.traces import KINDS, Trace, make
from trials.holes import find_holes


def pairs(trace: Trace, found: pd.DataFrame) -> list[tuple[int, int]]:
    """Labelled and found holes that overlap by half of what they cover together."""
    out = []
    for i, (a, b) in enumerate(zip(trace.holes.start_s, trace.holes.end_s, strict=True)):
        for j, (c, d) in enumerate(zip(found.start_s, found.end_s, strict=True)):
            if min(b, d) - max(a, c) >= 0.5 * (max(b, d) - min(a, c)):
                out.append((i, j))
    return out


@pytest.mark.parametrize("known", [True, False], ids=["cutting data known", "not known"])
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_hole_is_found_and_nothing_else(kind: str, known: bool) -> None:
    trace = make(kind, seed=7)
    found = find_holes(trace.samples, trace.expected if known else None)
    matched = pairs(trace, found)
    assert 2 * len(matched) / (len(found) + len(trace.holes)) >= 0.97
    right = [trace.holes.pecks[i] == found.pecks[j] for i, j in matched]
    assert np.mean(right) >= (0.97 if known else 0.9)
    # The drive's filter comes on top of two samples or 0.1 s; twice that where noise hides edges.
    allowed = max(2 * trace.sample_s, 0.1) + trace.delay_s
    allowed *= 6 if kind.startswith("cut_twice_the_noise") else 1.2
    for side in ("start_s", "end_s"):
        off = [abs(trace.holes[side][i] - found[side][j]) for i, j in matched]
        assert np.quantile(off, 0.95) <= allowed
    idle = found.idle_pct.median()
    peaks = [
        abs(found.peak_pct[j] - trace.holes.peak_pct[i]) / (trace.holes.peak_pct[i] - idle)
        for i, j in matched
        if not trace.holes.broken[i]
    ]
    allowed_peak = 0.3 if kind.startswith("cut_twice") else 0.12 if "percent" in kind else 0.05
    assert np.median(peaks) <= allowed_peak
    broken = [j for i, j in matched if trace.holes.broken[i]]
    assert len(broken) == trace.holes.broken.sum()
    assert ["broken" in flags for flags in found["flags"]] == [
        j in broken for j in range(len(found))
    ]

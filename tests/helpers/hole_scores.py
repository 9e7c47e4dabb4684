"""How well holes were found in a labelled trace, by Holewise or by a peer."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from scipy.signal import find_peaks

from tests.helpers.traces import Trace
from trials.holes import find_holes
from trials.mechanics import hole_time
from trials.model import CuttingData

PEERS = ("threshold", "find_peaks")


@dataclass
class Score:
    """Counts of one trace; `together` adds them up.

    ``edges`` are errors of start and end over what is allowed (two samples or 0.1 s, whichever is
    more, and the filter's delay where there is one): 1 is just allowed. ``peaks`` are errors of
    the peak over the true load above idle.
    """

    labelled: int = 0
    found: int = 0
    matched: int = 0
    pecks_right: int = 0
    edges: list[float] = field(default_factory=list)
    peaks: list[float] = field(default_factory=list)
    broken: int = 0
    broken_right: int = 0
    broken_false: int = 0
    sure: list[tuple[float, bool]] = field(default_factory=list)

    @property
    def f1(self) -> float:
        return 2 * self.matched / max(1, self.labelled + self.found)

    @property
    def pecks(self) -> float:
        return self.pecks_right / max(1, self.matched)

    @property
    def edge_p95(self) -> float:
        return float(np.quantile(self.edges, 0.95)) if self.edges else float("nan")

    @property
    def peak_median(self) -> float:
        return float(np.median(self.peaks)) if self.peaks else float("nan")


def together(scores: list[Score]) -> Score:
    out = Score()
    for each in scores:
        for name in vars(out):
            setattr(out, name, getattr(out, name) + getattr(each, name))
    return out


def pairs(trace: Trace, found: pd.DataFrame) -> list[tuple[int, int]]:
    """Labelled and found holes that overlap by half of what they cover together.

    A hole that the drive's filter delays is compared with its label delayed as much.
    """
    out = []
    c, d = found.start_s.to_numpy() - trace.delay_s, found.end_s.to_numpy() - trace.delay_s
    c0, d0 = found.start_s.to_numpy(), found.end_s.to_numpy()
    for i, (a, b) in enumerate(zip(trace.holes.start_s, trace.holes.end_s, strict=True)):
        for c_, d_ in ((c0, d0), (c, d)):
            share = (np.minimum(b, d_) - np.maximum(a, c_)) / (
                np.maximum(b, d_) - np.minimum(a, c_)
            )
            hit = np.flatnonzero(share >= 0.5)
            if len(hit):
                out.append((i, int(hit[0])))
                break
    return out


def score(trace: Trace, way: str) -> Score:
    """``way``: ``with`` or ``without`` cutting data, or one of `PEERS`."""
    if way in PEERS:
        found = {"threshold": threshold, "find_peaks": peak_finding}[way](trace)
    else:
        found = find_holes(trace.samples, trace.expected if way == "with" else None)
    holes = trace.holes
    matched = pairs(trace, found)
    out = Score(len(holes), len(found), len(matched))
    if way in PEERS:
        return out
    allowed = max(2 * trace.sample_s, 0.1) + trace.delay_s
    for i, j in matched:
        out.pecks_right += int(holes.pecks[i] == found.pecks[j])
        out.edges += [abs(holes[s][i] - found[s][j]) / allowed for s in ("start_s", "end_s")]
        if not holes.broken[i]:
            above = abs(holes.peak_pct[i] - found.idle_pct[j])
            out.peaks.append(abs(found.peak_pct[j] - holes.peak_pct[i]) / max(above, 1e-9))
    says = {j for j in range(len(found)) if "broken" in found["flags"][j]}
    true = {j for i, j in matched if holes.broken[i]}
    out.broken = int(holes.broken.sum())
    out.broken_right, out.broken_false = len(says & true), len(says - true)
    good = {j for i, j in matched if holes.pecks[i] == found.pecks[j]}
    out.sure = [(float(found.confidence[j]), j in good) for j in range(len(found))]
    return out


def threshold(trace: Trace) -> pd.DataFrame:
    """Peer: a fixed threshold half-way between idle and load, told the cutting data.

    Cuts closer than the longest gap between pecks are joined; what is not between half and twice
    the expected time is left out.
    """
    e = trace.expected
    data = CuttingData(
        e["speed_m_per_min"], e["feed_mm_per_rev"], e["peck_mode"], e["peck_depth_xd"]
    )
    time = hole_time(data, e["diameter_mm"], e["depth_mm"], clearance_mm=0.0)
    t, y = trace.samples.time_s.to_numpy(), trace.samples.load_pct.to_numpy()
    low, high = np.quantile(y, [0.1, 0.9])
    edges = np.diff(np.concatenate([[False], y > low + 0.4 * (high - low), [False]]).astype(int))
    a, b = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    gap = 1.5 if e["peck_mode"] == "full_retract" else 0.5
    spans: list[list[float]] = []
    for begin, end in zip(t[a], t[np.maximum(b, a)], strict=True):
        if spans and begin - spans[-1][1] < gap:
            spans[-1][1] = end
        else:
            spans.append([begin, end])
    usual = time.cut_s
    kept = [s for s in spans if 0.5 * usual < s[1] - s[0] < 2.0 * usual + gap * data_pecks(trace)]
    return pd.DataFrame(kept, columns=["start_s", "end_s"])


def data_pecks(trace: Trace) -> int:
    return int(trace.holes.pecks.max()) if len(trace.holes) else 1


def peak_finding(trace: Trace) -> pd.DataFrame:
    """Peer: `scipy.signal.find_peaks` on the smoothed load, width and distance from the data."""
    t, y = trace.samples.time_s.to_numpy(), trace.samples.load_pct.to_numpy()
    usual = float((trace.holes.end_s - trace.holes.start_s).median())
    step = max(trace.sample_s, float(np.median(np.diff(t))) if len(t) > 1 else 1.0)
    width = max(1, round(0.2 * usual / step))
    smooth = pd.Series(y).rolling(width, center=True, min_periods=1).mean().to_numpy()
    low, high = np.quantile(smooth, [0.1, 0.9])
    _, found = find_peaks(
        smooth, prominence=max(0.3 * (high - low), 1e-9), width=max(1.0, 0.3 * usual / step),
        distance=max(1, round(0.6 * usual / step)), rel_height=0.5,
    )  # fmt: skip
    last = len(t) - 1
    places = np.arange(len(t))
    starts = np.interp(np.clip(found["left_ips"], 0, last), places, t)
    ends = np.interp(np.clip(found["right_ips"], 0, last), places, t)
    return pd.DataFrame({"start_s": starts, "end_s": ends})

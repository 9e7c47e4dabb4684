"""What is known of one hole, and what each figure means."""

from __future__ import annotations

from dataclasses import dataclass, fields

FLAG_MEANS: dict[str, str] = {
    "broken": "load shot up and fell to idle before the hole was done, as when a drill breaks",
    "gap": "samples are missing inside the hole; its figures come from what is left",
    "starts in a gap": "samples are missing right before the hole; it may have begun earlier",
    "ends in a gap": "samples are missing right after the hole; it may have ended later",
    "cut off": "the trace begins or ends inside the hole",
    "short": "less cutting time than the other holes or the cutting data say",
    "long": "more cutting time than the other holes or the cutting data say, as two holes in one",
    "pecks differ": "not the number of pecks that the other holes have or the cutting data say",
    "grouping unsure": "where one hole ends and the next begins could be read in another way",
    "inverted": "the load falls below idle when cutting; its sign was turned round",
    "faint": "the cut stands out of the noise by little",
    "spike": "single samples far above the rest were left out of the peak",
}


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole as found in the load trace. Loads are % of the rating, as in the trace.

    Args:
        number: counted from 1 within the recording.
        start_s: first contact: where the load leaves the idle level, s on the trace's clock.
        end_s: end of the last cut of the hole, s on the trace's clock. Both are later by the delay
            of the drive's filter, unless it was stated.
        cut_s: time under cutting load, s: the cuts of all pecks without the retracts between
            them. Dips of a chip break count as cutting time.
        pecks: number of cuts that the hole was made in; 1 without pecking.
        peak_pct: highest load after single samples that stand out are left out: the highest mean
            over as few samples as the noise allows, less what noise adds to it.
        peak_raw_pct: highest single sample.
        mean_pct: mean load while cutting.
        p95_pct: 95th percentile of the load while cutting.
        entry_pct: highest mean over 0.1 s within the first fifth of the cutting time.
        exit_pct: mean load in the last tenth of the cutting time, before it falls.
        area_pct_s: load above idle summed over the time from start to end, % of rating times s;
            in proportion to the work done by the spindle while its speed stays the same.
        rise_pct_per_s: rate at which the load climbs to half its height at the start, % per s.
        idle_pct: load without cutting next to the hole.
        peck_peaks_pct: peak of each peck, in order.
        trend_pct: peak above idle against the median of the ten holes before, % of that median;
            0 for the first three holes.
        confidence: 0 to 1; share of invented holes like this one that were right. Below 0.5 look
            at it.
        flags: see `FLAG_MEANS`.
    """

    number: int
    start_s: float
    end_s: float
    cut_s: float
    pecks: int
    peak_pct: float
    peak_raw_pct: float
    mean_pct: float
    p95_pct: float
    entry_pct: float
    exit_pct: float
    area_pct_s: float
    rise_pct_per_s: float
    idle_pct: float
    peck_peaks_pct: tuple[float, ...]
    trend_pct: float
    confidence: float
    flags: tuple[str, ...] = ()


COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(Hole))

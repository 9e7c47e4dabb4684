"""What a person mends in the holes that were found: merge, split, drop, add.

Edits lie on top of the found holes, which stay as they are. Each edit names the holes that it was
made on by their times, so that it can be laid on the same holes again after a rebuild; where they
are no longer found it is left out, with the reason.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import Any, Literal, get_args

import pandas as pd

from trials.errors import InputError, require
from trials.holes.hole import COLUMNS, FLAG_MEANS, Hole
from trials.holes.middle import middle
from trials.holes.stretch import Samples, measure_stretch, peck_marks

EditKind = Literal["merge", "split", "drop", "add"]
EDIT_KINDS: tuple[EditKind, ...] = get_args(EditKind)
BY_HAND: dict[EditKind, str] = {
    "merge": "merged by hand", "split": "split by hand", "add": "added by hand",
}  # fmt: skip
BY_HAND_MEANS: dict[str, str] = {
    "merged by hand": "a person said that these are one hole",
    "split by hand": "a person said that these are two holes",
    "added by hand": "a person said that there is a hole here",
}
_LOOK_FLAGS = ("broken", "cut off", "grouping unsure", "long", "short", "pecks differ")
_AROUND_S = 3.0
Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class HoleEdit:
    """One edit.

    Args:
        kind: what was done.
        spans: start and end, s, of the holes it acts on; of the new hole for ``add``.
        at_s: where a hole is split.
        made: the holes that it makes, measured when it was made; empty for ``drop``.
    """

    kind: EditKind
    spans: tuple[Span, ...]
    at_s: float | None = None
    made: tuple[Hole, ...] = ()

    def __post_init__(self) -> None:
        require(
            self.kind in EDIT_KINDS, "kind of edit", self.kind, "one of " + ", ".join(EDIT_KINDS)
        )
        least = 2 if self.kind == "merge" else 1
        require(len(self.spans) >= least, f"holes to {self.kind}", len(self.spans),
                f"{least} or more")  # fmt: skip
        require((self.at_s is not None) == (self.kind == "split"), "time of the split", self.at_s,
                "a time for a split, none otherwise")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Edited:
    """Holes with the edits laid on them.

    Args:
        holes: numbered anew from 1.
        edits: the edits as given, with the holes that they make now.
        not_kept: reason for each edit that could not be laid on, by its place in ``edits``.
    """

    holes: tuple[Hole, ...]
    edits: tuple[HoleEdit, ...] = ()
    not_kept: Mapping[int, str] = field(default_factory=dict)


def merge_holes(holes: Sequence[Hole], first: int, last: int) -> HoleEdit:
    """One hole of the neighbours ``first`` to ``last`` (their numbers)."""
    require(first < last, "holes to merge", f"{first} and {last}", "two numbers, the lower first",
            "To merge hole 5 with the next: 5 6")  # fmt: skip
    parts = [_numbered(holes, number) for number in range(first, last + 1)]
    return HoleEdit("merge", tuple((part.start_s, part.end_s) for part in parts))


def split_hole(holes: Sequence[Hole], number: int, at_s: float) -> HoleEdit:
    """Two holes of hole ``number``, parted at ``at_s``."""
    hole = _numbered(holes, number)
    allowed = f"between its start, {hole.start_s:.3f} s, and its end, {hole.end_s:.3f} s"
    require(hole.start_s < at_s < hole.end_s, f"time of the split of hole {number}",
            f"{at_s:g} s", allowed)  # fmt: skip
    return HoleEdit("split", ((hole.start_s, hole.end_s),), at_s)


def drop_hole(holes: Sequence[Hole], number: int) -> HoleEdit:
    """Leave hole ``number`` out: it is none."""
    hole = _numbered(holes, number)
    return HoleEdit("drop", ((hole.start_s, hole.end_s),))


def add_hole(holes: Sequence[Hole], start_s: float, end_s: float) -> HoleEdit:
    """A hole that was missed, from ``start_s`` to ``end_s``."""
    require(start_s < end_s, "end of the hole to add", f"{end_s:g} s",
            f"after its start, {start_s:g} s")  # fmt: skip
    _refuse_overlap(holes, start_s, end_s)
    return HoleEdit("add", ((start_s, end_s),))


def apply_edits(
    found: Sequence[Hole], edits: Sequence[HoleEdit], samples: Samples | None = None
) -> Edited:
    """Lay edits on holes, in their order.

    Args:
        found: the holes as they were found.
        edits: what was done; each on the result of those before.
        samples: gives times and loads of a stretch, to measure what the edits make anew; None
            takes it as it was measured before.

    Holes match when start and end lie within 0.25 s, or a tenth of their length, of what the edit
    was made on.
    """
    holes = list(found)
    done: list[HoleEdit] = []
    not_kept: dict[int, str] = {}
    for place, edit in enumerate(edits):
        try:
            holes, made = _apply(holes, edit, samples)
        except InputError as error:
            not_kept[place] = str(error)
            made = edit.made
        done.append(replace(edit, made=made))
    kept = len(edits) > len(not_kept)
    return Edited(tuple(_renumbered(holes) if kept else found), tuple(done), not_kept)


def look_at(hole: Hole) -> str:
    """Why a person should look at a hole, in words; empty when nothing speaks against it."""
    if any(flag in BY_HAND_MEANS for flag in hole.flags):
        return ""
    reasons = [FLAG_MEANS[flag] for flag in hole.flags if flag in _LOOK_FLAGS]
    if not reasons and hole.confidence < 0.5:
        reasons = ["it is not sure that this is one whole hole"]
    return "; ".join(reasons)


def holes_of(frame: pd.DataFrame) -> list[Hole]:
    """Holes from a frame as `trials.holes.to_frame` makes it."""
    holes = []
    for row in frame.to_dict("records"):
        values: dict[str, Any] = {name: row[name] for name in COLUMNS}
        values["flags"] = tuple(part for part in str(row["flags"]).split("; ") if part)
        values["peck_peaks_pct"] = tuple(float(peak) for peak in row["peck_peaks_pct"])
        holes.append(Hole(**values))
    return holes


def hole_to_plain(hole: Hole) -> dict[str, Any]:
    """A hole as plain values, for the store."""
    plain = asdict(hole)
    return {**plain, "flags": list(hole.flags), "peck_peaks_pct": list(hole.peck_peaks_pct)}


def hole_from_plain(plain: Mapping[str, Any]) -> Hole:
    """The way back from `hole_to_plain`."""
    values = {name: plain[name] for name in COLUMNS}
    values["flags"] = tuple(values["flags"])
    values["peck_peaks_pct"] = tuple(values["peck_peaks_pct"])
    return Hole(**values)


def _apply(
    holes: list[Hole], edit: HoleEdit, samples: Samples | None
) -> tuple[list[Hole], tuple[Hole, ...]]:  # fmt: skip
    if edit.kind == "add":
        ((start_s, end_s),) = edit.spans
        _refuse_overlap(holes, start_s, end_s)
        made = edit.made if samples is None else (_added(holes, start_s, end_s, samples),)
        return sorted([*holes, *made], key=lambda hole: hole.start_s), made
    places = [_matching(holes, span) for span in edit.spans]
    first, last = places[0], places[-1]
    if places != list(range(first, last + 1)):
        raise InputError("holes to merge", got="others between them", allowed="neighbours")
    parts = holes[first : last + 1]
    if edit.kind == "drop":
        made = ()
    elif samples is None:
        made = edit.made
    elif edit.kind == "merge":
        made = (_merged(parts, samples),)
    else:
        assert edit.at_s is not None  # noqa: S101 - HoleEdit holds to it
        made = _split(parts[0], edit.at_s, samples)
    return [*holes[:first], *made, *holes[last + 1 :]], made


def _merged(parts: Sequence[Hole], samples: Samples) -> Hole:
    """Sums and extremes of the parts; only the percentile needs the samples again."""
    first, last = parts[0], parts[-1]
    weight = [max(part.cut_s, 1e-9) for part in parts]

    def mean(name: str) -> float:
        values = [getattr(part, name) for part in parts]
        return float(sum(v * w for v, w in zip(values, weight, strict=True)) / sum(weight))

    time_s, load_pct = samples(first.start_s - _AROUND_S, last.end_s + _AROUND_S)
    whole = measure_stretch(time_s, load_pct, first.start_s, last.end_s, idle_pct=mean("idle_pct"))
    kept = [flag for part in parts for flag in part.flags if flag in ("gap", "spike", "broken")]
    return replace(
        whole,
        cut_s=sum(part.cut_s for part in parts),
        pecks=sum(part.pecks for part in parts),
        peak_pct=max(part.peak_pct for part in parts),
        peak_raw_pct=max(part.peak_raw_pct for part in parts),
        mean_pct=mean("mean_pct"),
        entry_pct=first.entry_pct,
        exit_pct=last.exit_pct,
        rise_pct_per_s=first.rise_pct_per_s,
        area_pct_s=sum(part.area_pct_s for part in parts),
        peck_peaks_pct=tuple(peak for part in parts for peak in part.peck_peaks_pct),
        flags=(BY_HAND["merge"], *dict.fromkeys(kept)),
    )


def _split(hole: Hole, at_s: float, samples: Samples) -> tuple[Hole, Hole]:
    """Each part begins and ends under load: the idle around the place of the split is in none."""
    time_s, load_pct = samples(hole.start_s - _AROUND_S, hole.end_s + _AROUND_S)
    marks = peck_marks(time_s, load_pct, hole.start_s, hole.end_s, hole.pecks)
    apart_s = 0.4 * (hole.end_s - hole.start_s) / max(2, hole.pecks)
    before = [mark for mark in marks if mark < at_s and at_s - mark > 0.5 * apart_s]
    after = [mark for mark in marks if mark > at_s and mark - at_s > 0.5 * apart_s]
    above = hole.idle_pct + 0.2 * (hole.peak_pct - hole.idle_pct)
    loaded = time_s[load_pct > above]
    left, right = loaded[(loaded < at_s)], loaded[loaded > at_s]
    end_s = float(left[-1]) if len(left) and left[-1] > hole.start_s else at_s
    start_s = float(right[0]) if len(right) and right[0] < hole.end_s else at_s
    return (
        measure_stretch(time_s, load_pct, hole.start_s, end_s, idle_pct=hole.idle_pct,
                        pecks=len(before) + 1, flag=BY_HAND["split"]),
        measure_stretch(time_s, load_pct, start_s, hole.end_s, idle_pct=hole.idle_pct,
                        pecks=len(after) + 1, flag=BY_HAND["split"]),
    )  # fmt: skip


def _added(holes: Sequence[Hole], start_s: float, end_s: float, samples: Samples) -> Hole:
    time_s, load_pct = samples(start_s - _AROUND_S, end_s + _AROUND_S)
    near = min(holes, key=lambda hole: abs(hole.start_s - start_s), default=None)
    return measure_stretch(
        time_s, load_pct, start_s, end_s, idle_pct=None if near is None else near.idle_pct,
        flag=BY_HAND["add"],
    )  # fmt: skip


def _matching(holes: Sequence[Hole], span: Span) -> int:
    """Place of the hole that an edit was made on."""
    start_s, end_s = span
    near_s = max(0.25, 0.1 * (end_s - start_s))
    for place, hole in enumerate(holes):
        if abs(hole.start_s - start_s) <= near_s and abs(hole.end_s - end_s) <= near_s:
            return place
    raise InputError(
        f"hole from {start_s:.1f} to {end_s:.1f} s", got="no hole found there any more",
        allowed="the hole that the edit was made on",
        do="Look at this stretch again and mend it anew if it needs it.",
    )  # fmt: skip


def _refuse_overlap(holes: Sequence[Hole], start_s: float, end_s: float) -> None:
    for hole in holes:
        if hole.start_s < end_s and hole.end_s > start_s:
            raise InputError(
                f"hole to add from {start_s:g} to {end_s:g} s",
                got=f"hole {hole.number} there already, {hole.start_s:.3f} to {hole.end_s:.3f} s",
                allowed="a stretch without holes",
            )  # fmt: skip


def _numbered(holes: Sequence[Hole], number: int) -> Hole:
    if not 1 <= number <= len(holes):
        raise InputError(
            "hole",
            got=number,
            allowed=f"1 to {len(holes)}" if holes else "none: there are no holes",
        )
    return holes[number - 1]


def _renumbered(holes: Sequence[Hole]) -> list[Hole]:
    """Numbers from 1, and each hole's place in the running trend, as the finder defines both."""
    out: list[Hole] = []
    heights: deque[float] = deque(maxlen=10)
    for number, hole in enumerate(holes, 1):
        height = hole.peak_pct - hole.idle_pct
        usual = middle(list(heights)) if len(heights) >= 3 else 0.0
        trend = 100.0 * (height / usual - 1.0) if usual > 0 else 0.0
        out.append(replace(hole, number=number, trend_pct=trend))
        heights.append(height)
    return out

"""Mending the holes of a run: edits on top of what was found, and what the run then shows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
import pandas as pd

from trials.errors import ConflictError, InputError
from trials.holes import (
    Edited,
    Hole,
    HoleEdit,
    apply_edits,
    hole_from_plain,
    hole_to_plain,
    holes_of,
    to_frame,
)
from trials.model import Run, Trial
from trials.store import Recording, StoredEdit, now_utc, read_window
from trials.workbench._alone import recording_alone
from trials.workbench._derive import with_figures
from trials.workbench._kept import kept
from trials.workbench._shop import Shop

WEAR_STAYS = (
    "An edit numbers the holes after it anew. Wear readings stay at the hole number that was typed."
)
Make = Callable[[Sequence[Hole]], HoleEdit]


@dataclass(frozen=True, slots=True)
class Mended:
    """What an edit, or taking one back, has done.

    Args:
        run: the run with its figures as they are now.
        said: one sentence: what was done.
        holes_before, holes: how many holes the run had and has.
        note: what it means for hole numbers and wear readings.
    """

    run: Run
    said: str
    holes_before: int
    holes: int
    note: str


@dataclass(frozen=True, slots=True)
class EditShown:
    """One edit in the list.

    Args:
        number: counted from 1 in the order in which they were made.
        text: what was done, with the numbers that the holes had then.
        made_utc, made_by: when and by whom; undone_utc, undone_by: if it was taken back.
        not_kept: why it could not be laid on the holes as they are found now; empty when it was.
        next_undo, next_redo: whether it is the one that undo, or redo, would act on.
    """

    number: int
    text: str
    made_utc: datetime
    made_by: str
    undone_utc: datetime | None
    undone_by: str
    not_kept: str
    next_undo: bool
    next_redo: bool


def mended_holes(shop: Shop, trial: str, number: int) -> pd.DataFrame:
    """The holes of a run as they stand: found, then edited.

    Kept for a finished recording, because a viewer asks again with each step: a change of run,
    recording or edits asks anew. The frame is the caller's own.
    """
    edits = [edit for edit in shop.store.edits(trial, number) if edit.stands]

    def make() -> pd.DataFrame:
        found = shop.store.holes(trial, number)
        return to_frame(_laid_on(holes_of(found), edits, None).holes) if edits else found

    recording = shop.recording(trial, number)
    if recording is None or recording.finished_utc is None:
        return make()
    stored = shop.store.run(trial, number)
    rests_on = (str(shop.folder.path), recording.uuid, recording.trace_sha256, recording.samples,
                recording.finished_utc, stored.version, repr(edits))  # fmt: skip
    return kept("holes as they stand", rests_on, make).copy()


def edits_shown(shop: Shop, trial: str, number: int) -> list[EditShown]:
    """Every edit of a run, in order, with whether it holds."""
    edits = shop.store.edits(trial, number)
    if not edits:
        return []
    standing = [place for place, edit in enumerate(edits) if edit.stands]
    laid = _laid_on(holes_of(shop.store.holes(trial, number)), [edits[i] for i in standing], None)
    reasons = {standing[place]: reason for place, reason in laid.not_kept.items()}
    undo, redo = _next_undo(edits), _next_redo(edits)
    return [
        EditShown(
            place + 1, edit.text, edit.made_utc, edit.made_by, edit.undone_utc, edit.undone_by,
            reasons.get(place, ""), place == undo, place == redo,
        )
        for place, edit in enumerate(edits)
    ]  # fmt: skip


def mend(
    shop: Shop, trial_name: str, number: int | None, make: Make, who: str, version: int | None
) -> Mended:
    """Add an edit to those of a run; see `trials.workbench.Workbench.merge_holes`."""

    def add(holes: Sequence[Hole], edits: list[StoredEdit]) -> tuple[list[StoredEdit], str]:
        edit = make(holes)
        said = _said(edit, holes)
        stored = StoredEdit(edit.kind, said, edit.spans, edit.at_s, made_by=who)
        return [*edits, stored], said

    return _change(shop, trial_name, number, add, version)


def undo(
    shop: Shop, trial_name: str, number: int | None, who: str, version: int | None
) -> Mended:  # fmt: skip
    """Take the newest edit that stands back."""

    def take_back(holes: Sequence[Hole], edits: list[StoredEdit]) -> tuple[list[StoredEdit], str]:  # noqa: ARG001 - as _change calls it
        place = _next_undo(edits)
        if place is None:
            raise ConflictError("nothing to undo", do="No edit of these holes stands.")
        edits[place] = replace(edits[place], undone_utc=now_utc(), undone_by=who)
        return edits, f"Taken back: {edits[place].text}"

    return _change(shop, trial_name, number, take_back, version)


def redo(
    shop: Shop, trial_name: str, number: int | None, who: str, version: int | None
) -> Mended:  # fmt: skip
    """Do again what was taken back last, if nothing else was mended since."""

    def again(holes: Sequence[Hole], edits: list[StoredEdit]) -> tuple[list[StoredEdit], str]:  # noqa: ARG001 - as _change calls it
        place = _next_redo(edits)
        if place is None:
            raise ConflictError(
                "nothing to redo", do="No edit was taken back since the last one was made."
            )
        edits[place] = replace(
            edits[place], undone_utc=None, undone_by="", made_by=who or edits[place].made_by
        )
        return edits, f"Done again: {edits[place].text}"

    return _change(shop, trial_name, number, again, version)


def lay_on_again(
    shop: Shop, edits: list[StoredEdit], recording: Recording, found: pd.DataFrame
) -> tuple[pd.DataFrame, list[StoredEdit], str]:
    """Edits on holes that were found anew: holes, edits measured anew, and what to say of it."""
    standing = [place for place, edit in enumerate(edits) if edit.stands]
    if not standing:
        return found, edits, ""
    laid = _laid_on(holes_of(found), [edits[i] for i in standing], samples_of(shop, recording))
    kept = len(standing) - len(laid.not_kept)
    said = f"{kept} of {len(standing)} edits of its holes hold"
    for place, reason in laid.not_kept.items():
        said += f"; not kept: {edits[standing[place]].text} ({reason})"
    return to_frame(laid.holes), _with_made(edits, standing, laid), said


def samples_of(
    shop: Shop, recording: Recording
) -> Callable[[float, float], tuple[np.ndarray, np.ndarray]]:
    """Gives times and loads of any stretch of a finished recording."""

    def samples(start_s: float, end_s: float) -> tuple[np.ndarray, np.ndarray]:
        path = shop.trace_file(recording)
        parts = list(read_window(path, recording.trace_sha256, start_s, end_s))
        if not parts:
            return np.empty(0), np.empty(0)
        return np.concatenate([t for t, _ in parts]), np.concatenate([v for _, v in parts])

    return samples


def finished_recording(shop: Shop, trial: str, run: Run) -> Recording:
    """The recording of a run whose holes can be looked at and mended.

    Raises:
        ConflictError: nothing was recorded, or it is still being recorded.
    """
    recording = shop.recording(trial, run.number)
    if recording is None or recording.trace is None or run.state not in ("drilled", "ended"):
        raise ConflictError(
            f"run {run.number} of {trial} is {run.state}",
            allowed="a run whose recording is finished",
            do="Its holes can be looked at and mended once the recording has ended.",
        )
    return recording


def _change(
    shop: Shop,
    trial_name: str,
    number: int | None,
    change: Callable[[Sequence[Hole], list[StoredEdit]], tuple[list[StoredEdit], str]],
    version: int | None,
) -> Mended:
    trial = shop.store.trial(trial_name).trial
    with recording_alone(shop, trial_name, number) as run:
        stored = shop.store.run(trial_name, run.number)
        recording = finished_recording(shop, trial_name, stored.run)
        found = holes_of(shop.store.holes(trial_name, run.number))
        edits = shop.store.edits(trial_name, run.number)
        before = _laid_on(found, [edit for edit in edits if edit.stands], None)
        changed, said = change(before.holes, list(edits))
        standing = [place for place, edit in enumerate(changed) if edit.stands]
        laid = _laid_on(found, [changed[i] for i in standing], samples_of(shop, recording))
        touched = [i for i in standing if i >= len(edits) or changed[i] != edits[i]]
        for place, reason in laid.not_kept.items():
            if standing[place] in touched:
                raise InputError(f"this cannot be done: {reason}")
        after = to_frame(laid.holes)

        def with_new_figures(now: Run) -> Run:
            return _figures(trial, now, len(before.holes), after)

        kept = shop.store.keep_edits(
            trial_name, run.number, recording.uuid, _with_made(changed, standing, laid),
            with_new_figures, version=stored.version if version is None else version,
        )  # fmt: skip
    return Mended(
        kept.run, said, len(before.holes), len(after), _note(kept.run, before.holes, laid.holes)
    )


def _figures(trial: Trial, run: Run, holes_before: int, holes: pd.DataFrame) -> Run:
    """Figures of the run by its holes now; a number of holes that a person typed stays."""
    changed = with_figures(trial, run, holes)
    if run.state == "ended" and run.holes == holes_before:
        return replace(changed, holes=len(holes))
    return changed


def _laid_on(
    found: Sequence[Hole], edits: Sequence[StoredEdit],
    samples: Callable[[float, float], tuple[np.ndarray, np.ndarray]] | None,
) -> Edited:  # fmt: skip
    plain = [
        HoleEdit(
            edit.kind,  # type: ignore[arg-type]  # the table holds no other kinds
            edit.spans, edit.at_s, tuple(hole_from_plain(hole) for hole in edit.made),
        )
        for edit in edits
    ]  # fmt: skip
    return apply_edits(found, plain, samples)


def _with_made(
    edits: Sequence[StoredEdit], standing: Sequence[int], laid: Edited
) -> list[StoredEdit]:  # fmt: skip
    out = list(edits)
    for place, edit in zip(standing, laid.edits, strict=True):
        out[place] = replace(out[place], made=tuple(hole_to_plain(hole) for hole in edit.made))
    return out


def _next_undo(edits: Sequence[StoredEdit]) -> int | None:
    return max((place for place, edit in enumerate(edits) if edit.stands), default=None)


def _next_redo(edits: Sequence[StoredEdit]) -> int | None:
    """The first one taken back after the newest that stands: a new edit ends what could be done."""
    newest = _next_undo(edits)
    after = 0 if newest is None else newest + 1
    return after if after < len(edits) else None


def _said(edit: HoleEdit, holes: Sequence[Hole]) -> str:
    start_s, end_s = edit.spans[0][0], edit.spans[-1][1]
    numbers = [hole.number for hole in holes if hole.start_s >= start_s and hole.end_s <= end_s]
    where = f"{start_s:.1f} to {end_s:.1f} s"
    if edit.kind == "merge":
        return f"Holes {numbers[0]} to {numbers[-1]} made one, {where}."
    if edit.kind == "split":
        return f"Hole {numbers[0]} split in two at {edit.at_s:.1f} s."
    if edit.kind == "drop":
        return f"Hole {numbers[0]} dropped, {where}."
    return f"Hole added, {where}."


def _note(run: Run, before: Sequence[Hole], after: Sequence[Hole]) -> str:
    if len(before) == len(after):
        return ""
    same = sum(
        a.start_s == b.start_s and a.end_s == b.end_s for a, b in zip(before, after, strict=False)
    )
    later = [reading.hole for reading in run.wear if reading.hole > same]
    if not later:
        return WEAR_STAYS
    listed = ", ".join(map(str, later))
    return f"{WEAR_STAYS} Readings after this place: at hole {listed}."

"""Derive a recorded run from its journal, and store what a recording gave."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Iterator, Sequence
from collections.abc import Mapping as AnyMapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pandas as pd

from trials.errors import ConflictError, StoreError
from trials.logger import (
    Decoder,
    JournalReader,
    LineFormat,
    Mapping,
    decoder_from,
    replay,
)
from trials.model import Run, Trial
from trials.store import Recording, TraceWriter, disk_error, now_utc
from trials.workbench._alone import recording_alone
from trials.workbench._derive import Derivation, Derived, rejected, with_figures
from trials.workbench._edits import lay_on_again
from trials.workbench._shop import Shop
from trials.workbench._values import RebuildCheck, RecordingSummary

Counts = AnyMapping[str, Any]


def derive_again(
    shop: Shop, trial: Trial, run: Run, recording: Recording, ended: str = "rebuilt"
) -> RecordingSummary:
    """Derive a run from its journal, by the settings of its recording, and store what it gives."""
    folder = shop.journal(recording)
    decoder = decoder_from(
        JournalReader(folder, strict=False).settings(),
        line_format=LineFormat.from_dict(recording.line_format),
        mapping=Mapping.from_dict(recording.mapping),
    )
    with TraceWriter(trace_path(shop, recording)) as writer:
        derived = derive(trial, run, JournalReader(folder, strict=False), decoder, writer)
    counters = decoder.counters.to_dict()
    return store_derived(shop, trial, run, recording, derived, counters, ended)


def derive(
    trial: Trial, run: Run, reader: JournalReader, decoder: Decoder, writer: TraceWriter
) -> Derived:
    """Samples, holes and gaps of everything that a journal holds."""
    derivation = Derivation(trial, run, writer)
    for batch in replay(reader, decoder):
        derivation.take(batch)
    derivation.take(decoder.finish(last_line_whole=False))
    return derivation.finish()


@dataclass(frozen=True, slots=True)
class _Again:
    """A run derived again beside what is stored of it; its trace has a name of its own."""

    recording: Recording
    derived: Derived
    counters: Counts


@contextmanager
def _derived_again(
    shop: Shop,
    trial: Trial,
    run: Run,
    line_format: LineFormat | None,
    mapping: Mapping | None,
) -> Iterator[_Again]:
    """Derive a recorded run from its journal; the trace is gone afterwards unless it was moved."""
    recording = shop.recording(trial.name, run.number)
    if recording is None:
        raise ConflictError(
            f"run {run.number} of {trial.name} is {run.state}", allowed="a recorded run"
        )
    folder = shop.journal(recording)
    line_format = line_format or LineFormat.from_dict(recording.line_format)
    mapping = mapping or Mapping.from_dict(recording.mapping)
    recording = replace(recording, line_format=line_format.to_dict(), mapping=mapping.to_dict())
    settings = JournalReader(folder, strict=False).settings()
    decoder = decoder_from(settings, line_format=line_format, mapping=mapping)
    beside = shop.folder.traces / f"{recording.uuid}.again-{os.getpid()}"
    try:
        with TraceWriter(beside) as writer:
            derived = derive(trial, run, JournalReader(folder, strict=False), decoder, writer)
        yield _Again(recording, derived, decoder.counters.to_dict())
    finally:
        beside.unlink(missing_ok=True)


def check_rebuild(
    shop: Shop,
    trial_name: str,
    number: int | None,
    line_format: LineFormat | None,
    mapping: Mapping | None,
) -> RebuildCheck:
    """See `trials.workbench.Workbench.check_rebuild`."""
    trial = shop.store.trial(trial_name).trial
    with (
        recording_alone(shop, trial_name, number) as run,
        _derived_again(shop, trial, run, line_format, mapping) as again,
    ):
        stored = shop.recording(trial_name, run.number)
        assert stored is not None  # noqa: S101 - derived from it
        same_bytes = _file_holds(shop, stored, again.derived.trace.sha256)
        changes = tuple(_changes(shop, trial, run, stored, again))
        return RebuildCheck(
            trial_name, run.number, same_bytes and not changes, same_bytes, changes,
            again.derived.trace.samples, len(again.derived.holes),
        )  # fmt: skip


def rebuild(
    shop: Shop,
    trial_name: str,
    number: int | None,
    line_format: LineFormat | None = None,
    mapping: Mapping | None = None,
) -> RecordingSummary:
    """See `trials.workbench.Workbench.rebuild`."""
    trial = shop.store.trial(trial_name).trial
    with (
        recording_alone(shop, trial_name, number) as run,
        _derived_again(shop, trial, run, line_format, mapping) as again,
    ):
        before = shop.recording(trial_name, run.number)
        assert before is not None  # noqa: S101 - derived from it
        new = again.derived.trace
        name = trace_path(shop, again.recording)
        replaced = before.trace is not None and before.trace_sha256 != new.sha256
        if replaced:
            # Under a name of its own until the store knows it: a kill in between harms nothing.
            name = name.with_name(f"{again.recording.uuid}-{new.sha256[:12]}.parquet")
            keep_former(
                shop, trial_name, run.number, before,
                shop.store.holes(trial_name, run.number), shop.store.gaps(trial_name, run.number),
            )  # fmt: skip
        new.path.replace(name)
        derived = replace(again.derived, trace=replace(new, path=name))
        summary = store_derived(
            shop, trial, run, again.recording, derived, again.counters, "rebuilt"
        )
        if replaced and before.trace is not None:
            shop.folder.inside(before.trace).unlink(missing_ok=True)
        return summary


def _file_holds(shop: Shop, recording: Recording, sha256: str) -> bool:
    """Whether the trace on the disk is that one, byte for byte."""
    if recording.trace is None:
        return False
    try:
        with shop.trace_file(recording).open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest() == sha256
    except (OSError, StoreError):
        return False


def keep_former(
    shop: Shop, trial: str, number: int, recording: Recording, holes: pd.DataFrame,
    gaps: Sequence[tuple[float, float, str]], *, with_trace: bool = True,
) -> Path:  # fmt: skip
    """Copy what is replaced: holes, gaps, settings, and the trace unless that stays."""
    stamp = now_utc().strftime("%Y%m%dT%H%M%S%fZ")
    folder = shop.folder.former / f"{recording.uuid}-{stamp}"
    partial = folder.with_name(f"{folder.name}.partial")
    try:
        partial.mkdir(parents=True)
        trace = None if recording.trace is None else shop.folder.inside(recording.trace)
        if with_trace and trace is not None and trace.exists():
            shutil.copy2(trace, partial / "trace.parquet")
        holes.to_csv(partial / "holes.csv", index=False)
        plain = {
            "trial": trial, "run": number, "recording": str(recording.uuid),
            "source": recording.source, "line_format": dict(recording.line_format),
            "mapping": dict(recording.mapping), "trace_sha256": recording.trace_sha256,
            "samples": recording.samples, "counters": dict(recording.counters),
            "gaps": list(gaps),
        }  # fmt: skip
        (partial / "recording.json").write_text(json.dumps(plain, indent=2), encoding="utf-8")
        partial.replace(folder)
    except OSError as error:
        shutil.rmtree(partial, ignore_errors=True)
        raise disk_error("copy of the former trace", folder, error) from error
    return folder


def _changes(shop: Shop, trial: Trial, run: Run, stored: Recording, again: _Again) -> Iterator[str]:
    """What would be otherwise than it is stored, one sentence each."""
    for what, old, new in (
        ("lines", dict(stored.line_format), dict(again.recording.line_format)),
        ("mapping", dict(stored.mapping), dict(again.recording.mapping)),
    ):
        for key in sorted(old.keys() | new.keys()):
            if old.get(key) != new.get(key):
                yield f"{what}, {key}: {_said(old.get(key))} becomes {_said(new.get(key))}"
    if stored.trace is None:
        yield "the recording was not finished; this finishes it"
        return
    derived = again.derived
    was_holes, was_gaps = shop.store.holes(trial.name, run.number), shop.store.gaps(
        trial.name, run.number
    )  # fmt: skip
    found = with_figures(trial, run, derived.holes)
    for what, was, now in (
        ("samples", stored.samples, derived.trace.samples),
        ("holes", len(was_holes), len(derived.holes)),
        ("gaps", len(was_gaps), len(derived.gaps)),
        ("rejected lines", rejected(stored.counters), rejected(again.counters)),
        ("fresh load, %", _rounded(run.load_fresh_pct), _rounded(found.load_fresh_pct)),
        ("worn load, %", _rounded(run.load_worn_pct), _rounded(found.load_worn_pct)),
    ):
        if was != now:
            yield f"{what}: {_said(was)} becomes {_said(now)}"
    if not same_holes(was_holes, derived.holes):
        yield "holes: some of their figures become others"
    if not _file_holds(shop, stored, derived.trace.sha256):
        there = _file_holds(shop, stored, stored.trace_sha256 or "")
        yield (
            "trace: other bytes" if there else "trace: the file is absent or damaged; this mends it"
        )


def same_holes(one: pd.DataFrame, other: pd.DataFrame) -> bool:
    """Whether the figures of all holes are the same; numbers of holes are told apart elsewhere."""
    if len(one) != len(other):
        return True  # told as a number of holes
    try:
        pd.testing.assert_frame_equal(one, other, check_dtype=False, rtol=1e-12, atol=1e-12)
    except AssertionError:
        return False
    return True


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def _said(value: object) -> str:
    if value is None:
        return "none"
    if isinstance(value, dict):
        return " ".join(str(part) for part in value.values())
    return str(value)


def store_derived(
    shop: Shop,
    trial: Trial,
    run: Run,
    recording: Recording,
    derived: Derived,
    counters: Counts,
    ended: str,
) -> RecordingSummary:
    """One transaction for all that a recording gave; the trace is on disk before it."""
    recording = replace(
        recording,
        trace=derived.trace.path.relative_to(shop.folder.path).as_posix(),
        trace_sha256=derived.trace.sha256,
        samples=derived.trace.samples,
        counters=counters,
    )
    gaps = [(gap.start_s, gap.end_s, gap.reason) for gap in derived.gaps]

    # Edits are laid on what was found now; the found holes are stored as they were found.
    holes, edits, said = lay_on_again(
        shop, shop.store.edits(trial.name, run.number), recording, derived.holes
    )

    nothing_heard = recording.kind == "live" and not counters.get("bytes")
    if nothing_heard:
        ended = f"{ended}; nothing came in, so the run is still a planned one"

    def with_its_figures(found: Run) -> Run:
        if nothing_heard and found.state == "recording":
            return replace(found, state="planned")
        return with_figures(trial, found, holes)

    try:
        keep = (
            shop.store.finish_recording if recording.kind == "live" else shop.store.import_recording
        )
        stored = keep(trial.name, run.number, recording, derived.holes, gaps, with_its_figures)
    except StoreError as error:
        if recording.kind == "import":
            raise
        raise StoreError(
            error.what, got=error.got, allowed=error.allowed,
            do=f"{error.do or ''} The journal holds the whole recording: when the store can be "
            "written again, end the run or rebuild it.".strip(),
        ) from error  # fmt: skip
    if said:
        stored = shop.store.keep_edits(
            trial.name, run.number, recording.uuid, edits, lambda now: now
        )
        ended = f"{ended}; {said}"
    return RecordingSummary(
        trial.name, stored.run, recording.source, derived.trace.samples,
        rejected(counters), len(holes), len(gaps), derived.duration_s, counters, ended,
    )  # fmt: skip


def trace_path(shop: Shop, recording: Recording) -> Path:
    """Where the trace of a recording lies once it is finished."""
    return shop.folder.traces / f"{recording.uuid}.parquet"

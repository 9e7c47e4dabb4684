"""Derive a recorded run from its journal, and store what a recording gave."""

from __future__ import annotations

from collections.abc import Mapping as AnyMapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from trials.errors import ConflictError, StoreError
from trials.logger import (
    JournalReader,
    LineFormat,
    Mapping,
    decoder_from,
    replay,
)
from trials.model import Run, Trial
from trials.store import Recording, TraceWriter
from trials.workbench._alone import recording_alone
from trials.workbench._derive import Derivation, Derived, rejected, with_figures
from trials.workbench._edits import lay_on_again
from trials.workbench._shop import Shop
from trials.workbench._values import RecordingSummary

Counts = AnyMapping[str, Any]


def derive_again(
    shop: Shop, trial: Trial, run: Run, recording: Recording, ended: str = "rebuilt"
) -> RecordingSummary:
    """Derive a run from its journal, by the settings of its recording, and store what it gives."""
    reader = JournalReader(shop.journal(recording), strict=False)
    settings = JournalReader(reader.folder, strict=False).settings()
    decoder = decoder_from(
        settings,
        line_format=LineFormat.from_dict(recording.line_format),
        mapping=Mapping.from_dict(recording.mapping),
    )
    with TraceWriter(trace_path(shop, recording)) as writer:
        derivation = Derivation(trial, run, writer)
        for batch in replay(reader, decoder):
            derivation.take(batch)
        derivation.take(decoder.finish(last_line_whole=False))
        derived = derivation.finish()
    counters = decoder.counters.to_dict()
    return store_derived(shop, trial, run, recording, derived, counters, ended)


def rebuild(shop: Shop, trial_name: str, number: int | None) -> RecordingSummary:
    """See `trials.workbench.Workbench.rebuild`."""
    trial = shop.store.trial(trial_name).trial
    with recording_alone(shop, trial_name, number) as run:
        recording = shop.recording(trial_name, run.number)
        if recording is None:
            raise ConflictError(
                f"run {run.number} of {trial_name} is {run.state}", allowed="a recorded run"
            )
        return derive_again(shop, trial, run, recording)


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
    holes, edits, said = lay_on_again(shop, trial.name, run.number, recording, derived.holes)

    def with_its_figures(found: Run) -> Run:
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

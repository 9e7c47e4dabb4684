"""Read a recorded file as the recording of a run: all of it or nothing."""

from __future__ import annotations

import uuid
from pathlib import Path

from trials.logger import FileImport, LineFormat, Mapping, import_file
from trials.store import Recording, TraceWriter
from trials.workbench._alone import recording_alone
from trials.workbench._derive import Derivation
from trials.workbench._rebuild import store_derived, trace_path
from trials.workbench._recording import require_planned
from trials.workbench._shop import Shop
from trials.workbench._values import OnProgress, Progress, RecordingSummary


def import_trace(
    shop: Shop,
    trial_name: str,
    number: int | None,
    path: Path,
    *,
    line_format: LineFormat | None,
    mapping: Mapping | None,
    skip_bad_lines: bool,
    on_progress: OnProgress | None,
) -> RecordingSummary:
    """See `trials.workbench.Workbench.import_trace`."""
    trial = shop.store.trial(trial_name).trial
    with recording_alone(shop, trial_name, number) as run:
        require_planned(run, trial_name)
        file = import_file(path, line_format, mapping, skip_bad_lines=skip_bad_lines)
        recording = Recording(
            uuid.uuid4(), "import", f"csv:{Path(path).name}", file.line_format.to_dict(),
            file.mapping.to_dict(),
        )  # fmt: skip
        target = trace_path(shop, recording)
        with TraceWriter(target) as writer:
            derivation = Derivation(trial, run, writer)
            for batch in file:
                derivation.take(batch)
                if on_progress is not None:
                    on_progress(_progress(file, derivation))
            derived = derivation.finish()
        try:
            summary = store_derived(
                shop, trial, run, recording, derived, file.counters.to_dict(), "the file ended"
            )
        except BaseException:
            target.unlink(missing_ok=True)
            raise
    if on_progress is not None:
        on_progress(Progress(summary.samples, summary.rejected, summary.holes, share=1.0))
    return summary


def _progress(file: FileImport, derivation: Derivation) -> Progress:
    return Progress(
        file.counters.samples, file.counters.rejected, len(derivation.settled),
        share=min(1.0, file.done_bytes / file.size_bytes),
        newest_load_pct=derivation.newest_load_pct,
    )  # fmt: skip

"""Record a run, or go on with a recording that was interrupted."""

from __future__ import annotations

import shutil
import sys
import threading
import uuid
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from pathlib import Path

from trials.errors import ConflictError, InputError
from trials.logger import (
    AlarmCommand,
    AlarmFile,
    Decoder,
    Journal,
    JournalReader,
    LineFormat,
    Mapping,
    Outlet,
    Recorder,
    Source,
    decoder_from,
    open_source,
    recording_settings,
    replay,
)
from trials.model import Run, Trial
from trials.store import FileLock, Recording, TraceWriter, holder_of
from trials.workbench._alarm_board import AlarmBoard
from trials.workbench._alone import recording_alone
from trials.workbench._derive import Derivation
from trials.workbench._rebuild import trace_path
from trials.workbench._session import Opened, Session
from trials.workbench._shop import Shop
from trials.workbench._values import OnProgress, RecordingSummary


def record(
    shop: Shop,
    trial_name: str,
    number: int | None,
    source_url: str | None,
    *,
    line_format: LineFormat | None,
    mapping: Mapping | None,
    resume: bool,
    reconnect: bool,
    stop: threading.Event | None,
    on_progress: OnProgress | None,
    max_holes: int | None,
    alarm_file: Path | None,
    alarm_command: str | None,
) -> RecordingSummary:
    """See `trials.workbench.Workbench.record`."""
    trial = shop.store.trial(trial_name).trial
    url = source_url or _same_source(shop, trial_name, number, resume)
    source = open_source(url, line_format=line_format, mapping=mapping)
    with recording_alone(shop, trial_name, number) as run, ExitStack() as stack:
        stack.enter_context(source_alone(shop, source, f"run {run.number} of {trial_name}"))
        if resume:
            recording, journal, decoder, missed = _go_on(
                shop, trial, run, source, line_format, mapping
            )
        else:
            missed = False
            recording, journal, decoder = _begin(
                shop, trial, run, url, source, line_format, mapping
            )
        stack.callback(source.close)
        stack.enter_context(journal)
        writer = stack.enter_context(TraceWriter(trace_path(shop, recording)))
        stack.enter_context(_quick_turns())
        outlets = _outlets(alarm_file, alarm_command)
        board = stack.enter_context(_board(shop, trial, run, recording, outlets))
        session = Session(
            shop, trial, run, recording, Derivation(trial, run, writer), decoder, journal, board,
            on_progress, max_holes, stop, source_waits=source.is_file,
        )  # fmt: skip
        stack.callback(session.give_up)
        if resume:
            for batch in replay(JournalReader(journal.folder, strict=False), decoder):
                session.catch_up(batch)
            session.caught_up()
        recorder = Recorder(
            Opened(source), journal, decoder, [session.hear, lambda _batch: session.tell()],
            alarm=session.alarm, alarm_listeners=[board.tell],
            trouble_listeners=[session.hear_trouble], reconnect=reconnect, resumed=missed,
        )  # fmt: skip
        session.joins(recorder)
        result = recorder.run(session.stop)
        journal.sync()
        return session.finish(result, writer)


@contextmanager
def _quick_turns() -> Iterator[None]:
    """A thread that works on holes gives way within a millisecond, so that no alarm waits for it.

    Python's own turn of 5 ms is a tenth of what an alarm may take.
    """
    before = sys.getswitchinterval()
    sys.setswitchinterval(min(before, 0.001))
    try:
        yield
    finally:
        sys.setswitchinterval(before)


def _outlets(alarm_file: Path | None, alarm_command: str | None) -> list[Outlet]:
    outlets: list[Outlet] = []
    if alarm_file is not None:
        outlets.append(AlarmFile(alarm_file))
    if alarm_command is not None:
        outlets.append(AlarmCommand(alarm_command))
    return outlets


@contextmanager
def _board(
    shop: Shop, trial: Trial, run: Run, recording: Recording, outlets: Sequence[Outlet]
) -> Iterator[AlarmBoard]:
    """The alarms of this recording, known to `trials.workbench.Workbench.acknowledge`."""
    board = AlarmBoard(shop.store, trial.name, run.number, recording, outlets)
    shop.boards[trial.name, run.number] = board
    try:
        yield board
    finally:
        del shop.boards[trial.name, run.number]
        board.close()


@contextmanager
def source_alone(shop: Shop, source: Source, what: str) -> Iterator[None]:
    """Hold the lock of a source that only one logger may listen to; files can be read by many.

    Raises:
        ConflictError: another process of this shop listens to it; says which, and for what.
    """
    if source.is_file:
        yield
        return
    path = shop.folder.source_lock(source.name)
    with ExitStack() as stack:
        try:
            stack.enter_context(FileLock(path, what))
        except ConflictError:
            holder = holder_of(path)
            who = "another process" if holder is None else f"{holder}, for {holder.what}"
            raise ConflictError(
                f"{source.name} is being listened to by {who}",
                allowed="one logger a source", do="Stop that one first, or use another source.",
            ) from None  # fmt: skip
        yield


def _same_source(shop: Shop, trial_name: str, number: int | None, resume: bool) -> str:
    """The source that a run was recorded from before."""
    run = shop.store.run(trial_name, number).run
    recording = shop.recording(trial_name, run.number) if resume else None
    if recording is None:
        raise InputError(
            "source", got="none given", allowed="serial:PORT, tcp://host:port, csv:FILE …",
            do="Say where values come from.",
        )  # fmt: skip
    return recording.source


def _begin(
    shop: Shop,
    trial: Trial,
    run: Run,
    address: str,
    source: Source,
    line_format: LineFormat | None,
    mapping: Mapping | None,
) -> tuple[Recording, Journal, Decoder]:
    """Everything stored that is needed to understand the first byte; the source is open."""
    if line_format is None or mapping is None:
        raise InputError(
            "line format and mapping", got="none given",
            allowed="how lines are written, and which field is the load",
        )  # fmt: skip
    require_planned(run, trial.name)
    source.open()
    key = uuid.uuid4()
    folder = shop.folder.journals / str(key)
    recording = Recording(
        key, "live", address, line_format.to_dict(), mapping.to_dict(),
        journal=folder.relative_to(shop.folder.path).as_posix(),
    )  # fmt: skip
    try:
        settings = recording_settings(source, line_format, mapping)
        settings |= {"trial": trial.name, "run": run.number, "recording": str(key)}
        journal = Journal.create(folder, settings)
        try:
            shop.store.start_recording(trial.name, run.number, recording)
        except BaseException:
            journal.close()
            shutil.rmtree(folder, ignore_errors=True)  # empty: nothing was recorded yet
            raise
    except BaseException:
        source.close()
        raise
    return recording, journal, decoder_from(settings, line_format=line_format, mapping=mapping)


def _go_on(
    shop: Shop,
    trial: Trial,
    run: Run,
    source: Source,
    line_format: LineFormat | None,
    mapping: Mapping | None,
) -> tuple[Recording, Journal, Decoder, bool]:
    """The journal mended and open for more, and whether something may have been missed.

    The source is open.
    """
    recording = shop.recording(trial.name, run.number)
    if recording is None or recording.journal is None or run.state not in ("recording", "drilled"):
        raise ConflictError(
            f"run {run.number} of {trial.name} is {run.state}"
            + ("" if recording is None else f", {recording.kind}"),
            allowed="a run whose recording was interrupted",
            do="Record it without resuming." if run.state == "planned" else None,
        )
    line_format = line_format or LineFormat.from_dict(recording.line_format)
    mapping = mapping or Mapping.from_dict(recording.mapping)
    recording = replace(recording, line_format=line_format.to_dict(), mapping=mapping.to_dict())
    journal = Journal.reopen(shop.journal(recording))
    try:
        decoder = decoder_from(journal.settings, line_format=line_format, mapping=mapping)
        if source.can_go_on:
            source.go_on_from(journal.data_bytes)
        missed = not (journal.same_boot and source.go_on_behind(journal.tail))
        source.open()
        try:
            recording = shop.store.resume_recording(trial.name, run.number, recording)
        except BaseException:
            source.close()
            raise
    except BaseException:
        journal.close()
        raise
    return recording, journal, decoder, missed


def require_planned(run: Run, trial_name: str) -> None:
    """Refuse to record over what is there.

    Raises:
        ConflictError: the run is not a planned one.
    """
    if run.state != "planned":
        resumable = run.state in ("recording", "drilled")
        raise ConflictError(
            f"run {run.number} of {trial_name} is {run.state}",
            allowed="a planned run",
            do=("To go on with its recording, resume it (--resume). " if resumable else "")
            + "A new drill edge is a new run: plan one.",
        )

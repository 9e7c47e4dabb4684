"""Writing a journal: whole records, on disk within half a second, held when the disk refuses."""

from __future__ import annotations

import contextlib
import json
import os
import threading
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from trials.errors import JournalError
from trials.logger.journal.held import HELD_BYTES, Entry, Held, Undurable
from trials.logger.journal.reader import JournalReader, after
from trials.logger.journal.record import (
    LONGEST_PAYLOAD,
    MAGIC,
    Damage,
    Kind,
    Position,
    pack,
    segment_numbers,
    segment_path,
)
from trials.logger.journal.system import boot_id, cannot_write, sync_folder, take_lock
from trials.logger.readings import Arrival

SYNC_EVERY_S = 0.5
_TRY_EVERY_S = 0.2
_TAIL_BYTES = 256
O_BINARY = getattr(os, "O_BINARY", 0)  # elsewhere than POSIX, bytes are to stay as they are
SEGMENT_BYTES = 16 << 20


class Journal:
    """An append-only recording of bytes with their arrival, in a folder of its own.

    Make one with `Journal.create` or `Journal.reopen`; close it, or use it in a ``with``. After
    ``append`` returns, the bytes survive a kill of the process; after half a second (``sync``:
    at once) also a power cut.

    A disk that refuses (full, faulty, quota) does not end a recording: bytes wait in memory, in a
    bound, and are written when it takes them again. Until then ``trouble`` says so. What the bound
    cannot hold is dropped, counted, and stands in the journal as a gap with its reason. Bytes that
    the disk took but could not make durable are written again, in a new segment.

    Attributes:
        folder: where the segments are.
        settings: what was given to ``create``.
        data_bytes: bytes of data since the source began (anew), all sessions together, with those
            that wait: where a file goes on.
        tail: the last bytes of data that ``reopen`` found, a line or so.
        cut: the torn end that ``reopen`` cut off, or None.
        data_records: records of data, written or waiting, all sessions together. Notes are not
            counted: they come from other threads than the one that reads.
        same_boot: the computer was not started anew since the session before, so that monotonic
            times go on.
    """

    def __init__(
        self, folder: Path, settings: dict[str, Any], *, segment_bytes: int, held_bytes: int,
        lock: int | None = None,
    ) -> None:  # fmt: skip
        self.folder = folder
        self.settings = settings
        self.data_bytes = 0
        self.tail = b""
        self.cut: Damage | None = None
        self.data_records = 0
        self.same_boot = True
        self._segment_bytes = segment_bytes
        self._lock = threading.Lock()  # guards all below between writer and sync thread
        self._descriptor = -1
        self._size = 0
        self._segment = 0
        self._number = 0
        self._held = Held(held_bytes)
        self._undurable = Undurable(held_bytes)
        self._error: OSError | None = None  # what the disk said last, until it takes bytes again
        self._error_since_s = 0.0
        self._try_at = 0.0
        self._again = False  # the segment cannot be trusted: go on in a new one
        self._closed = False
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._lock_file = take_lock(folder) if lock is None else lock

    @classmethod
    def create(
        cls, folder: Path | str, settings: Mapping[str, Any], *,
        segment_bytes: int = SEGMENT_BYTES, held_bytes: int = HELD_BYTES,
    ) -> Self:  # fmt: skip
        """Start a journal in a new or empty folder.

        Args:
            folder: is made when it is not there.
            settings: JSON-able; stands at the beginning (source, line format, mapping).
            segment_bytes: a new segment begins beyond this size.
            held_bytes: so much may wait in memory while the disk refuses.

        Raises:
            JournalError: there is a journal already, or the folder cannot be written.
        """
        folder = Path(folder)
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise cannot_write(folder, error) from error
        if segment_numbers(folder):
            raise JournalError(
                f"journal {folder.name}", got="a recording is there already",
                allowed="an empty folder", do="Resume that recording, or start a new one.",
            )  # fmt: skip
        journal = cls(folder, dict(settings), segment_bytes=segment_bytes, held_bytes=held_bytes)
        with journal._released_on_failure():
            journal._open_segment(1)
            arrival = Arrival.now()
            journal._put(Entry(Kind.SETTINGS, arrival, json.dumps(journal.settings).encode()))
            journal._put(Entry(Kind.NOTE, arrival, _note({"event": "opened", "boot": boot_id()})))
            journal._sync_or_raise()
        journal._start_thread()
        return journal

    @classmethod
    def reopen(
        cls, folder: Path | str, *,
        segment_bytes: int = SEGMENT_BYTES, held_bytes: int = HELD_BYTES, lock: int | None = None,
    ) -> Self:  # fmt: skip
        """Go on with a journal: cut a torn end back to the last whole record, then append.

        Damage before the end is left as it is and does not stop the recording; reading reports it.

        Args:
            folder: with a journal.
            segment_bytes, held_bytes: as for `create`.
            lock: a descriptor of its lock that was handed down (see `trials.logger.keeper`).

        Raises:
            JournalError: no journal there, another process writes it, or it cannot be written.
        """
        folder = Path(folder)
        JournalReader(folder)
        journal = cls(folder, {}, segment_bytes=segment_bytes, held_bytes=held_bytes, lock=lock)
        with journal._released_on_failure():
            reader = JournalReader(folder, strict=False)
            position, boot = Position(), None
            for record in reader:
                position = after(record)
                if record.kind is Kind.DATA:
                    journal.data_bytes += len(record.payload)
                    journal.data_records += 1
                    journal.tail = record.payload[-_TAIL_BYTES:]
                elif record.kind is Kind.SETTINGS and record.number == 0:
                    journal.settings = json.loads(record.payload)
                elif record.kind is Kind.NOTE:
                    note = json.loads(record.payload)
                    boot = note.get("boot", boot)
                    if note.get("anew"):
                        journal.data_bytes = 0
            journal._number = position.record
            journal.cut = reader.torn
            journal.same_boot = boot is not None and boot == boot_id()
            last = segment_numbers(folder)[-1]
            journal._open_segment(last, cut_at=reader.torn.offset if reader.torn else None)
            note = {"event": "reopened", "boot": boot_id(),
                    "cut": str(reader.torn) if reader.torn else None}  # fmt: skip
            journal._put(Entry(Kind.NOTE, Arrival.now(), _note(note)))
            journal._sync_or_raise()
        journal._start_thread()
        return journal

    # -- appending ------------------------------------------------------------------------------

    def append(self, data: bytes, arrival: Arrival | None = None) -> bool:
        """Take bytes as they came in; the system has them, or memory holds them (`trouble`).

        Returns:
            False when some were dropped, because memory is full as well as the disk.

        Raises:
            JournalError: the journal is closed.
        """
        arrival = arrival or Arrival.now()
        kept = True
        for start in range(0, len(data), LONGEST_PAYLOAD):
            part = data[start : start + LONGEST_PAYLOAD]
            if self._take(Entry(Kind.DATA, arrival, part)):
                self.data_records += 1
            else:
                kept = False
            self.data_bytes += len(part)
        return kept

    def note(self, note: Mapping[str, Any], arrival: Arrival | None = None) -> None:
        """Write something about the recording, such as ``{"event": "gap", "reason": …}``.

        ``"anew": true`` says that the source begins from its beginning again.
        """
        self._take(Entry(Kind.NOTE, arrival or Arrival.now(), _note(note)))
        if note.get("anew"):
            self.data_bytes = 0

    @property
    def trouble(self) -> str | None:
        """What the disk refuses and what becomes of the bytes; None when all is well."""
        error = self._error
        if error is None:
            return None
        since_s = time.monotonic() - self._error_since_s
        text = (
            f"The journal cannot be written for {since_s:.0f} s ({error.strerror or error}). "
            f"{self._held.bytes:,} bytes wait in memory and nothing is lost so far. Free some "
            "space on the disk."
        )
        if self._held.dropped_bytes:
            text = text.replace("and nothing is lost so far", f"and {self._held.dropped_bytes:,} "
                                "bytes had to be dropped")  # fmt: skip
        return text

    def _take(self, entry: Entry) -> bool:
        with self._lock:
            if self._closed:
                raise JournalError(f"journal {self.folder.name}", got="it is closed")
            if self._error is not None and not self._catch_up():
                return self._held.add(entry)
            try:
                self._put(entry)
            except OSError as error:
                self._refused(error)
                return self._held.add(entry)
            return True

    def _refused(self, error: OSError) -> None:
        if self._error is None:
            self._error_since_s = time.monotonic()
        self._error = error
        self._try_at = time.monotonic() + _TRY_EVERY_S

    def _catch_up(self) -> bool:
        """Try to write what waits; whether nothing waits any more."""
        if time.monotonic() < self._try_at:
            return False
        try:
            if self._again:
                self._write_again()
                self._fsync()
            while len(self._held):
                self._put(self._held.first())
                self._held.written()
            if self._held.dropped_bytes:
                dropped, seconds = self._held.forget_dropped()
                reason = (
                    f"the disk refused ({self._error and self._error.strerror}) for longer than "
                    f"memory could hold: {dropped:,} bytes of {seconds:.1f} s dropped"
                )
                gap = {"event": "gap", "reason": reason, "dropped_bytes": dropped}
                self._put(Entry(Kind.NOTE, Arrival.now(), _note(gap)))
        except OSError as error:
            self._refused(error)
            return False
        self._error = None
        return True

    def _put(self, entry: Entry) -> None:
        """Write one record, in the next segment when this one is full."""
        record = pack(entry.kind, self._number, entry.arrival, entry.payload)
        full = self._size + len(record) > self._segment_bytes and self._size > len(MAGIC)
        if full and self._undurable:
            self._fsync()
        if full:
            self._open_segment(self._segment + 1)
        self._write_whole(record)
        self._number += 1
        self._undurable.add(record)

    def _write_whole(self, record: bytes) -> None:
        """All bytes or none: what a short write left is cut off again."""
        written = 0
        try:
            written = os.write(self._descriptor, record)
            while written < len(record):
                written += os.write(self._descriptor, memoryview(record)[written:])
        except OSError:
            try:
                os.ftruncate(self._descriptor, self._size)
            except OSError:
                self._again = self._again or written > 0
            raise
        self._size += len(record)

    def _write_again(self) -> None:
        """What may not have reached the disk, with its old numbers, in a new segment."""
        self._open_segment(self._segment + 1)
        for record in self._undurable.records:
            self._write_whole(record)
        self._again = False

    def _open_segment(self, number: int, cut_at: int | None = None) -> None:
        path = segment_path(self.folder, number)
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND | O_BINARY, 0o644)
        try:
            if cut_at is not None:
                os.ftruncate(descriptor, cut_at)
            elif number > self._segment > 0:
                os.ftruncate(descriptor, 0)  # what an attempt before this one left
            size = os.fstat(descriptor).st_size
            while size < len(MAGIC):
                size += os.write(descriptor, MAGIC[size:])
            sync_folder(self.folder)
        except OSError:
            os.close(descriptor)
            raise
        if self._descriptor >= 0:
            os.close(self._descriptor)
        self._descriptor, self._size, self._segment = descriptor, size, number

    # -- making it durable ----------------------------------------------------------------------

    def sync(self) -> None:
        """Return when all that was appended is on the disk.

        Raises:
            JournalError: it is not; the bytes stay in memory, and it is tried again.
        """
        with self._lock:
            self._try_at = 0.0
            if self._error is not None and not self._catch_up():
                raise cannot_write(self.folder, self._error)
            self._sync_or_raise()

    def _sync_or_raise(self) -> None:
        try:
            self._fsync()
        except OSError as error:
            raise cannot_write(self.folder, error) from error

    def _fsync(self) -> None:
        taken = self._undurable.take()
        try:
            os.fsync(self._descriptor)
        except OSError as error:
            self._not_durable(taken, error)
            raise

    def _not_durable(self, taken: list[bytes], error: OSError) -> None:
        """The system may have forgotten these bytes; asking again would say that all is well."""
        self._undurable.put_back(taken)
        self._again = True
        self._refused(error)

    def _start_thread(self) -> None:
        self._thread = threading.Thread(target=self._keep_durable, name="journal-sync", daemon=True)
        self._thread.start()

    def _keep_durable(self) -> None:
        while not self._stop.wait(SYNC_EVERY_S):
            with self._lock:
                if self._error is not None:
                    self._catch_up()
                if self._descriptor < 0 or self._again or not self._undurable:
                    continue
                taken = self._undurable.take()
                descriptor = os.dup(self._descriptor)
            try:  # outside the lock: a slow disk must not hold up the writer
                os.fsync(descriptor)
            except OSError as error:
                with self._lock:
                    self._not_durable(taken, error)
            finally:
                os.close(descriptor)

    def close(self) -> None:
        """Mark the journal as closed in good order, make it durable, let others write it.

        Raises:
            JournalError: bytes that wait for room could not be written; they are lost.
        """
        if self._closed:
            return
        self._stop_thread()
        try:
            self._take(Entry(Kind.CLOSED, Arrival.now(), b""))
            self.sync()
        finally:
            self.release()

    def _stop_thread(self) -> None:
        self._stop.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    @contextlib.contextmanager
    def _released_on_failure(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            self.release()
            raise cannot_write(self.folder, error) from error
        except BaseException:
            self.release()
            raise

    def release(self) -> None:
        """Let go without the mark of good order, as a process that is killed does."""
        self._stop_thread()
        self._closed = True
        for descriptor in (self._descriptor, self._lock_file):
            if descriptor >= 0:
                os.close(descriptor)
        self._descriptor = self._lock_file = -1

    @property
    def lock_descriptor(self) -> int:
        """The descriptor that holds the lock, to hand down."""
        return self._lock_file

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def _note(note: Mapping[str, Any]) -> bytes:
    return json.dumps(dict(note)).encode()

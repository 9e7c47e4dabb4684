"""Writing a journal: whole records in one write, on disk within half a second, one writer."""

from __future__ import annotations

import contextlib
import json
import os
import threading
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from trials.errors import JournalError
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
from trials.logger.readings import Arrival

try:
    import fcntl
except ImportError:  # pragma: no cover - not on this kind of system
    fcntl = None  # type: ignore[assignment] # absent outside POSIX: then only the folder guards

SYNC_EVERY_S = 0.5
O_BINARY = getattr(os, "O_BINARY", 0)  # elsewhere than POSIX, bytes are to stay as they are
SEGMENT_BYTES = 16 << 20


class Journal:
    """An append-only recording of bytes with their arrival, in a folder of its own.

    Make one with `Journal.create` or `Journal.reopen`; close it, or use it in a ``with``. After
    ``append`` returns, the bytes survive a kill of the process; after half a second (``sync``:
    at once) also a power cut.

    Attributes:
        folder: where the segments are.
        settings: what was given to ``create``.
        data_bytes: bytes of data that are in it, all sessions together.
        cut: the torn end that ``reopen`` cut off, or None.
    """

    def __init__(self, folder: Path, settings: dict[str, Any], *, segment_bytes: int) -> None:
        self.folder = folder
        self.settings = settings
        self.data_bytes = 0
        self.cut: Damage | None = None
        self._segment_bytes = segment_bytes
        self._lock = threading.Lock()  # guards the descriptor between writer and sync thread
        self._descriptor = -1
        self._size = 0
        self._segment = 0
        self._number = 0
        self._dirty = False
        self._sync_error: OSError | None = None
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._lock_file = _take_lock(folder)

    @classmethod
    def create(
        cls, folder: Path | str, settings: Mapping[str, Any], *, segment_bytes: int = SEGMENT_BYTES
    ) -> Self:
        """Start a journal in a new or empty folder.

        Args:
            folder: is made when it is not there.
            settings: JSON-able; stands at the beginning (source, line format, mapping).
            segment_bytes: a new segment begins beyond this size.

        Raises:
            JournalError: there is a journal already, or the folder cannot be written.
        """
        folder = Path(folder)
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise _cannot_write(folder, error) from error
        if segment_numbers(folder):
            raise JournalError(
                f"journal {folder.name}", got="a recording is there already",
                allowed="an empty folder", do="Resume that recording, or start a new one.",
            )  # fmt: skip
        journal = cls(folder, dict(settings), segment_bytes=segment_bytes)
        try:
            journal._open_segment(1)
            journal._write(Kind.SETTINGS, json.dumps(journal.settings).encode(), Arrival.now())
            journal.sync()
        except BaseException:
            journal._release()
            raise
        journal._start_thread()
        return journal

    @classmethod
    def reopen(cls, folder: Path | str, *, segment_bytes: int = SEGMENT_BYTES) -> Self:
        """Go on with a journal: cut a torn end back to the last whole record, then append.

        Damage before the end is left as it is and does not stop the recording; reading reports it.

        Raises:
            JournalError: no journal there, another process writes it, or it cannot be written.
        """
        folder = Path(folder)
        reader = JournalReader(folder, strict=False)
        journal = cls(folder, {}, segment_bytes=segment_bytes)
        try:
            position = Position()
            for record in reader:
                position = after(record)
                if record.kind is Kind.DATA:
                    journal.data_bytes += len(record.payload)
                elif record.kind is Kind.SETTINGS and record.number == 0:
                    journal.settings = json.loads(record.payload)
            journal._number = position.record
            journal.cut = reader.torn
            last = segment_numbers(folder)[-1]
            journal._open_segment(last, cut_at=reader.torn.offset if reader.torn else None)
            note = {"event": "reopened", "cut": str(reader.torn) if reader.torn else None}
            journal.note(note)
            journal.sync()
        except BaseException:
            journal._release()
            raise
        journal._start_thread()
        return journal

    # -- appending ------------------------------------------------------------------------------

    def append(self, data: bytes, arrival: Arrival | None = None) -> None:
        """Write bytes as they came in. Returns when the system has them.

        Raises:
            JournalError: they could not be written whole; nothing of them is in the journal.
        """
        arrival = arrival or Arrival.now()
        for start in range(0, len(data), LONGEST_PAYLOAD):
            part = data[start : start + LONGEST_PAYLOAD]
            self._write(Kind.DATA, part, arrival)
            self.data_bytes += len(part)

    def note(self, note: Mapping[str, Any], arrival: Arrival | None = None) -> None:
        """Write something about the recording, such as ``{"event": "gap", "reason": …}``."""
        self._write(Kind.NOTE, json.dumps(dict(note)).encode(), arrival or Arrival.now())

    def _write(self, kind: Kind, payload: bytes, arrival: Arrival) -> None:
        record = pack(kind, self._number, arrival, payload)
        with self._lock:
            if self._descriptor < 0:
                raise JournalError(f"journal {self.folder.name}", got="it is closed")
            if self._sync_error is not None:
                error, self._sync_error = self._sync_error, None
                raise _cannot_write(self.folder, error) from error
            if self._size + len(record) > self._segment_bytes and self._size > len(MAGIC):
                self._rotate()
            self._write_whole(record)
            self._number += 1
            self._dirty = True

    def _write_whole(self, record: bytes) -> None:
        """All bytes or none: what a short write left is cut off again."""
        view = memoryview(record)
        written = 0
        try:
            while written < len(record):
                written += os.write(self._descriptor, view[written:])
        except OSError as error:
            with contextlib.suppress(OSError):
                os.ftruncate(self._descriptor, self._size)
            raise _cannot_write(self.folder, error) from error
        self._size += len(record)

    def _rotate(self) -> None:
        self._fsync()
        os.close(self._descriptor)
        self._descriptor = -1
        self._open_segment(self._segment + 1)

    def _open_segment(self, number: int, cut_at: int | None = None) -> None:
        path = segment_path(self.folder, number)
        try:
            self._descriptor = os.open(
                path, os.O_WRONLY | os.O_CREAT | os.O_APPEND | O_BINARY, 0o644
            )
            if cut_at is not None:
                os.ftruncate(self._descriptor, cut_at)
            self._size = os.fstat(self._descriptor).st_size
            self._segment = number
            if self._size == 0:
                self._write_whole(MAGIC)
            _sync_folder(self.folder)
        except OSError as error:
            raise _cannot_write(self.folder, error) from error

    # -- making it durable ----------------------------------------------------------------------

    def sync(self) -> None:
        """Return when all that was appended is on the disk."""
        with self._lock:
            self._fsync()

    def _fsync(self) -> None:
        try:
            os.fsync(self._descriptor)
        except OSError as error:
            raise _cannot_write(self.folder, error) from error
        self._dirty = False

    def _start_thread(self) -> None:
        self._thread = threading.Thread(target=self._keep_durable, name="journal-sync", daemon=True)
        self._thread.start()

    def _keep_durable(self) -> None:
        while not self._stop.wait(SYNC_EVERY_S):
            with self._lock:
                if not self._dirty or self._descriptor < 0:
                    continue
                self._dirty = False
                descriptor = os.dup(self._descriptor)
            try:  # outside the lock: a slow disk must not hold up the writer
                os.fsync(descriptor)
            except OSError as error:
                with self._lock:
                    self._sync_error = error
                    self._dirty = True
            finally:
                os.close(descriptor)

    def close(self) -> None:
        """Mark the journal as closed in good order, make it durable, let others write it."""
        if self._descriptor < 0:
            return
        self._stop_thread()
        try:
            self._write(Kind.CLOSED, b"", Arrival.now())
            self.sync()
        finally:
            self._release()

    def _stop_thread(self) -> None:
        self._stop.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    def _release(self) -> None:
        self._stop_thread()
        if self._descriptor >= 0:
            os.close(self._descriptor)
            self._descriptor = -1
        if self._lock_file >= 0:
            os.close(self._lock_file)
            self._lock_file = -1

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def _take_lock(folder: Path) -> int:
    """Be the only writer; the system lets go when the process ends, however it ends."""
    path = folder / "writer.lock"
    try:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as error:
        raise _cannot_write(folder, error) from error
    if fcntl is not None:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            holder = os.read(descriptor, 200).decode("utf-8", "replace").strip()
            os.close(descriptor)
            raise JournalError(
                f"journal {folder.name}", got=f"another logger writes it ({holder or 'unknown'})",
                allowed="one logger a recording", do="Stop the other, or start a new recording.",
            ) from None  # fmt: skip
    os.ftruncate(descriptor, 0)
    os.write(descriptor, f"process {os.getpid()}".encode())
    return descriptor


def _sync_folder(folder: Path) -> None:
    if os.name == "posix":
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _cannot_write(folder: Path, error: OSError) -> JournalError:
    return JournalError(
        f"journal {folder.name} cannot be written", got=error.strerror or str(error),
        allowed="a folder on a local disk with room left and the right to write",
        do="Free some space or mend the rights; what was written before is kept.",
    )  # fmt: skip

"""Files as sources: imported once, followed while they grow, or replayed at the recorded speed."""

from __future__ import annotations

import os
import time
from pathlib import Path

from trials.errors import InputError, SourceError
from trials.logger.decoder import Decoder
from trials.logger.journal import JournalReader, Kind
from trials.logger.line_format import LineFormat
from trials.logger.mapping import Mapping
from trials.logger.sources.protocol import GapError

CHUNK_BYTES = 262_144
_POLL_S = 0.05
_LOOK_S = 0.5  # how often a followed file is asked whether it is still the one under its name


def open_file(path: Path) -> int:
    """A descriptor for reading a file; folders, absent and forbidden files are explained."""
    try:
        if path.is_dir():
            raise InputError(
                f"file {path.name}", got="a folder", allowed="a file", do="Name the file in it."
            )
        return os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    except FileNotFoundError:
        raise InputError(
            f"file {path}", got="no such file", allowed="a file that is there",
            do="Is the name spelled right?",
        ) from None  # fmt: skip
    except PermissionError:
        raise InputError(
            f"file {path.name}", got="no permission to read it", allowed="a readable file",
            do=f"Change its rights (chmod u+r {path.name}) or ask its owner.",
        ) from None  # fmt: skip
    except OSError as error:
        raise InputError(
            f"file {path.name}", got=error.strerror or str(error), allowed="a readable file"
        ) from None


class FileSource:
    """Reads a file to its end, or follows it while another program writes it.

    Following looks again every 50 ms, which also works on network shares. When the file is begun
    anew (cut short, or another one stands under its name), what the old one still held is read
    first, then the new one from its beginning, with its header.

    Args:
        path: the file.
        follow: wait for more at its end.
    """

    can_go_on = True
    first_line_whole = True

    def __init__(self, path: Path | str, *, follow: bool = False) -> None:
        self._path = Path(path)
        self._follow = follow
        self.is_file = not follow
        self.name = f"csv:{path}" + ("?follow=1" if follow else "")
        self._descriptor = -1
        self._begin = 0
        self._done = 0
        self._look_at = 0.0
        self._anew = False

    def open(self) -> None:
        self._descriptor = open_file(self._path)
        if self._begin > os.fstat(self._descriptor).st_size:
            self._begin = 0
            self._anew = True
        self._done = os.lseek(self._descriptor, self._begin, os.SEEK_SET)

    def read(self, timeout_s: float) -> bytes | None:
        if self._descriptor < 0:
            raise SourceError(self.name, got="it is not open")
        until = time.monotonic() + timeout_s
        if self._anew:
            self._anew = False
            reason = f"the file {self._path.name} was begun anew while nobody followed it"
            raise GapError(reason, anew=True)
        while True:
            try:
                data = os.read(self._descriptor, CHUNK_BYTES)
            except OSError as error:
                raise SourceError(self.name, got=error.strerror or str(error)) from error
            if data:
                self._done += len(data)
                return data
            if not self._follow:
                return None
            self._look_for_another()
            left = until - time.monotonic()
            if left <= 0:
                return b""
            time.sleep(min(left, _POLL_S))

    def _look_for_another(self) -> None:
        """The followed file may have been cut short, or another one may stand in its place."""
        here = os.fstat(self._descriptor)
        if here.st_size < self._done:
            os.lseek(self._descriptor, 0, os.SEEK_SET)
            self._done = 0
            raise GapError(f"the file {self._path.name} was begun anew", anew=True)
        now = time.monotonic()
        if now < self._look_at:
            return
        self._look_at = now + _LOOK_S
        try:
            there = self._path.stat()
        except OSError:
            return  # renamed, and the new one is not there yet; or the share is away
        if (there.st_dev, there.st_ino) == (here.st_dev, here.st_ino):
            return
        if here.st_size > self._done:
            return  # the rest of the old one first
        descriptor = open_file(self._path)
        os.close(self._descriptor)
        self._descriptor, self._done = descriptor, 0
        raise GapError(f"another file took the place of {self._path.name}", anew=True)

    def land_in(self, memory: memoryview | None) -> None:
        """What is not read yet stays where it is."""

    def fileno(self) -> int | None:
        return None  # what is not read yet stays in the file

    def close(self) -> None:
        if self._descriptor >= 0:
            os.close(self._descriptor)
            self._descriptor = -1

    def describe(self) -> dict[str, str]:
        return {"kind": "csv", "address": self.name, "follow": "yes" if self._follow else "no"}

    def go_on_from(self, byte_count: int) -> None:
        self._begin = byte_count

    def go_on_behind(self, _tail: bytes, /) -> bool:
        return False


class ReplaySource:
    """Plays a recording again: the raw bytes of a file, or the data of a journal folder.

    Args:
        path: the file, or the folder of a journal.
        speed: 1 for the recorded speed, 2 for twice as fast; 0 for as fast as possible.
        line_format, mapping: how the lines tell their time; needed for a file with a speed (a
            journal knows when its bytes came in).
    """

    is_file = True
    can_go_on = True
    first_line_whole = True

    def __init__(
        self,
        path: Path | str,
        *,
        speed: float = 0.0,
        line_format: LineFormat | None = None,
        mapping: Mapping | None = None,
    ) -> None:
        self._path = Path(path)
        self._speed = speed
        self.name = f"replay:{path}" + (f"?speed={speed:g}" if speed else "")
        if not 0 <= speed <= 1e6:
            raise InputError("speed of the replay", got=speed, allowed="0 to 1,000,000")
        self._clock: Decoder | None = None
        if speed and not self._path.is_dir():
            if line_format is None or mapping is None:
                raise InputError(
                    self.name, got="a speed without the line format and the mapping",
                    allowed="a speed when it is known which field is the time",
                    do="Give --format and --map, or leave speed out.",
                )  # fmt: skip
            self._clock = Decoder(line_format, mapping)
        self._parts: list[tuple[float, bytes]] = []
        self._next = 0
        self._begin = 0
        self._started_s = 0.0

    def open(self) -> None:
        if self._path.is_dir():
            self._parts = self._journal_parts()
        else:
            os.close(open_file(self._path))
            self._parts = self._file_parts(self._path.read_bytes()[self._begin :])
        self._next = 0
        self._started_s = time.monotonic()

    def _journal_parts(self) -> list[tuple[float, bytes]]:
        records = [r for r in JournalReader(self._path) if r.kind is Kind.DATA]
        if not records:
            return []
        first = records[0].arrival.utc_ns
        return [((r.arrival.utc_ns - first) / 1e9, r.payload) for r in records]

    def _file_parts(self, data: bytes) -> list[tuple[float, bytes]]:
        if self._clock is None:
            return [(0.0, data[at : at + CHUNK_BYTES]) for at in range(0, len(data), CHUNK_BYTES)]
        parts: list[tuple[float, bytes]] = []
        for line in data.splitlines(keepends=True):
            self._clock.feed(line)
            parts.append((self._clock.newest_s, line))
        return parts

    def read(self, timeout_s: float) -> bytes | None:
        if self._next >= len(self._parts):
            return None
        at_s, data = self._parts[self._next]
        if self._speed:
            wait_s = self._started_s + at_s / self._speed - time.monotonic()
            if wait_s > timeout_s:
                time.sleep(timeout_s)
                return b""
            time.sleep(max(0.0, wait_s))
        self._next += 1
        return data

    def land_in(self, memory: memoryview | None) -> None:
        """What is not read yet stays where it is."""

    def fileno(self) -> int | None:
        return None

    def close(self) -> None:
        self._parts = []

    def describe(self) -> dict[str, str]:
        return {"kind": "replay", "address": self.name, "speed": f"{self._speed:g}"}

    def go_on_from(self, byte_count: int) -> None:
        self._begin = byte_count

    def go_on_behind(self, _tail: bytes, /) -> bool:
        return False

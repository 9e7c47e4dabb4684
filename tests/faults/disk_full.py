"""The disk full in mid-run: a small tmpfs as root, else a limit on the size of files."""

from __future__ import annotations

import contextlib
import os
import resource
import subprocess
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from tests.faults.row import Row
from tests.helpers.line_sender import LineSender
from trials.logger import (
    Decoder,
    Journal,
    LineFormat,
    Mapping,
    Recorder,
    Trouble,
    open_source,
    rebuild,
    recording_settings,
)

FORM, MAPPING = LineFormat("key=value"), Mapping.parse("load=load,time=t")


class Recording:
    """A recorder in a thread, with when each trouble was told."""

    def __init__(self, url: str, folder: Path, **journal: int) -> None:
        source = open_source(url)
        self.troubles: list[tuple[float, Trouble]] = []
        self.stop = threading.Event()
        settings = recording_settings(source, FORM, MAPPING)
        self.journal = Journal.create(folder, settings, **journal)
        self.decoder = Decoder(FORM, MAPPING, live=True)
        self.recorder = Recorder(
            source, self.journal, self.decoder,
            trouble_listeners=[lambda one: self.troubles.append((time.monotonic(), one))],
        )  # fmt: skip
        self.thread = threading.Thread(target=self._run, name="recorder-under-test")
        self.thread.start()

    def _run(self) -> None:
        self.result = self.recorder.run(self.stop)

    def end(self) -> None:
        self.stop.set()
        self.thread.join()
        self.journal.close()

    def told(self, active: bool, give_up_s: float = 10.0) -> float | None:
        """When the trouble with the disk was told to begin or end; None when it was not."""
        until = time.monotonic() + give_up_s
        while time.monotonic() < until:
            for at, trouble in self.troubles:
                if trouble.kind == "disk" and trouble.active == active:
                    return at
            time.sleep(0.01)
        return None


@contextmanager
def no_room_by_limit(folder: Path) -> Iterator[None]:
    """No file may grow beyond what the journal has now: as a quota does it."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    size = max(one.stat().st_size for one in folder.glob("segment-*"))
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + 500, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def no_room_by_filling(folder: Path) -> Iterator[None]:
    """A file that takes all the room of its small file system."""
    path = folder.parent / "filler"
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT)
    with contextlib.suppress(OSError):
        while True:
            os.write(descriptor, bytes(4096))
    os.close(descriptor)
    yield
    path.unlink()


@contextmanager
def small_disk() -> Iterator[Path | None]:
    """A tmpfs of 2 MiB; None without the right to mount one."""
    with tempfile.TemporaryDirectory() as name:
        mount = ["mount", "-t", "tmpfs", "-o", "size=2m", "holewise-test", name]
        if (
            os.name != "posix"
            or os.geteuid() != 0
            or subprocess.call(mount, stderr=subprocess.DEVNULL)
        ):
            yield None
            return
        try:
            yield Path(name)
        finally:
            subprocess.call(["umount", "-l", name])


def full_disk(seconds: float, place: Path | None) -> Row:
    """Record, fill the disk for a while, make room, go on; compare with what was sent."""
    with tempfile.TemporaryDirectory() as name:
        folder = (place or Path(name)) / "j"
        with LineSender("tcp", Path(name) / "notes") as sender:
            recording = Recording(sender.url, folder)
            _until(lambda: recording.decoder.counters.samples > 300)
            no_room = no_room_by_limit if place is None else no_room_by_filling
            with no_room(folder):
                full_at = time.monotonic()
                told_at = recording.told(True)
                time.sleep(seconds)
                seen = recording.decoder.counters.samples
                time.sleep(0.3)
                alarmed = recording.decoder.counters.samples > seen
            room_at = time.monotonic()
            again_at = recording.told(False)
            time.sleep(0.5)
            recording.end()
        have = np.round(rebuild(folder).batch.time_s * 1000).astype(int)
    whole = len(have) > 1000 and bool((np.diff(have) == 1).all())
    late_s = 99.0 if told_at is None else told_at - full_at
    back_s = 99.0 if again_at is None else again_at - room_at
    return Row(
        "disk full in mid-run (" + ("limit on file size)" if place is None else "tmpfs of 2 MiB)"),
        "nothing committed lost, told within 1 s, recording goes on when space returns",
        f"told {late_s:.2f} s after the disk was full, written again {back_s:.2f} s after there "
        f"was room; {len(have):,} lines, {'none' if whole else 'SOME'} missing; values were "
        f"{'still' if alarmed else 'NOT'} watched meanwhile",
        whole and late_s <= 1.0 and alarmed and back_s < 2.0,
    )


def overflow() -> Row:
    """More than memory may hold while the disk is full: a gap that counts what was dropped."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "j"
        with LineSender("tcp", Path(name) / "notes") as sender:
            recording = Recording(sender.url, folder, held_bytes=10_000)
            _until(lambda: recording.decoder.counters.samples > 300)
            with no_room_by_limit(folder):
                recording.told(True)
                _until(lambda: "dropped" in (recording.journal.trouble or ""))
                time.sleep(0.5)
            recording.told(False)
            time.sleep(0.3)
            recording.end()
        again = rebuild(folder)
    numbers = np.round(again.batch.time_s * 1000).astype(int)
    jumps = np.flatnonzero(np.diff(numbers) != 1)
    gaps = [gap for gap in again.gaps if "memory could hold" in gap.reason]
    one = len(jumps) == 1 and len(gaps) == 1
    named = one and gaps[0].start_s == again.batch.time_s[jumps[0]]
    problems = any("dropped" in problem for problem in recording.result.problems)
    return Row(
        "disk full for longer than memory can hold", "a counted gap with its reason, once",
        f"{len(jumps)} gap in the values, {len(gaps)} in the journal: "
        f"{gaps[0].reason if gaps else 'none'}",
        named and problems,
    )  # fmt: skip


def _until(holds: Callable[[], bool], give_up_s: float = 30.0) -> None:
    until = time.monotonic() + give_up_s
    while not holds() and time.monotonic() < until:
        time.sleep(0.01)


def run(seconds: float) -> list[Row]:
    rows = [full_disk(seconds, None), overflow()]
    with small_disk() as place:
        if place is not None:
            rows.append(full_disk(seconds, place))
    return rows

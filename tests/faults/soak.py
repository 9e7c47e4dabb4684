"""A long recording in compressed time: does memory stay flat, are files rotated?"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from dataclasses import asdict
from pathlib import Path

from tests.faults.row import Row
from tests.helpers.line_sender import ROOT, LineSender
from trials.logger import (
    Batch,
    Journal,
    LineFormat,
    Mapping,
    Recorder,
    decoder_from,
    open_source,
    recording_settings,
)
from trials.logger.journal.record import segment_numbers

FORM, MAPPING = LineFormat("key=value"), Mapping.parse("load=load,time=t")


def memory_mib() -> float:
    """Of this process now; 0 where the system does not say."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:
        return 0.0
    return pages * 4096 / 2**20


def judge(lines: int, segment_bytes: int) -> Row:
    """Record so many lines as fast as they come; run in a process of its own."""
    seen: list[float] = []
    done = 0

    def look(batch: Batch) -> None:
        nonlocal done
        done += len(batch)
        if done * 20 > lines * (len(seen) + 1):
            seen.append(memory_mib())

    with tempfile.TemporaryDirectory() as name:
        with LineSender("tcp", Path(name) / "notes", rate=0, until=lines) as sender:
            source = open_source(sender.url)
            settings = recording_settings(source, FORM, MAPPING)
            folder = Path(name) / "j"
            with Journal.create(folder, settings, segment_bytes=segment_bytes) as journal:
                result = Recorder(source, journal, decoder_from(settings), [look]).run()
        segments = len(segment_numbers(folder))
        size = sum(one.stat().st_size for one in folder.glob("segment-*"))
    grown = max(seen[2:]) - seen[1]
    whole = done == lines and not result.problems
    return Row(
        f"soak in compressed time: {lines:,} values ({lines / 360_000:.1f} h of 100 a second)",
        "memory flat, files rotated, nothing missing",
        f"memory {seen[1]:.0f} MiB after a tenth, most {max(seen[2:]):.0f} MiB later; {segments} "
        f"segments of at most {segment_bytes / 2**20:.0f} MiB; {lines - done} values missing",
        grown < 16 and segments >= size // segment_bytes and segments > 1 and whole,
    )  # fmt: skip


def run(lines: int, segment_bytes: int) -> list[Row]:
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.soak", str(lines), str(segment_bytes)],
        cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True,
    )  # fmt: skip
    return [Row(**json.loads(done.stdout.splitlines()[-1]))]


if __name__ == "__main__":
    print(json.dumps(asdict(judge(int(sys.argv[1]), int(sys.argv[2])))))

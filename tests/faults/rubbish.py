"""Rubbish on the line: random bytes, NULs, a line without an end, half lines, mixed line ends."""

from __future__ import annotations

import json
import random
import resource
import socket
import subprocess
import sys
import tempfile
import threading
from dataclasses import asdict
from pathlib import Path

from tests.faults.row import Row
from tests.helpers.line_sender import ROOT
from trials.logger import (
    Journal,
    JournalReader,
    Kind,
    LineFormat,
    Mapping,
    Recorder,
    decoder_from,
    open_source,
    recording_settings,
)

FORM, MAPPING = LineFormat("key=value"), Mapping.parse("load=load,time=t")
_PIECE = 1 << 20


def parts(long_line_bytes: int) -> list[bytes | int]:
    """What is sent, in order; a number stands for a line of that many bytes without an end."""
    values = random.Random(9)
    good = [b"t=%d;load=%d\n" % (n, n % 90) for n in range(1000)]
    return [
        b"".join(good[:200]),
        values.randbytes(2_000_000),
        b"\n", bytes(100_000), b"\n",
        b"".join(good[200:400]),
        long_line_bytes,
        b"\n",
        b"".join(good[400:600]).replace(b"\n", b"\r\n"),
        b"".join(good[600:800]).replace(b"\n", b"\r"),
        b"".join(line[: values.randrange(1, len(line) - 1)] + b"\n" for line in good[800:900]),
        b"".join(good[900:]),
    ]  # fmt: skip


def _serve(listener: socket.socket, sent: list[bytes | int]) -> None:
    client, _ = listener.accept()
    with client:
        for part in sent:
            if isinstance(part, bytes):
                client.sendall(part)
                continue
            for at in range(0, part, _PIECE):
                client.sendall(b"7" * min(_PIECE, part - at))


def judge(long_line_bytes: int) -> Row:
    """Run in a process of its own, so that its memory is its own."""
    sent = parts(long_line_bytes)
    listener = socket.create_server(("127.0.0.1", 0))
    server = threading.Thread(target=_serve, args=(listener, sent))
    server.start()
    source = open_source(f"tcp://127.0.0.1:{listener.getsockname()[1]}")
    settings = recording_settings(source, FORM, MAPPING)
    good = 0

    def count(batch: object) -> None:
        nonlocal good
        good += len(batch)  # type: ignore[arg-type]

    before = _peak_mib()
    with tempfile.TemporaryDirectory() as name:
        with Journal.create(Path(name) / "j", settings) as journal:
            decoder = decoder_from(settings)
            result = Recorder(source, journal, decoder, [count]).run()
        grown = _peak_mib() - before
        reader = JournalReader(Path(name) / "j")
        kept = sum(len(one.payload) for one in reader if one.kind is Kind.DATA)
    server.join()
    listener.close()
    total = sum(part if isinstance(part, int) else len(part) for part in sent)
    counters = result.counters
    long_lines = counters.rejects["line too long"]  # an empty line stands for each, counted too
    balance = counters.lines == counters.samples + counters.rejected + counters.blank - long_lines
    return Row(
        f"rubbish: random bytes, NULs, a line of {long_line_bytes / 1e6:,.0f} MB, half lines, "
        "mixed line ends",
        "no crash, memory bounded, rejects counted and kept raw",
        f"{counters.rejected:,} rejects in {counters.lines:,} lines "
        f"({'every line accounted for' if balance else 'LINES UNACCOUNTED'}, {long_lines} too "
        f"long), memory grew by {grown:.0f} MiB, journal holds {kept:,} of {total:,} bytes",
        balance and kept == total and long_lines >= 1 and grown < 200 and good >= 900
        and result.ended == "link lost",
    )  # fmt: skip


def _peak_mib() -> float:
    """The most memory that this process had; of the system's two answers the one that does not
    count what its parent had."""
    try:
        status = Path("/proc/self/status").read_text()
        return int(status.split("VmHWM:")[1].split()[0]) / 1024
    except (OSError, IndexError):
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def run(long_line_bytes: int) -> list[Row]:
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.rubbish", str(long_line_bytes)],
        cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True,
    )  # fmt: skip
    return [Row(**json.loads(done.stdout.splitlines()[-1]))]


if __name__ == "__main__":
    print(json.dumps(asdict(judge(int(sys.argv[1])))))

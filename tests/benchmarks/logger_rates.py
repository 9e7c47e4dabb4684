"""Lines a second through the decoder, and over TCP into journal and decoder.

Run it: ``python tests/benchmarks/logger_rates.py``. Prints a table; asserts nothing. The decoder's
rates are by processor time; the import of a CSV is compared with pandas in the same run.
"""

from __future__ import annotations

import random
import resource
import socket
import tempfile
import threading
import time
from pathlib import Path

import pandas as pd

from trials.logger import (
    Decoder,
    Journal,
    LineFormat,
    Mapping,
    Recorder,
    import_file,
    open_source,
    recording_settings,
)

LINES = 400_000
CHUNK = 65_536
values = random.Random(1)
loads = [f"{values.uniform(0, 90):.2f}" for _ in range(LINES)]


def made(head: str, line: str) -> bytes:
    return (head + "".join(
        line.format(t=n / 1000, load=loads[n], m=n // 60_000, s=n // 1000 % 60, f=n % 1000)
        for n in range(LINES)
    )).encode()  # fmt: skip


STAMP = "2026-01-31T08:{m:02d}:{s:02d}.{f:03d}"
KINDS = {
    "key=value": (
        LineFormat("key=value"),
        "load=load,time=t,rpm=rpm",
        made("", "t={t:.3f};load={load};rpm=3820\n"),
    ),
    "delimited": (
        LineFormat(),
        "load=load,time=t,rpm=rpm",
        made("t,load,rpm\n", "{t:.3f},{load},3820\n"),
    ),
    "delimited, ISO": (
        LineFormat(),
        "load=load,time=t,time_unit=iso,rpm=rpm",
        made("t,load,rpm\n", STAMP + "Z,{load},3820\n"),
    ),
    "SHDR": (
        LineFormat("shdr"),
        "load=load,rpm=rpm",
        made("", STAMP + "0000Z|load|{load}|rpm|3820\n"),
    ),
    "SHDR, load only": (
        LineFormat("shdr"),
        "load=load",
        made("", STAMP + "0000Z|load|{load}\n"),
    ),
    "SHDR, mixed keys": (
        LineFormat("shdr"),
        "load=load,rpm=rpm",
        made("", STAMP + "0000Z|Xpos|{load}|load|{load}|Zpos|1|rpm|3820\n"),
    ),
    "SHDR, other keys": (
        LineFormat("shdr"),
        "load=load",
        made("", STAMP + "0000Z|Xpos|{load}|Zpos|1\n"),
    ),
}


def decoder_rate(form: LineFormat, mapping: Mapping, data: bytes, chunk: int) -> float:
    best = 0.0
    for _ in range(3):
        decoder = Decoder(form, mapping)
        begin = time.process_time()
        for at in range(0, len(data), chunk):
            decoder.feed(data[at : at + chunk])
        decoder.finish()
        best = max(best, LINES / (time.process_time() - begin))
        assert decoder.counters.rejected == 0
    return best


def tcp_rate(form: LineFormat, mapping: Mapping, data: bytes) -> tuple[float, float]:
    """Lines a second by the clock, and by processor time, sender included."""
    listener = socket.create_server(("127.0.0.1", 0))

    def serve() -> None:
        client, _ = listener.accept()
        with client:
            client.sendall(data)

    with tempfile.TemporaryDirectory() as folder:
        source = open_source(f"tcp://127.0.0.1:{listener.getsockname()[1]}")
        thread = threading.Thread(target=serve)
        thread.start()
        decoder = Decoder(form, mapping)
        used = resource.getrusage(resource.RUSAGE_SELF)
        begin = time.perf_counter()
        settings = recording_settings(source, form, mapping)
        with Journal.create(Path(folder) / "j", settings) as journal:
            Recorder(source, journal, decoder).run()
        wall = time.perf_counter() - begin
        now = resource.getrusage(resource.RUSAGE_SELF)
        thread.join()
        listener.close()
    processor = now.ru_utime + now.ru_stime - used.ru_utime - used.ru_stime
    return LINES / wall, LINES / processor


def main() -> None:
    print(
        f"{'format':18} {'64 KiB chunks':>14} {'4 KiB':>12} {'TCP + journal':>14} {'per CPU s':>12}"
    )
    for name, (form, text, data) in KINDS.items():
        mapping = Mapping.parse(text)
        big, small = (decoder_rate(form, mapping, data, size) for size in (CHUNK, 4096))
        wall, processor = tcp_rate(form, mapping, data)
        print(f"{name:18} {big:14,.0f} {small:12,.0f} {wall:14,.0f} {processor:12,.0f}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "trace.csv"
        data = KINDS["delimited"][2]
        path.write_bytes(data)
        mapping = Mapping.parse("load=load,time=t")
        own_s, pandas_s = [], []
        for _ in range(5):
            begin = time.process_time()
            rows = sum(len(part) for part in pd.read_csv(path, chunksize=100_000))
            pandas_s.append(time.process_time() - begin)
            begin = time.process_time()
            ours = sum(len(batch) for batch in import_file(path, None, mapping))
            own_s.append(time.process_time() - begin)
            assert rows == ours == LINES
        ratio = min(own_s) / min(pandas_s)
        print(f"importing CSV: {ratio:.2f} x the processor time that pandas needs to read it")


if __name__ == "__main__":
    main()

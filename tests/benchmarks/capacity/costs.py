"""What one unit of work costs on this computer: measured with the program's own parts."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import psutil
import psycopg

from dashboard import create_app, ids, links
from tests.contract.store_contract import holes_frame
from tests.helpers.crawler import Crawler
from tests.helpers.example_trial import START, example_trial
from tests.helpers.line_sender import ROOT
from tests.helpers.postgres import PostgresServer
from trials.store import (
    Forwarder,
    Recording,
    TraceWriter,
    back_up_shop,
    open_store,
    shop_folder,
    use_server,
)
from trials.workbench import Workbench

RATES = (10, 100, 1000)
NAME = "bracket"
_NOISE = np.random.default_rng(1).normal(0.0, 0.4, 100_003)  # % of rated load


@dataclass(frozen=True, slots=True)
class Costs:
    """Costs of one unit of work.

    Args:
        logger_share: of one core by logger and keeper, by values a second.
        line_bytes: of the journal a line, by values a second.
        trace_bytes_an_hour: of a finished trace, by values a second.
        live_s: of the processor for one answer of the page beside a machine.
        send_s: of a server's processor for each of several sends of one new hole.
        send_wall_s, station_s: seconds by the clock, and of the station's processor, for one.
        look_s: of the server's processor for a look that finds nothing.
        links: connections that one sender holds.
        hole_bytes: that the server's database grows by, for each hole.
        copy_s_a_gib, again_s_a_gib: a backup of files the first time, and when they are unchanged.
        rows_a_s: rows of the database that a backup copies in a second.
    """

    logger_share: dict[int, float]
    line_bytes: dict[int, float]
    trace_bytes_an_hour: dict[int, float]
    live_s: float
    send_s: list[float]
    send_wall_s: float
    station_s: float
    look_s: float
    links: int
    hole_bytes: float
    copy_s_a_gib: float
    again_s_a_gib: float
    rows_a_s: float


def measure(seconds: float) -> Costs:
    """All of it; ``seconds`` are given to each rate of the logger."""
    shares, sizes, live_s = {}, {}, 0.0
    for rate in RATES:
        shares[rate], sizes[rate], answer_s = _logger(rate, seconds, watched=rate == 100)
        live_s = answer_s or live_s
    copy_s, again_s, rows = _backup()
    return Costs(shares, sizes, {rate: _trace(rate) for rate in RATES}, live_s, *_sender(), copy_s,
                 again_s, rows)  # fmt: skip


def line(number: int, rate: int) -> bytes:
    """A line as a drive may send it: holes of 7 s every 12 s, with noise."""
    level = 45.0 if number % (12 * rate) < 7 * rate else 5.0
    return b"t=%.3f;load=%.1f\n" % (number / rate, level + _NOISE[number % len(_NOISE)])


@contextmanager
def _machine(rate: int) -> Iterator[int]:
    """A machine that sends so many values a second; its port."""
    stop = threading.Event()
    listener = socket.create_server(("127.0.0.1", 0))

    def send() -> None:
        client, _ = listener.accept()
        client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        began, number = time.monotonic(), 0
        with client:
            while not stop.is_set():
                time.sleep(max(0.0, began + number / rate - time.monotonic()))
                try:
                    client.sendall(line(number, rate))
                except OSError:
                    return
                number += 1

    thread = threading.Thread(target=send, name="machine", daemon=True)
    thread.start()
    try:
        yield int(listener.getsockname()[1])
    finally:
        stop.set()
        thread.join(5)
        listener.close()


def _logger(rate: int, seconds: float, *, watched: bool) -> tuple[float, float, float]:
    """Share of a core, bytes of the journal a line, and seconds for one answer of the live page."""
    with tempfile.TemporaryDirectory() as name, _machine(rate) as port:
        with Workbench.open(name) as bench:
            bench.new_trial(example_trial(NAME))
            bench.plan_run(NAME, START)
        process = subprocess.Popen(
            [sys.executable, "-m", "trials.cli.app", "--data", name, "log", NAME,
             "--source", f"tcp://127.0.0.1:{port}", "--format", "key=value",
             "--map", "load=load,unit=%,time=t"],
            cwd=ROOT, stdout=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            time.sleep(5)  # its start is no part of it
            before, began = _cpu_s(process.pid), time.monotonic()
            time.sleep(seconds)
            share = (_cpu_s(process.pid) - before) / (time.monotonic() - began)
            live_s = _live(Path(name)) if watched else 0.0
        finally:
            process.terminate()
            process.wait(30)
        with Workbench.open(name) as bench:
            samples = len(bench.trace(NAME, 1))
            journal = sum(one.stat().st_size for one in Path(name).glob("journals/*/*.journal"))
        return share, journal / samples, live_s


def _live(folder: Path, asks: int = 60) -> float:
    """Seconds of this process's processor for one answer of the page beside a machine."""
    with Workbench.open(folder) as bench:
        crawler = Crawler(create_app(bench).server.test_client())
        crawler.open(links.live(NAME))
        (again,) = (one for one in crawler.callbacks() if ids.LIVE_GAUGE in one["output"])
        used = 0.0
        for beat in range(asks):
            time.sleep(0.25)
            before = time.process_time()
            answer = crawler.call(again, again["inputs"][0], **{ids.LIVE_ASK: beat})
            used += time.process_time() - before
            assert answer.status_code == 200, answer.text
    return used / asks


def _cpu_s(pid: int) -> float:
    """Seconds of the processor that a process and its children have used."""
    found = 0.0
    process = psutil.Process(pid)
    for one in [process, *process.children(recursive=True)]:
        times = one.cpu_times()
        found += times.user + times.system
    return found


def _trace(rate: int) -> float:
    """Bytes of an hour of samples as a finished trace."""
    with tempfile.TemporaryDirectory() as name:
        number = np.arange(3600 * rate)
        level = np.where(number % (12 * rate) < 7 * rate, 45.0, 5.0)
        noise = np.random.default_rng(1).normal(0.0, 0.4, len(number))
        with TraceWriter(Path(name) / "hour.parquet") as writer:
            writer.append(number / rate, np.round(level + noise, 1))
            done = writer.finish()
        return float(done.path.stat().st_size)


def _sender(holes: int = 300, looks: int = 200) -> tuple[Any, ...]:
    """Sends of one new hole each from a station to a server, and looks that find nothing."""
    server = PostgresServer()
    try:
        address = server.new_database()
        pid = int((server._folder / "data" / "postmaster.pid").read_text().splitlines()[0])
        with tempfile.TemporaryDirectory() as name:
            use_server(shop_folder(Path(name) / "office"), address)
            with open_store(shop_folder(Path(name) / "station")) as store:
                store.add_trial(example_trial(NAME))
                store.add_run(NAME, START)
                recording = Recording(uuid.uuid4(), "live", "tcp://mill:1", journal="journals/x")
                store.start_recording(NAME, 1, recording)
                frame = holes_frame(holes)
                folder = shop_folder(Path(name) / "station")
                with closing(Forwarder(folder, address, station="mill")) as sender:
                    sender.round()
                    send_s, wall_s, own_s = [], 0.0, 0.0
                    size = _size(address)
                    for begin in range(0, holes, 10):  # the server's clock is a coarse one
                        before = _server_s(pid)
                        for upto in range(begin + 1, begin + 11):
                            new = frame.iloc[upto - 1 : upto]
                            store.add_holes(NAME, 1, recording.uuid, new, upto)
                            own, began = time.process_time(), time.perf_counter()
                            assert sender.round().sent == 1
                            wall_s += time.perf_counter() - began
                            own_s += time.process_time() - own
                        send_s.append((_server_s(pid) - before) / 10)
                    grown = (_size(address) - size) / holes
                    before = _server_s(pid)
                    for _ in range(looks):
                        sender.round()
                    look_s = (_server_s(pid) - before) / looks
                    links_held = _connections(address)
        return send_s, wall_s / holes, own_s / holes, look_s, links_held, grown
    finally:
        server.stop()


def _server_s(pid: int) -> float:
    process = psutil.Process(pid)
    ended = process.cpu_times()
    return _cpu_s(pid) + ended.children_user + ended.children_system


def _size(address: str) -> int:
    with psycopg.connect(address) as connection:
        found = connection.execute("SELECT pg_database_size(current_database())").fetchone()
    return int(found[0]) if found else 0


def _connections(address: str) -> int:
    query = ("SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
             "AND pid <> pg_backend_pid()")  # fmt: skip
    with psycopg.connect(address) as connection:
        found = connection.execute(query).fetchone()
    return int(found[0]) if found else 0


def _backup(mib: int = 256, rows: int = 50_000) -> tuple[float, float, float]:
    """Seconds a GiB of files for the first backup and the next; rows of the database a second."""
    with tempfile.TemporaryDirectory() as name:
        folder = shop_folder(Path(name) / "shop")
        with open_store(folder) as store:
            store.add_trial(example_trial(NAME))
            store.add_run(NAME, START)
            recording = Recording(uuid.uuid4(), "live", "tcp://mill:1", journal="journals/x")
            store.start_recording(NAME, 1, recording)
            store.add_holes(NAME, 1, recording.uuid, holes_frame(rows), rows)
        began = time.perf_counter()
        back_up_shop(folder, Path(name) / "tables")
        rows_s = time.perf_counter() - began
        for number in range(mib // 8):
            (folder.traces / f"{number}.parquet").write_bytes(os.urandom(8 * 2**20))
        took = []
        for _ in range(2):
            began = time.perf_counter()
            back_up_shop(folder, Path(name) / "all")
            took.append((time.perf_counter() - began - rows_s) * 1024 / mib)
        return took[0], took[1], rows / rows_s

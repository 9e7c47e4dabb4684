"""A whole shop at once: loggers, senders and one PostgreSQL, with kills, cuts and a restart.

``python -m tests.benchmarks.shop_floor`` runs the quick form, ``--full`` fifty loggers for ten
minutes. Every ten seconds one logger is killed and resumed and one network is cut for three
seconds; the server restarts once. The machines begin to talk some seconds after every logger
listens, each at another place of its hole. What came in, what the shop has, how late alarms were
and what it took is printed, and the exit status is 1 when something was lost, doubled or different.
A killed logger may lose one line: the first that is sent after the link has been closed goes to
nobody.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import signal
import socket
import subprocess
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path

import numpy as np

from tests.helpers.bad_network import BadNetwork
from tests.helpers.example_trial import START, example_trial
from tests.helpers.line_sender import ROOT
from tests.helpers.postgres import PostgresServer
from tests.helpers.processor_time import ProcessorTime
from tests.helpers.table_in_docs import put, table
from trials.logger import JournalReader, Kind, LineFormat, Mapping
from trials.store import forward_status, shop_folder, use_server
from trials.workbench import Workbench

RATE = 100
PERIOD, CUT = 600, 350  # lines of one hole, and of its cutting
DISTURB_EVERY_S, CUT_S, SETTLED_S = 10.0, 3.0, 5.0


def line(number: int, ahead: int = 0) -> bytes:
    """Holes of 3.5 s every 6 s; in the middle of each one value over the limit."""
    place = (number + ahead) % PERIOD
    load = 89.0 if place == CUT // 2 else 45.0 + number % 7 / 10 if place < CUT else 5.0
    return b"t=%.2f;load=%.1f;n=%d\n" % (number / RATE, load, number)


def send(count: int, lines: int, notes: Path) -> None:
    """One process that plays every machine; notes when each line was sent, monotonic ns."""
    listeners = [socket.create_server(("127.0.0.1", 0)) for _ in range(count)]
    print(json.dumps([one.getsockname()[1] for one in listeners]), flush=True)
    for one in listeners:
        one.setblocking(False)
    stamps = np.memmap(notes, dtype=np.int64, mode="r+", shape=(count, lines))
    clients: list[socket.socket | None] = [None] * count
    numbers, ended = [0] * count, [False] * count
    waits_for = set(range(count))
    due = time.monotonic()
    while not all(ended):
        for place, listener in enumerate(listeners):
            if ended[place]:
                continue
            client = clients[place]
            if client is None:
                try:
                    client, _ = listener.accept()
                except BlockingIOError:
                    continue
                client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                clients[place] = client
                if waits_for == {place}:  # the last of all, once
                    print("all listen", flush=True)
                    time.sleep(SETTLED_S)  # fifty that start at once are no part of the question
                waits_for.discard(place)
            if waits_for:
                continue
            try:
                client.sendall(line(numbers[place], place * PERIOD // count))
            except OSError:
                client.close()
                clients[place] = None
                continue
            stamps[place, numbers[place]] = time.monotonic_ns()
            numbers[place] += 1
            if numbers[place] == lines:
                client.close()
                ended[place] = True
        due = max(due + 1 / RATE, time.monotonic() - 0.05)
        time.sleep(max(0.0, due - time.monotonic()))


def log(folder: Path, name: str, port: int, resume: bool) -> None:
    """One logger; notes when each alarm was told, by the time of its value."""
    from trials.workbench._alarm_board import AlarmBoard

    tell = AlarmBoard.tell
    notes = (folder / "alarms.txt").open("a")

    def tell_and_note(board: AlarmBoard, event: object) -> None:
        now = time.monotonic_ns()
        tell(board, event)  # type: ignore[arg-type]  # as it is called
        kind, active = getattr(event, "kind", ""), getattr(event, "active", False)
        if kind == "over_limit" and active and getattr(event, "hole", None) is None:
            notes.write(f"{event.time_s} {now}\n")  # type: ignore[attr-defined]  # an AlarmEvent
            notes.flush()

    AlarmBoard.tell = tell_and_note  # type: ignore[assignment,method-assign]  # to measure it
    with Workbench.open(folder) as bench:
        bench.record(
            name, 1, f"tcp://127.0.0.1:{port}", resume=resume, reconnect=False,
            line_format=LineFormat("key=value"), mapping=Mapping.parse("load=load,time=t,unit=%"),
        )  # fmt: skip


def started(*arguments: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", *arguments], cwd=ROOT, stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )  # fmt: skip


def main() -> None:
    read = argparse.ArgumentParser(description=__doc__)
    read.add_argument("what", nargs="*", help="of the parts it is made of; nothing runs it all")
    read.add_argument("--full", action="store_true")
    read.add_argument("--loggers", type=int)
    read.add_argument("--seconds", type=float)
    read.add_argument("--write", type=Path, help="put the table between the marks of this file")
    asked = read.parse_args()
    if asked.what[:1] == ["send"]:
        send(int(asked.what[1]), int(asked.what[2]), Path(asked.what[3]))
    elif asked.what[:1] == ["log"]:
        log(Path(asked.what[1]), asked.what[2], int(asked.what[3]), asked.what[4] == "resume")
    else:
        count = asked.loggers or (50 if asked.full else 3)
        sys.exit(not run(count, asked.seconds or (600.0 if asked.full else 13.0), asked.write))


def run(count: int, seconds: float, write: Path | None) -> bool:
    """The shop for so long, then the wait until all has caught up, then the table."""
    lines = int(seconds * RATE)
    dice = random.Random(1)
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        place = Path(name)
        server = PostgresServer()
        stack.callback(server.stop)
        address = server.new_database()
        database = address.partition("?")[0].rpartition("/")[2]
        shop = place / "shop"
        use_server(shop_folder(shop), address)
        names = [f"machine {one + 1}" for one in range(count)]
        stations = [place / f"station-{one + 1}" for one in range(count)]
        for folder, trial in zip(stations, names, strict=True):
            with Workbench.open(folder) as bench:
                bench.new_trial(example_trial(trial))
                bench.plan_run(trial, START)
        notes = place / "sent.bin"
        np.zeros((count, lines), dtype=np.int64).tofile(notes)
        machines = subprocess.Popen(
            [sys.executable, "-m", "tests.benchmarks.shop_floor", "send", str(count), str(lines),
             str(notes)],
            cwd=ROOT, stdout=subprocess.PIPE,
        )  # fmt: skip
        stack.callback(machines.kill)
        assert machines.stdout is not None
        ports = json.loads(machines.stdout.readline())
        networks = [stack.enter_context(BadNetwork(server.reach)) for _ in range(count)]
        senders = [
            started(
                "trials.cli.app", "--data", str(folder), "forward", "--every", "2", "--to",
                f"postgresql://postgres@127.0.0.1:{network.port}/{database}?sslmode=disable",
                "--files", str(shop), "--station", trial,
            )
            for folder, network, trial in zip(stations, networks, names, strict=True)
        ]  # fmt: skip

        def logger(which: int, how: str) -> subprocess.Popen[bytes]:
            return started(
                "tests.benchmarks.shop_floor", "log", str(stations[which]), names[which],
                str(ports[which]), how,
            )  # fmt: skip

        loggers = [logger(which, "new") for which in range(count)]
        for process in [*senders, *loggers]:
            stack.callback(process.kill)
        assert machines.stdout.readline() == b"all listen\n"
        time.sleep(SETTLED_S)
        took = ProcessorTime()
        for group, processes in (("loggers", loggers), ("senders", senders)):
            for process in processes:
                took.watch(group, process.pid)
        took.watch("machines", machines.pid)
        took.watch("networks", os.getpid())
        took.watch("server", server.pid, children=True)
        took.begin()
        begun = time.monotonic()

        def again(which: int) -> subprocess.Popen[bytes]:
            process = logger(which, "resume")
            stack.callback(process.kill)
            took.watch("loggers", process.pid)
            return process

        killed, cuts, restarts, next_at = 0, 0, 0, begun + min(DISTURB_EVERY_S, seconds / 2)
        while machines.poll() is None:
            time.sleep(0.1)
            took.look(every_s=1.0)
            for which, process in enumerate(loggers):  # one that failed to begin, or was cut short
                if process.poll() not in (None, 0):
                    loggers[which] = again(which)
            if time.monotonic() < next_at:
                continue
            next_at += DISTURB_EVERY_S
            which, other = dice.randrange(count), dice.randrange(count)
            if any((stations[which] / "journals").iterdir()) and loggers[which].poll() is None:
                took.look()
                loggers[which].send_signal(signal.SIGKILL)
                loggers[which].wait()
                loggers[which] = again(which)
                killed += 1
            networks[other].cut()
            cuts += 1
            time.sleep(CUT_S)
            networks[other].mend()
            if not restarts and time.monotonic() - begun >= seconds / 3:
                took.look()
                server.restart()
                took.watch("server", server.pid, children=True)
                restarts = 1
        spent = took.since_begin()
        for which, process in enumerate(loggers):
            if process.wait() != 0:  # killed as its machine fell silent: its journal has all of it
                with Workbench.open(stations[which]) as bench:
                    bench.rebuild(names[which], 1)
        recorded = time.monotonic()
        while not all(caught_up(folder) for folder in stations):
            if time.monotonic() - recorded > 300:
                break
            time.sleep(0.5)
        lag_s = time.monotonic() - recorded
        for process in senders:
            process.send_signal(signal.SIGTERM)
        ended = [process.wait() for process in senders]
        return told(
            place,
            shop,
            stations,
            names,
            notes,
            lines,
            killed,
            cuts,
            restarts,
            lag_s,
            ended,
            spent,
            write,
        )


def caught_up(folder: Path) -> bool:
    """Whether nothing waits, as of a look at the station after its recording."""
    status = forward_status(shop_folder(folder))
    return bool(status and status.linked and not status.waiting and not _changed(folder))


def _changed(folder: Path) -> bool:
    from trials.store._engine import Database
    from trials.store._forward_here import units
    from trials.store._forward_memory import Memory

    memory = Memory(folder / "forward.db", read_only=True)
    own = Database(shop_folder(folder).url)
    try:
        known = memory.signatures()
        with own.reading() as connection:
            return any(
                not (known.get(one.name, ("", None))[1] or "").startswith(one.signature)
                for one in units(connection)
            )
    finally:
        own.close()
        memory.close()


def told(
    place: Path, shop: Path, stations: list[Path], names: list[str], notes: Path, lines: int,
    killed: int, cuts: int, restarts: int, lag_s: float, ended: list[int],
    spent: tuple[dict[str, float], float], write: Path | None,
) -> bool:  # fmt: skip
    """What was lost, doubled, late or different; whether all is as it should be."""
    sent = np.fromfile(notes, dtype=np.int64).reshape(len(stations), lines)
    missing, doubled, different, holes = 0, 0, 0, 0
    late_ms, told_s = [], []
    with Workbench.open(shop) as there:
        for which, (folder, name) in enumerate(zip(stations, names, strict=True)):
            data = b"".join(
                record.payload
                for journal in (folder / "journals").iterdir()
                for record in JournalReader(journal, strict=False)
                if record.kind is Kind.DATA
            )
            found = [int(one) for one in re.findall(rb"n=(\d+)\n", data)]
            missing += lines - len(set(found))
            doubled += len(found) - len(set(found))
            with Workbench.open(folder) as here:
                holes += len(here.holes(name, 1))
                here.export(name, place / "here.zip", replace=True)
            there.export(name, place / "there.zip", replace=True)
            different += (place / "here.zip").read_bytes() != (place / "there.zip").read_bytes()
            for text in (folder / "alarms.txt").read_text().splitlines():
                time_s, heard = text.split()
                told_s.append(float(time_s))
                late_ms.append((int(heard) - sent[which, round(float(time_s) * RATE)]) / 1e6)
    median, late, most = (np.percentile(late_ms, share) for share in (50, 99, 100))
    minutes = np.array(told_s) // 60
    worst = max(np.percentile(np.array(late_ms)[minutes == one], 99) for one in set(minutes))
    total = lines * len(stations)
    seconds = lines / RATE
    groups, busy = spent
    share = {name: 100 * cores for name, cores in groups.items()}
    rows = [
        ("loggers", "", len(stations)),
        ("values a second each, for s", "", f"{RATE}, {seconds:.0f}"),
        ("loggers killed, networks cut, server restarted", "", f"{killed}, {cuts}, {restarts}"),
        ("values in no journal", "at most one for each kill", f"{missing} of {total}"),
        ("values twice in a journal", "0", doubled),
        ("holes found", "", holes),
        ("trials whose package at the shop differs", "0", f"{different} of {len(stations)}"),
        ("all caught up after the last recording, s", "", f"{lag_s:.0f}"),
        ("senders that ended in good order", len(stations), ended.count(0)),
        ("value sent to alarm, ms: median, p99, most", "p99 at most 50",
         f"{median:.0f}, {late:.0f}, {most:.0f} of {len(late_ms)}"),
        ("the same, p99 in the worst minute of the trace", "at most 50", f"{worst:.0f}"),
        ("a logger, with its starts, % of a core", "", f"{share['loggers'] / len(stations):.1f}"),
        ("a sender, % of a core", "", f"{share['senders'] / len(stations):.1f}"),
        ("PostgreSQL; the machines and networks that are played, % of a core", "",
         f"{share['server']:.0f}; {share['machines'] + share['networks']:.0f}"),
        (f"all {os.cpu_count()} cores busy, %", "", f"{100 * busy:.0f}"),
    ]  # fmt: skip
    put(table(("what", "asked", "seen"), rows), write, "shop floor")
    return not (doubled or different or missing > killed)


if __name__ == "__main__":
    main()

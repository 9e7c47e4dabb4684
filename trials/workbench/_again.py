"""Holes of all recordings found again: work shared out, results stored one by one, resumable."""

from __future__ import annotations

import json
import os
import pickle
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import ExitStack, contextmanager
from dataclasses import asdict, replace
from itertools import islice
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from trials.errors import ConflictError, HolewiseError, InputError, require
from trials.store import (
    FileLock,
    FinishedRecording,
    FoundAnew,
    NamedFile,
    RecordedRun,
    Recording,
    file_address,
)
from trials.version import VERSION
from trials.workbench._again_find import (
    AgainFound,
    AgainTask,
    find_again,
    find_some_again,
)
from trials.workbench._alone import run_alone
from trials.workbench._derive import with_figures
from trials.workbench._edits import lay_on_again
from trials.workbench._history_values import FindSettings, FoundAgain, OnAgain
from trials.workbench._rebuild import keep_former, same_holes
from trials.workbench._shop import Shop, expected_hole

Work = Callable[[Iterable[AgainTask]], Iterator[AgainFound]]
_MOST_TOGETHER = 8  # recordings of one task on a cluster
_STORED_TOGETHER = 8  # in one transaction: the disk is waited for once
_AHEAD = 8  # tasks that wait for each worker, so that none idles while some are stored
_FEWEST_EACH = 4  # tasks for each worker of a cluster, so that all end at about the same time


def find_all_again(
    shop: Shop, *, trial: str | None, workers: int | None, scheduler: str | None, fresh: bool,
    settings: FindSettings, on_progress: OnAgain | None,
) -> FoundAgain:  # fmt: skip
    """See `trials.workbench.Workbench.find_all_again`."""
    require(workers is None or workers >= 1, "workers", workers, "1 or more")
    if workers is not None and scheduler is not None:
        raise InputError("workers and a scheduler", got="both", allowed="one of them",
                         do="A cluster brings its own workers.")  # fmt: skip
    asked = shop.store.finished_recordings(trial)
    with FileLock(shop.folder.path / "locks" / "again.lock", "finding all holes again"):
        done = _Done(shop.folder.path / "again.jsonl", trial, settings, fresh)
        ahead = [row for row in asked if str(row.recording) not in done.keys]
        total, same, changed, problems = len(asked), 0, 0, list[str]()
        rows = {(row.trial, row.run): row for row in ahead}
        before = len(asked) - len(ahead)
        with _share_out(workers, scheduler, len(ahead)) as work:
            every = iter(work(_tasks(shop, ahead, settings, problems)))
            for some in iter(lambda: list(islice(every, _STORED_TOGETHER)), []):
                stored = _store([(rows[one.trial, one.run], one) for one in some], shop)
                for found, outcome in zip(some, stored, strict=True):
                    if isinstance(outcome, HolewiseError):
                        problems.append(f"run {found.run} of {found.trial}: {outcome}")
                    else:
                        changed, same = changed + outcome, same + (not outcome)
                        done.add(str(rows[found.trial, found.run].recording))
                    if on_progress is not None:
                        on_progress(before + same + changed + len(problems), total,
                                    f"run {found.run} of {found.trial}")  # fmt: skip
        if not problems:
            done.forget()
    return FoundAgain(len(asked), before, same, changed, tuple(problems))


class _Done:
    """Which recordings an interrupted call has finished: one line each, the first says of what.

    A line is written after its result is stored, so a kill repeats a few recordings at most, which
    changes nothing.
    """

    def __init__(self, path: Path, trial: str | None, settings: FindSettings, fresh: bool) -> None:
        self._path = path
        first = {"version": VERSION, "trial": trial, "settings": asdict(settings)}
        self.keys: set[str] = set()
        lines = [] if fresh or not path.exists() else path.read_text("utf-8").splitlines()
        try:
            if lines and json.loads(lines[0]) == first:
                self.keys = set(lines[1:])
        except ValueError:
            self.keys = set()
        if not self.keys:
            path.write_text(json.dumps(first) + "\n", encoding="utf-8")

    def add(self, key: str) -> None:
        with self._path.open("a", encoding="utf-8") as file:
            file.write(key + "\n")

    def forget(self) -> None:
        self._path.unlink(missing_ok=True)


def _tasks(
    shop: Shop, rows: Iterable[FinishedRecording], settings: FindSettings, problems: list[str]
) -> Iterator[AgainTask]:
    for row in rows:
        try:
            yield _task(shop, row.trial, row.run, settings)
        except HolewiseError as error:
            problems.append(f"run {row.run} of {row.trial}: {error}")


def _task(shop: Shop, trial_name: str, number: int, settings: FindSettings) -> AgainTask:
    found = shop.store.recorded(trial_name, number, holes=False)
    trial, run, gaps = found.trial, found.run, found.gaps
    recording = _finished(found)
    expected = None if settings.by_load_alone else expected_hole(trial, run)
    if expected is not None and settings.filter_delay_s:
        expected = replace(expected, filter_delay_s=settings.filter_delay_s)
    named = NamedFile(recording.trace or "", recording.trace_sha256 or "")
    trace = file_address(shop.folder, named)
    if not recording.mapping.get("cycle"):
        return AgainTask(trial_name, number, trace, recording.trace_sha256, gaps, expected)
    if recording.journal is None:
        raise ConflictError("its cycle was mapped, which is not kept in a trace",
                            do="Import its file again to find its holes again.")  # fmt: skip
    return AgainTask(
        trial_name, number, trace, recording.trace_sha256, gaps, expected,
        str(shop.journal(recording)), dict(recording.line_format), dict(recording.mapping),
    )  # fmt: skip


def _finished(found: RecordedRun) -> Recording:
    recording, run = found.recording, found.run
    if recording is None or recording.trace is None or run.state not in ("drilled", "ended"):
        raise ConflictError(f"it is {run.state}", allowed="a finished recording")
    return recording


def _store(
    some: Sequence[tuple[FinishedRecording, AgainFound]], shop: Shop
) -> list[bool | HolewiseError]:
    """Store in one transaction what is otherwise; whether anything was, or why it could not be."""
    said: list[bool | HolewiseError] = []
    with ExitStack() as held:
        anew = []
        for row, found in some:
            try:
                one = _otherwise(shop, row, found, held)
            except HolewiseError as error:
                said.append(error)
                continue
            said.append(one is not None)
            anew += [] if one is None else [one]
        try:
            shop.store.finish_again(anew)
        except HolewiseError as error:
            if len(some) == 1:
                return [error]
        else:
            return said
    return [_store([one], shop)[0] for one in some]  # one of them is at fault


def _otherwise(
    shop: Shop, row: FinishedRecording, found: AgainFound, held: ExitStack
) -> FoundAnew | None:
    """What is to be stored, with its run held and a copy of what was; None when it is the same."""
    if found.holes is None:
        raise ConflictError(found.problem)
    trial, run = found.trial, found.run
    held.enter_context(run_alone(shop, row.run_uuid, trial, run))
    was = shop.store.recorded(trial, run)
    recording = _finished(was)
    if len(was.holes) == len(found.holes) and same_holes(was.holes, found.holes):
        return None
    if len(was.holes):
        keep_former(shop, trial, run, recording, was.holes, was.gaps, with_trace=False)
    holes, edits, said = lay_on_again(shop, list(was.edits), recording, found.holes)
    return FoundAnew(
        trial, run, recording, found.holes, was.gaps,
        lambda now: with_figures(was.trial, now, holes), edits if said else None,
    )  # fmt: skip


@contextmanager
def _share_out(workers: int | None, scheduler: str | None, count: int) -> Iterator[Work]:
    """Something that does tasks: this process, several of this computer, or a cluster."""
    if scheduler is not None:
        with _client(scheduler) as client:
            yield lambda tasks: _on_cluster(client, tasks, count)
        return
    processes = workers or os.cpu_count() or 1
    if processes == 1:
        yield lambda tasks: map(find_again, tasks)
        return
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        yield lambda tasks: _in_pool(pool, processes, tasks)


def _in_pool(
    pool: ProcessPoolExecutor, workers: int, tasks: Iterable[AgainTask]
) -> Iterator[AgainFound]:
    source = iter(tasks)
    waiting: set[Future[AgainFound]] = set()
    while True:
        room = _AHEAD * workers - len(waiting)
        waiting |= {pool.submit(find_again, task) for task in islice(source, room)}
        if not waiting:
            return
        done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
        for one in done:
            yield one.result()


def _client(scheduler: str) -> Any:
    try:
        import distributed
    except ImportError:
        raise InputError(
            f"--scheduler {scheduler}", got="Dask is not installed",
            allowed="an installation with the extra cluster",
            do='Install it with: pip install "holewise[cluster]"',
        ) from None  # fmt: skip
    try:
        make: Any = distributed.Client  # it has no types
        return make(scheduler, timeout="10s", set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise InputError(
            f"--scheduler {scheduler}", got=str(error).splitlines()[0],
            allowed="the address of a Dask scheduler, such as tcp://server:8786",
        ) from None  # fmt: skip


def _on_cluster(client: Any, tasks: Iterable[AgainTask], count: int) -> Iterator[AgainFound]:
    """Some recordings in each task: handing one on costs nearly as much as a short one takes."""
    import distributed

    source = iter(tasks)
    workers = max(1, sum(client.nthreads().values()))
    together = max(1, min(_MOST_TOGETHER, count // (_FEWEST_EACH * workers)))
    parts = iter(lambda: list(islice(source, together)), [])
    most = _AHEAD * workers

    def hand_on(part: list[AgainTask]) -> Any:
        return client.submit(find_some_again, pickle.dumps(part), pure=False)

    first = [hand_on(part) for part in islice(parts, most)]
    if not first:
        return
    as_completed: Any = distributed.as_completed  # it has no types
    going = as_completed(first, with_results=True, loop=client.loop)
    for _, found in going:
        for part in islice(parts, 1):
            going.add(hand_on(part))
        yield from pickle.loads(found)  # noqa: S301 - what our own workers wrote

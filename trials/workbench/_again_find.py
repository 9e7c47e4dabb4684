"""Holes of one recording found again: what a worker does, in this process or far away."""

from __future__ import annotations

import pickle
from collections.abc import Mapping as AnyMapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pandas as pd

from trials.errors import HolewiseError
from trials.holes import HoleFinder, to_frame
from trials.logger import JournalReader, LineFormat, Mapping, decoder_from, replay
from trials.malloc import set_malloc
from trials.model import ExpectedHole
from trials.store import read_trace_at


@dataclass(frozen=True, slots=True)
class AgainTask:
    """All that a worker needs; it never touches the database.

    Args:
        trial, run: whose recording; trace, sha256: its samples.
        gaps: stretches without samples.
        expected: what a hole should look like; None: it is to be found by the load alone.
        journal: read instead of the trace, where more than samples decides (a mapped cycle).
        line_format, mapping: of the journal.
    """

    trial: str
    run: int
    trace: str
    sha256: str | None
    gaps: tuple[tuple[float, float, str], ...]
    expected: ExpectedHole | None
    journal: str | None = None
    line_format: AnyMapping[str, Any] | None = None
    mapping: AnyMapping[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class AgainFound:
    """Holes that were found, or why none could be."""

    trial: str
    run: int
    holes: pd.DataFrame | None
    problem: str = ""


def find_again(task: AgainTask) -> AgainFound:
    """Find the holes of one recording; a damaged file is told and hurts no other."""
    try:
        finder = HoleFinder(task.expected)
        found = _from_trace(finder, task) if task.journal is None else _from_journal(finder, task)
        return AgainFound(task.trial, task.run, to_frame(found))
    except (HolewiseError, OSError) as error:
        return AgainFound(task.trial, task.run, None, str(error))


def find_some_again(tasks: bytes) -> bytes:
    """Several recordings one after the other, pickled both ways.

    Frames that a cluster packs by itself go over the line in dozens of small parts, which takes it
    a good part of the time that finding the holes does.
    """
    _keep_memory()
    found = [find_again(task) for task in pickle.loads(tasks)]  # noqa: S301 - from our own process
    return pickle.dumps(found)


@cache
def _keep_memory() -> None:
    """Let this process keep its memory between recordings, up to some 130 MB.

    Dask has workers give it back at once; then every array of a trace is fetched page by page from
    the system anew, and finding holes takes half as long again. Once a process.
    """
    set_malloc(own_block_bytes=32 << 20, kept_bytes=128 << 20)


def _from_trace(finder: HoleFinder, task: AgainTask) -> list[Any]:
    samples = read_trace_at(task.trace, task.sha256)
    holes = finder.feed(
        samples["time_s"], samples["load_pct"], [gap[:2] for gap in task.gaps],
        rpm=samples.get("rpm"),
        depth_mm=samples.get("depth_mm"),
    )  # fmt: skip
    return [*holes, *finder.finish()]


def _from_journal(finder: HoleFinder, task: AgainTask) -> list[Any]:
    reader = JournalReader(Path(task.journal or ""), strict=False)
    decoder = decoder_from(
        reader.settings(), line_format=LineFormat.from_dict(task.line_format or {}),
        mapping=Mapping.from_dict(task.mapping or {}),
    )  # fmt: skip
    holes: list[Any] = []
    for batch in [*replay(reader, decoder), decoder.finish(last_line_whole=False)]:
        holes += finder.feed(
            batch.time_s, batch.load_pct, batch.gaps, rpm=batch.rpm, depth_mm=batch.depth_mm,
            in_cycle=batch.in_cycle if len(batch.in_cycle) else None,
        )  # fmt: skip
    return [*holes, *finder.finish()]

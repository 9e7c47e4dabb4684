"""A trial as a package, out of the shop."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import pandas as pd

from trials.errors import ConflictError
from trials.model.plain import to_plain
from trials.sharing import (
    ContentTable,
    FileToPack,
    PackageContent,
    RemovedField,
    photo_name,
    preview,
    removals,
    trace_name,
    without,
    write_package,
)
from trials.store import HOLE_COLUMNS, NamedFile, PackedRow, PackedTrial, local_file, named_photo
from trials.workbench._edits import mended_holes
from trials.workbench._share_values import Exported
from trials.workbench._shop import Shop

Told = Callable[[float], None]


def export(
    shop: Shop,
    name: str,
    path: Path,
    *,
    licence: str,
    traces: bool,
    remove: Sequence[str],
    replace: bool,
    on_progress: Told | None,
) -> Exported:
    """See `trials.workbench.Workbench.export`."""
    came = [one for one in shop.store.taken_in(name) if one.kind == "package"]
    before = {one for package in came for one in package.removed}  # is not known here
    chosen = removals((*remove, *before))
    licence = licence or (came[-1].licence if came else "")
    with shop.store.packing(name) as packed:
        content = content_of(shop, packed, licence=licence, traces=traces)
        content = without(content, chosen)
        size = write_package(path, content, replace=replace, on_progress=on_progress)
    return Exported(path, size, len(content.traces), len(content.photos), content.removed)


def preview_removal(shop: Shop, name: str, remove: Sequence[str]) -> list[RemovedField]:
    """See `trials.workbench.Workbench.preview_removal`."""
    with shop.store.packing(name) as packed:
        return preview(content_of(shop, packed), removals(remove))


def content_of(
    shop: Shop, packed: PackedTrial, *, licence: str = "", traces: bool = True
) -> PackageContent:
    """What a package of a trial holds; every row is read when it is written.

    Raises:
        ConflictError: a run of it is being recorded, so its files are not whole yet.
    """
    name = packed.stored.trial.name
    for row in packed.rows("runs"):
        if row["state"] == "recording":
            raise ConflictError(
                f"run {row['number']} of {name} is being recorded, or its logger was stopped",
                do="Wait for its end, resume it, or end the run; then export the trial.",
            )
    edited = {int(row["run"]) for row in packed.rows("edits")}
    names = {
        (trace.run, trace.recording): trace_name(trace.run, trace.recording)
        for trace in packed.traces
        if traces
    }

    def rows(table: ContentTable) -> Iterable[PackedRow]:
        if table == "holes":
            return _holes(shop, packed, edited)
        if table == "holes_found":
            found = packed.rows("holes") if edited else iter(())
            return (row for row in found if row["run"] in edited)
        if table == "recordings":
            return (
                {**row, "trace": names.get((row["run"], row["recording"]))}
                for row in packed.rows("recordings")
            )
        if table == "drills":
            return ()
        return packed.rows(table)

    return PackageContent(
        packed.stored.uuid,
        packed.stored.created_utc,
        to_plain(packed.stored.trial),
        rows,
        tuple(
            _to_pack(shop, names[(one.run, one.recording)], NamedFile(one.trace, one.sha256 or ""))
            for one in packed.traces
            if traces
        ),
        licence.strip(),
        photos=tuple(
            _to_pack(shop, photo_name(one), named_photo(one))
            for one in sorted({str(row["sha256"]) for row in packed.rows("photos")})
        ),
    )


def _to_pack(shop: Shop, name: str, file: NamedFile) -> FileToPack:
    return FileToPack.on_disk(
        name, str(shop.folder.inside(file.name)), lambda: local_file(shop.folder, file), file.sha256
    )


def _holes(shop: Shop, packed: PackedTrial, edited: set[int]) -> Iterable[PackedRow]:
    """Holes as they are counted, in the order of runs; edits belong to the newest recording."""
    newest = {trace.run: trace.recording for trace in packed.traces}
    done: set[int] = set()
    for row in packed.rows("holes"):
        run = int(row["run"])
        if run not in edited:
            yield row
        elif run not in done:
            done.add(run)
            yield from _counted(shop, packed.stored.trial.name, run, newest.get(run, 1))


def _counted(shop: Shop, trial: str, run: int, recording: int) -> Iterable[PackedRow]:
    for hole in mended_holes(shop, trial, run).to_dict("records"):
        row: PackedRow = {"run": run, "recording": recording}
        for column in HOLE_COLUMNS:
            value = hole[column]
            absent = isinstance(value, float) and pd.isna(value)
            row[column] = None if absent else list(value) if isinstance(value, tuple) else value
        yield row

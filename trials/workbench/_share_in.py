"""A package into the shop: looked through first, then all of it or nothing, and back out again."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from pathlib import Path
from typing import TYPE_CHECKING

from trials.errors import ConflictError, InputError, NotFoundError, require
from trials.model import NO_CURRENCY, CuttingData, Trial
from trials.model.plain import from_plain
from trials.sharing import Package, open_package, verify_package
from trials.store import (
    PackedRow,
    PlainPhoto,
    RowsToPut,
    TableName,
    TakenIn,
    now_utc,
    photo_file,
    write_photo,
)
from trials.workbench import _answers
from trials.workbench._share import Told
from trials.workbench._share_merge import (
    Sides,
    chosen_units,
    compare_sides,
    merge_of,
    recordings_taken,
    renumbered,
)
from trials.workbench._share_values import PackagePreview, RemarkShown
from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.workbench._share_merge import Side

_CUTTING = tuple(field.name for field in fields(CuttingData))


def look(shop: Shop, path: Path, name: str | None, told: Told | None) -> PackagePreview:
    """See `trials.workbench.Workbench.preview_package`."""
    verify_package(path, on_progress=told)
    with open_package(path) as package:
        return _preview(shop, package, name)[0]


def take_in(
    shop: Shop, path: Path, name: str | None, choices: Mapping[str, Side], told: Told | None
) -> PackagePreview:
    """See `trials.workbench.Workbench.import_package`."""
    verify_package(path, on_progress=told)
    with open_package(path) as package:
        found, sides = _preview(shop, package, name)
        if found.nothing_to_do:
            return found
        _put(shop, package, found, sides, choices)
        return found


def take_out(shop: Shop, trial: str) -> TakenIn:
    """See `trials.workbench.Workbench.undo_import`."""
    taken = shop.store.taken_in(trial)
    if not taken:
        raise NotFoundError(
            f"package or sheet that came into {trial}", do="All of it was begun in this shop."
        )
    last = taken[-1]
    photos = {one.sha256 for one in shop.store.photos(trial)}
    for name in shop.store.take_out(trial, last):
        shop.folder.inside(name).unlink(missing_ok=True)
    kept = {one.sha256 for stored in shop.store.trials() for out in (False, True)
            for one in shop.store.photos(stored.trial.name, removed=out)}  # fmt: skip
    for sha256 in photos - kept:
        photo_file(shop.folder.photos, sha256).unlink(missing_ok=True)
    return last


def _preview(shop: Shop, package: Package, name: str | None) -> tuple[PackagePreview, Sides | None]:
    trial = _trial(package)
    here = next((one for one in shop.store.trials() if one.uuid == package.trial_uuid), None)
    runs = list(package.rows("runs"))
    photos = [row["uuid"] for row in package.rows("photos")]
    remarks, proposals = list(package.rows("remarks")), list(package.rows("proposals"))
    if here is None:
        trial = replace(trial, name=name or trial.name)
        preview = PackagePreview(
            package.path.name, trial.name, True, len(runs), tuple(int(r["number"]) for r in runs),
            (), package.licence, package.removed, (), len(photos), _remarks(package, remarks, {}),
            _answers.incoming(trial, package.path.name, proposals, {}),
        )  # fmt: skip
        return preview, None
    with shop.store.packing(here.trial.name) as packed:
        sides = compare_sides(shop, packed, package)
    sides.known["photos"] |= {one.uuid for one in shop.store.photos(here.trial.name, removed=True)}
    fresh = [row for row in proposals if row["uuid"] not in sides.known["proposals"]]
    preview = PackagePreview(
        package.path.name, here.trial.name, False, len(runs), sides.new_runs, sides.differences,
        package.licence, package.removed, sides.renumbered,
        len(set(photos) - sides.known["photos"]),
        _remarks(package, [row for row in remarks if row["uuid"] not in sides.known["remarks"]],
                 sides.number_here),
        _answers.incoming(_with_new_drills(here.trial, sides), package.path.name, fresh,
                          sides.drills),
    )  # fmt: skip
    return preview, sides


def _with_new_drills(trial: Trial, sides: Sides) -> Trial:
    merged = merge_of(trial, sides, ()).trial
    return trial if merged is None else merged


def _remarks(
    package: Package, rows: Iterable[PackedRow], numbers: Mapping[int, int]
) -> tuple[RemarkShown, ...]:
    return tuple(
        RemarkShown(numbers.get(row["run"], row["run"]), row["text"], row["made_by"],
                    row["made_utc"], package.path.name)
        for row in rows
    )  # fmt: skip


def _trial(package: Package) -> Trial:
    plain = dict(package.plain)
    if "prices" in package.removed:
        # Without any money nothing here can be mistaken for a cost: ISO 4217 "no currency".
        plain["economics"] = {
            "machine_rate_per_min": 0.0, **plain.get("economics", {}), "currency": NO_CURRENCY,
        }  # fmt: skip
    return from_plain(Trial, plain, package.path.name)


def _put(
    shop: Shop, package: Package, found: PackagePreview, sides: Sides | None,
    choices: Mapping[str, Side],
) -> None:  # fmt: skip
    taken = TakenIn("package", package.digest, package.trial_uuid, package.path.name,
                    package.licence, package.removed)  # fmt: skip
    written: list[Path] = []
    try:
        if sides is None:
            incoming = _incoming(shop, package, None, set(), written)
            runs = [str(row["uuid"]) for row in package.rows("runs")]
            photos = [str(row["uuid"]) for row in package.rows("photos")]
            trial = replace(_trial(package), name=found.trial)
            shop.store.put_trial(
                trial, package.trial_uuid, package.created(), incoming,
                replace(taken, made={"trial": True, "runs": runs, "photos": photos}),
            )  # fmt: skip
            return
        units = chosen_units(sides, choices)
        stored = shop.store.trial(found.trial).trial
        merge = merge_of(stored, sides, units)
        if not units and not found.adds:
            return
        incoming = _incoming(shop, package, sides, recordings_taken(units), written)
        shop.store.put_merge(found.trial, merge, incoming, taken)
    except BaseException:
        for path in written:
            path.unlink(missing_ok=True)
        raise


def _incoming(
    shop: Shop, package: Package, sides: Sides | None, chosen: set[uuid.UUID],
    written: list[Path],
) -> RowsToPut:  # fmt: skip
    """Rows of the package that come in, with the numbers of runs that they have here."""
    known = {} if sides is None else sides.known
    new = {row["number"] for row in package.rows("runs")
           if row["uuid"] not in known.get("runs", set())}  # fmt: skip
    pairs: dict[tuple[int, int], tuple[int, int]] = {}
    keys: dict[tuple[int, int], uuid.UUID] = {}
    traces: dict[uuid.UUID, tuple[str, str]] = {}
    for row in package.rows("recordings"):
        if row["run"] in new or row["uuid"] in chosen:
            number = row["run"] if sides is None else sides.number_here[row["run"]]
            pair = (row["run"], row["recording"])
            pairs[pair] = (number, row["recording"])
            keys[pairs[pair]] = row["uuid"]
            if row["trace"]:
                traces[row["uuid"]] = _copy_trace(shop, package, row, written)
    edited = {(row["run"], row["recording"]) for row in package.rows("edits")}
    for sha256 in {row["sha256"] for row in package.rows("photos")
                   if row["uuid"] not in known.get("photos", set())}:  # fmt: skip
        _keep_photo(shop, package, sha256, written)

    def of_package(table: TableName) -> Iterable[PackedRow]:
        source = package.rows(table)
        if table == "holes" and edited:
            # As they were found: what was mended is told by the edits.
            yield from (row for row in source if (row["run"], row["recording"]) not in edited)
            source = (row for row in package.rows("holes_found")
                      if (row["run"], row["recording"]) in edited)  # fmt: skip
        yield from source

    def rows(table: TableName) -> Iterable[PackedRow]:
        for row in of_package(table):
            if table in ("photos", "remarks", "proposals"):
                wanted = row["uuid"] not in known.get(table, set())
            elif table == "runs":
                wanted = row["number"] in new
            elif table == "wear":
                wanted = row["run"] in new
            else:
                wanted = (row["run"], row["recording"]) in pairs
            if wanted:
                yield _as_stored(table, row, traces, package, sides)

    def here(table: TableName) -> Iterable[PackedRow]:
        return rows(table) if sides is None else renumbered(rows(table), sides.number_here)

    return RowsToPut(here, keys)


def _as_stored(
    table: TableName, row: PackedRow, traces: Mapping[uuid.UUID, tuple[str, str]],
    package: Package, sides: Sides | None,
) -> PackedRow:  # fmt: skip
    now = now_utc()
    if table == "holes":
        _check_hole(row, package)
    if table == "recordings":
        name, sha256 = traces.get(row["uuid"], (None, None))
        row = {key: value for key, value in row.items() if key != "trace"}
        row |= {"journal": None, "trace": name, "trace_sha256": sha256,
                "started_utc": row["started_utc"] or now,
                "finished_utc": row["finished_utc"] or now}  # fmt: skip
    if table in ("alarms", "edits"):
        time = "began_utc" if table == "alarms" else "made_utc"
        row = {**row, time: row[time] or now}
    if sides is not None and table in ("runs", "proposals"):
        row = {**row, "drill": sides.drills.get(row["drill"], row["drill"])}
    return row


def _keep_photo(shop: Shop, package: Package, sha256: str, written: list[Path]) -> None:
    """Keep a picture; it was looked at when the package was verified."""
    path = photo_file(shop.folder.photos, sha256)
    if not path.exists():
        written.append(path)
    write_photo(shop.folder.photos, PlainPhoto(package.photo_bytes(sha256), sha256, 0, 0))


def _copy_trace(
    shop: Shop, package: Package, row: PackedRow, written: list[Path]
) -> tuple[str, str]:
    target = shop.folder.traces / f"{row['uuid']}.parquet"
    if target.exists():
        raise ConflictError(
            f"recording {row['uuid']} is in this shop already", do="Nothing was taken in."
        )
    written.append(target)
    with target.open("xb") as file:
        digest = package.copy(row["trace"], file)
    return f"{shop.folder.traces.name}/{target.name}", digest


def _check_hole(row: PackedRow, package: Package) -> None:
    where = f"{package.path.name}, holes.csv, run {row['run']}, hole {row['number']}"
    if row["end_s"] < row["start_s"]:
        raise InputError(where, got=f"{row['start_s']:g} to {row['end_s']:g} s",
                         allowed="an end after the start")  # fmt: skip
    sound = 0 <= row["confidence"] <= 1 and -1000 <= row["peak_pct"] <= 10_000
    require(row["number"] >= 1 and sound,
            where, f"confidence {row['confidence']:g}, peak {row['peak_pct']:g} %",
            "a number from 1, confidence 0 to 1, a load")  # fmt: skip

"""A package into the shop: looked through first, then all of it or nothing, and back out again."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from trials.errors import ConflictError, InputError, NotFoundError, require, shorten
from trials.model import Trial
from trials.model.plain import from_plain, to_plain
from trials.sharing import NO_CURRENCY, Package, open_package, verify_package
from trials.store import Merge, PackedRow, RowsToPut, TableName, TakenIn, now_utc
from trials.workbench._share import Told
from trials.workbench._share_values import Difference, PackagePreview
from trials.workbench._shop import Shop


def look(shop: Shop, path: Path, name: str | None, told: Told | None) -> PackagePreview:
    """See `trials.workbench.Workbench.preview_package`."""
    verify_package(path, on_progress=told)
    with open_package(path) as package:
        return _preview(shop, package, name)


def take_in(shop: Shop, path: Path, name: str | None, told: Told | None) -> PackagePreview:
    """See `trials.workbench.Workbench.import_package`."""
    verify_package(path, on_progress=told)
    with open_package(path) as package:
        found = _preview(shop, package, name)
        if found.nothing_to_do:
            return found
        if found.differences:
            first = found.differences[0]
            raise ConflictError(
                f"{path.name}: {len(found.differences)} values differ from those of {found.trial} "
                f"here, such as {first.place}, {first.field}: {shorten(first.here)} here, "
                f"{shorten(first.there)} there",
                do="Look at them side by side with --preview. Runs that are only in the package "
                "are added with --new-runs-only.",
            )
        _put(shop, package, found)
        return found


def add_new_runs(shop: Shop, path: Path, told: Told | None) -> PackagePreview:
    """Take only what is not here yet; what differs stays as it is here."""
    verify_package(path, on_progress=told)
    with open_package(path) as package:
        found = _preview(shop, package, None)
        if found.new_runs:
            _put(shop, package, found)
        return found


def take_out(shop: Shop, trial: str) -> TakenIn:
    """See `trials.workbench.Workbench.undo_package`."""
    packages = shop.store.taken_in(trial)
    if not packages:
        raise NotFoundError(f"package that {trial} came from", do="It was begun in this shop.")
    last = packages[-1]
    for name in shop.store.take_out(trial, last):
        shop.folder.inside(name).unlink(missing_ok=True)
    return last


def _preview(shop: Shop, package: Package, name: str | None) -> PackagePreview:
    trial = _trial(package)
    here = next((one for one in shop.store.trials() if one.uuid == package.trial_uuid), None)
    rows = list(package.rows("runs"))
    if here is None:
        trial = replace(trial, name=name or trial.name)
        return PackagePreview(
            package.path.name, trial.name, True, len(rows), tuple(int(r["number"]) for r in rows),
            (), package.licence, package.removed,
        )  # fmt: skip
    with shop.store.packing(here.trial.name) as packed:
        removed = set(package.removed)
        differences = _trial_differences(packed.stored.trial, package) if not removed else []
        mine = {row["uuid"]: row for row in packed.rows("runs")}
        taken = {row["number"] for row in mine.values()}
        new = []
        for row in rows:
            if row["uuid"] in mine:
                differences += _row_differences(mine[row["uuid"]], row, removed)
            elif row["number"] in taken:
                raise ConflictError(
                    f"run {row['number']} of {here.trial.name} is another one here than in "
                    f"{package.path.name}",
                    do="Take the package into a shop of its own with --data to look at it.",
                )
            else:
                new.append(int(row["number"]))
        for key, table in ((("uuid",), "wear"), (("run", "recording", "position"), "edits")):
            differences += _table_differences(packed.rows, package, table, key, set(new))  # type: ignore[arg-type]  # both are tables
    return PackagePreview(
        package.path.name, here.trial.name, False, len(rows), tuple(new), tuple(differences),
        package.licence, package.removed,
    )  # fmt: skip


def _trial(package: Package) -> Trial:
    plain = dict(package.plain)
    if "prices" in package.removed:
        # Without any money nothing here can be mistaken for a cost: ISO 4217 "no currency".
        plain["economics"] = {
            "machine_rate_per_min": 0.0, **plain.get("economics", {}), "currency": NO_CURRENCY,
        }  # fmt: skip
    return from_plain(Trial, plain, package.path.name)


def _trial_differences(here: Trial, package: Package) -> list[Difference]:
    mine, theirs = to_plain(here), to_plain(replace(_trial(package), name=here.name))
    return [
        Difference("trial", name, str(mine.get(name, "–")), str(theirs.get(name, "–")))
        for name in sorted(set(mine) | set(theirs))
        if mine.get(name) != theirs.get(name)
    ]


def _row_differences(here: PackedRow, there: PackedRow, removed: set[str]) -> list[Difference]:
    texts = {"note", "batch", "machine"} if removed else set()
    return [
        Difference(f"run {here['number']}", name, str(value), str(there.get(name)))
        for name, value in here.items()
        if name not in texts
        and value != there.get(name)
        and not (removed and there.get(name) is None)
    ]


def _table_differences(
    here: Any, package: Package, table: TableName, key: tuple[str, ...], new: set[int]
) -> list[Difference]:
    mine = {tuple(row[name] for name in key): row for row in here(table)}
    found = []
    for row in package.rows(table):
        if row["run"] in new:
            continue
        known = mine.get(tuple(row[name] for name in key))
        place = f"run {row['run']}, {table}"
        if known is None:
            found.append(Difference(place, "row", "–", f"hole {row.get('hole', '')}".strip()))
        elif not package.removed:
            found += [
                Difference(place, name, str(known[name]), str(row[name]))
                for name in row
                if known[name] != row[name]
            ]
    return found


def _put(shop: Shop, package: Package, found: PackagePreview) -> None:
    now = now_utc()
    wanted = set(found.new_runs)
    edited = {row["run"] for row in package.rows("edits")}
    keys: dict[tuple[int, int], uuid.UUID] = {}
    traces: dict[uuid.UUID, tuple[str, str]] = {}
    written: list[Path] = []
    try:
        for row in package.rows("recordings"):
            if row["run"] not in wanted:
                continue
            keys[(row["run"], row["recording"])] = row["uuid"]
            if row["trace"]:
                traces[row["uuid"]] = _copy_trace(shop, package, row, written)

        def rows(table: TableName) -> Iterable[PackedRow]:
            source = package.rows(table)
            if table == "holes" and edited:
                counted = (row for row in source if row["run"] not in edited)
                source = (row for part in (counted, package.rows("holes_found")) for row in part)
            for row in source:
                if table in ("remarks", "proposals"):
                    yield row
                    continue
                if (row["number"] if table == "runs" else row["run"]) not in wanted:
                    continue
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
                yield row

        incoming = RowsToPut(rows, keys)
        made: dict[str, Any] = {"runs": []}
        stored = TakenIn(
            "package", package.digest, package.trial_uuid, package.path.name, package.licence,
            package.removed, made,
        )  # fmt: skip
        if found.new_trial:
            made["trial"] = True
            created = package.created()
            trial = replace(_trial(package), name=found.trial)
            made["runs"] = [str(row["uuid"]) for row in package.rows("runs")]
            shop.store.put_trial(trial, package.trial_uuid, created, incoming, stored)
        else:
            shop.store.put_merge(found.trial, Merge(), incoming, stored)
    except BaseException:
        for path in written:
            path.unlink(missing_ok=True)
        raise


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
        digest = package.copy_trace(row["trace"], file)
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

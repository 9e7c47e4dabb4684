"""A whole shop as a copy that opens by itself, and back again."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from sqlalchemy import create_engine

from trials.errors import StoreError
from trials.store import _schema as schema
from trials.store._engine import Database
from trials.store._errors import disk_error
from trials.store._file_rows import select_named
from trials.store._folder import ShopFolder
from trials.store._objects import NamedFile, Objects
from trials.store._shop_files import files_place, local_file

LIST = "backup.json"
_LEFT_OUT = ("holewise.db", "holewise.db-wal", "holewise.db-shm", "database.toml", "files.toml",
             LIST, "dashboard.key", "forward.db", "forward.db-wal", "forward.db-shm")  # fmt: skip
_LEFT_OUT_FOLDERS = ("locks", "backups", "cache")
_TRIES = 3  # a trace may be replaced while it is being copied
_BLOCK = 1 << 20

OnShare = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class BackedUp:
    """What a backup holds: where, how many files, how many bytes, of which revision."""

    folder: Path
    files: int
    size: int
    revision: str


def back_up_shop(
    folder: ShopFolder, target: Path, on_share: OnShare | None = None, *,
    leave_objects: bool = False,
) -> BackedUp:  # fmt: skip
    """Copy a shop, also while it is used, into a folder that is a data folder of its own.

    The database is copied first and as one view, whatever engine it is in; then every file. A
    file whose copy of the same size and time is there already is not copied again. Traces are held
    against the checksums that the copied database knows, and every file is listed with its SHA-256
    in ``backup.json``. What lies on an object store only is fetched: the copy needs none.

    Args:
        folder: the shop.
        target: a new folder, or one that an earlier backup of this shop made.
        on_share: told the share of the files that is done.
        leave_objects: what lies on the object store stays there alone; the copy reads it from
            there.

    Raises:
        StoreError: the target holds something else or lies within the shop, the disk refuses, or
            a trace does not match what the database says of it.
    """
    target = target.expanduser().absolute()
    there = ShopFolder(target)
    if target.is_relative_to(folder.path) or folder.path.is_relative_to(target):
        raise StoreError(
            f"backup {target}", got="a folder within the data folder, or around it",
            allowed="a folder elsewhere, best on another disk",
        )  # fmt: skip
    if target.exists() and (not target.is_dir() or not _is_ours_or_empty(target)):
        raise StoreError(
            f"backup {target}", got="something else lies there",
            allowed="a new folder, or one of an earlier backup",
        )  # fmt: skip
    try:
        target.mkdir(parents=True, exist_ok=True)
        (target / LIST).unlink(missing_ok=True)  # until the end it is no whole backup
        there.files_address.unlink(missing_ok=True)
        for _ in range(_TRIES):
            _copy_database(folder, there)
            away = _away(folder, there)
            left = away if leave_objects else []
            sums = _copy_files(folder, target, [] if leave_objects else away, on_share)
            sums |= _copy_place(folder, there) if left else {}
            wrong = _wrong_traces(folder, there, sums, left)
            if not wrong:
                break
        else:
            raise StoreError(
                f"backup {target}: a trace does not match what the database says of it",
                got=", ".join(sorted(wrong)[:5]), do="Run 'holewise doctor' on the shop.",
            )  # fmt: skip
        sums[there.database.name] = _sum_of(there.database)
        said = {"revision": schema.HEAD, "files": dict(sorted(sums.items()))}
        partial = target / f"{LIST}.partial"
        partial.write_text(json.dumps(said, indent=1), encoding="utf-8")
        partial.replace(target / LIST)
    except OSError as error:
        raise disk_error("backup", target, error) from error
    size = sum((target / name).stat().st_size for name in sums)
    return BackedUp(target, len(sums), size, schema.HEAD)


def restore_shop(backup: Path, folder: Path, on_share: OnShare | None = None) -> BackedUp:
    """Make a data folder from a backup, every file checked against its list.

    Args:
        backup: what `back_up_shop` made.
        folder: a data folder that is not there yet, or is empty.
        on_share: told the share of the files that is done.

    Raises:
        StoreError: no whole backup, a file of it is gone or changed, or the folder is not empty.
    """
    said = _read_list(backup)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise StoreError(
            f"data folder {folder}", got="it is not empty", allowed="a new or empty folder",
            do="Choose another one with --data. Nothing was changed.",
        )  # fmt: skip
    names: dict[str, str] = said["files"]
    size = 0
    try:
        for done, (name, expected) in enumerate(names.items(), 1):
            source, target = _inside(backup, name), _inside(folder, name)
            target.parent.mkdir(parents=True, exist_ok=True)
            if not source.is_file() or _copy(source, target) != expected:
                raise StoreError(
                    f"backup {backup}: {name} is gone or was changed",
                    do="Take an earlier backup. What was restored so far is not whole: remove "
                    f"{folder}.",
                )
            size += target.stat().st_size
            if on_share is not None:
                on_share(done / len(names))
    except OSError as error:
        raise disk_error("data folder", folder, error) from error
    return BackedUp(folder, len(names), size, str(said["revision"]))


def _is_ours_or_empty(target: Path) -> bool:
    names = {entry.name for entry in target.iterdir()}
    return not names or LIST in names or f"{LIST}.partial" in names or "holewise.db" in names


def _read_list(backup: Path) -> dict[str, Any]:
    try:
        said = json.loads((backup / LIST).read_text(encoding="utf-8"))
        files = said["files"]
        if not all(isinstance(one, str) for pair in files.items() for one in pair):
            raise ValueError("a name or checksum that is none")
    except OSError as error:
        raise StoreError(
            f"backup {backup}: it has no {LIST}", got=error.strerror,
            allowed="a folder that 'holewise backup' made to its end",
        ) from error  # fmt: skip
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise StoreError(f"backup {backup}: its {LIST} is damaged", got=str(error)) from error
    return dict(said)


def _inside(folder: Path, name: str) -> Path:
    path = (folder / PurePosixPath(name)).resolve()
    if not path.is_relative_to(folder.resolve()):
        raise StoreError(f"name in {LIST}", got=name, allowed="a name inside the backup")
    return path


def _copy_database(folder: ShopFolder, there: ShopFolder) -> None:
    database = Database(folder.url)
    try:
        schema.check_schema(database)
        copy = schema.backup(database, there.path)
    finally:
        database.close()
    for suffix in ("-wal", "-shm"):
        there.database.with_name(there.database.name + suffix).unlink(missing_ok=True)
    copy.replace(there.database)


def _files(folder: Path) -> Iterator[tuple[str, Path]]:
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder)
        if not path.is_file() or path.is_symlink() or name.parts[0] in _LEFT_OUT_FOLDERS:
            continue
        if str(name) not in _LEFT_OUT and not name.name.endswith(".partial"):
            yield name.as_posix(), path


def _away(folder: ShopFolder, there: ShopFolder) -> list[NamedFile]:
    """What is not here and may lie on an object store."""
    if files_place(folder) is None:
        return []
    return [one for one in _named(there) if not folder.inside(one.name).is_file()]


def _copy_place(folder: ShopFolder, there: ShopFolder) -> dict[str, str]:
    """The address of the object store, which this copy needs."""
    copy = there.files_address
    return {copy.name: _copy(folder.files_address, copy)}


def _copy_files(
    folder: ShopFolder, target: Path, away: list[NamedFile], on_share: OnShare | None
) -> dict[str, str]:
    """Copy every file; what was taken out of the shop since goes. The SHA-256 of each."""
    found = list(_files(folder.path))
    names = {name for name, _ in found} | {one.name for one in away}
    for name, path in list(_files(target)):
        if name not in names:
            path.unlink()
    sums = {one.name: _fetch(folder, one, target / one.name) for one in away}
    for done, (name, path) in enumerate(found, 1):
        copy = target / name
        copy.parent.mkdir(parents=True, exist_ok=True)
        try:
            sums[name] = _sum_of(copy) if _same(path, copy) else _copy(path, copy)
        except FileNotFoundError:
            continue  # replaced or removed since it was listed
        if on_share is not None:
            on_share(done / len(found))
    return sums


def _fetch(folder: ShopFolder, file: NamedFile, copy: Path) -> str:
    """What lies on the object store: from the copy of the last backup, from here, or from there."""
    if copy.is_file() and _sum_of(copy) == file.sha256:
        return file.sha256
    source = local_file(folder, file)
    copy.parent.mkdir(parents=True, exist_ok=True)
    return _copy(source, copy)


def _same(path: Path, copy: Path) -> bool:
    if not copy.is_file():
        return False
    one, other = path.stat(), copy.stat()
    return one.st_size == other.st_size and int(one.st_mtime) == int(other.st_mtime)


def _copy(source: Path, target: Path) -> str:
    """Copy one file with its time and rights, through to the disk; its SHA-256 as it was read."""
    partial = target.with_name(target.name + ".partial")
    digest = hashlib.sha256()
    with source.open("rb") as reading, partial.open("wb") as writing:
        while block := reading.read(_BLOCK):
            digest.update(block)
            writing.write(block)
        writing.flush()
        os.fsync(writing.fileno())
    shutil.copystat(source, partial)
    partial.replace(target)
    return digest.hexdigest()


def _sum_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _wrong_traces(
    folder: ShopFolder, there: ShopFolder, sums: dict[str, str], left: list[NamedFile]
) -> list[str]:
    """Traces of finished recordings whose copies are absent or differ."""
    place = files_place(folder) if left else None
    objects = {} if place is None else Objects(place.address).sizes()
    stay = {one.name for one in left if one.key in objects}
    return [
        one.name for one in _named(there)
        if one.name.startswith("traces/") and one.name not in stay
        and sums.get(one.name) != one.sha256
    ]  # fmt: skip


def _named(there: ShopFolder) -> list[NamedFile]:
    """The files that the copied database names."""
    engine = create_engine(there.url)
    try:
        with engine.connect() as connection:
            return select_named(connection)
    finally:
        engine.dispose()

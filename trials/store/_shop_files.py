"""Traces and photos of a shop: here, or on the object store that the data folder names.

A recording writes here, as it does without one; what is here is read here. What is not is fetched
into ``cache/`` under its checksum, whole and checked, and read from there like any other file.
"""

from __future__ import annotations

import os
import time
import tomllib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pandas as pd
import tomli_w

from trials.errors import ConflictError, InputError, StoreError, require
from trials.store._errors import disk_error
from trials.store._folder import ShopFolder
from trials.store._lock import FileLock
from trials.store._objects import NamedFile, Objects, objects_address
from trials.store._traces import read_trace

KEEP_GIB = 20.0
_IN_USE_S = 600.0  # what was used so lately may still be read
OnShare = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class FilesPlace:
    """The object store of a data folder, and how much of it is kept here, GiB."""

    address: str
    keep_gib: float


@dataclass(frozen=True, slots=True)
class FilesSent:
    """What sending did: files sent and bytes, files that were there, local copies let go, and
    names of files that are neither here nor there."""

    sent: int
    size: int
    there: int
    let_go: int
    nowhere: tuple[str, ...]


def files_place(folder: ShopFolder) -> FilesPlace | None:
    """What ``files.toml`` of a data folder says; None without one.

    Raises:
        StoreError: the file cannot be read, or names nothing that can be used.
    """
    path = folder.files_address
    try:
        said = tomllib.loads(path.read_text(encoding="utf-8"))
        keep = said.get("keep_gib", KEEP_GIB)
        if not isinstance(said.get("url"), str) or not isinstance(keep, int | float):
            raise ValueError('it wants url = "…" and perhaps keep_gib = 20.0')
        return FilesPlace(objects_address(said["url"]), float(keep))
    except FileNotFoundError:
        return None
    except OSError as error:
        raise disk_error("address of the object store", path, error) from error
    except (ValueError, InputError) as error:
        raise StoreError(
            f"address of the object store in {path}", got=str(error),
            do="Mend the file, or say it anew: holewise files use s3://bucket/shop.",
        ) from error  # fmt: skip


def use_objects(folder: ShopFolder, address: str, keep_gib: float = KEEP_GIB) -> FilesPlace:
    """Keep the shop's files on an object store from now on; nothing is sent by that yet.

    Raises:
        InputError: no address, or it lies within the data folder.
        StoreError: the store cannot be reached, or does not allow all that is needed.
    """
    require(keep_gib > 0, "--keep-gib", keep_gib, "more than 0 GiB")
    place = FilesPlace(objects_address(address), keep_gib)
    if "://" not in place.address and Path(place.address).is_relative_to(folder.path):
        raise InputError("address of the object store", got=place.address,
                         allowed="a place outside the data folder")  # fmt: skip
    Objects(place.address).probe()
    partial = folder.files_address.with_suffix(".partial")
    try:
        partial.write_text(tomli_w.dumps({"url": place.address, "keep_gib": keep_gib}), "utf-8")
        partial.replace(folder.files_address)
    except OSError as error:
        raise disk_error("address of the object store", folder.files_address, error) from error
    return place


def use_no_objects(
    folder: ShopFolder, named: Iterable[NamedFile], on_share: OnShare | None = None
) -> int:
    """Bring every file back into the data folder, and use no object store any more; how many.

    Raises:
        ConflictError: none is used.
        StoreError: a file cannot be had; then the object store stays in use.
    """
    place = files_place(folder)
    if place is None:
        raise ConflictError(f"data folder {folder.path}", got="all its files are here already")
    objects = Objects(place.address)
    missing = [one for one in named if not folder.inside(one.name).is_file()]
    for done, file in enumerate(missing, 1):
        objects.fetch(file, folder.inside(file.name))
        if on_share is not None:
            on_share(done / len(missing))
    folder.files_address.unlink()
    return len(missing)


def local_file(folder: ShopFolder, file: NamedFile) -> Path:
    """The path of a file that the store names; fetched when it is not here.

    Without an object store it is the path in the data folder, whether or not a file lies there.

    Raises:
        StoreError: it is not here, and cannot be had from the object store.
    """
    own = folder.inside(file.name)
    if own.exists() or not file.sha256:
        return own
    copy = _copy(folder, file)
    if copy.exists():
        os.utime(copy)  # used now: it goes last when room is made
        return copy
    place = files_place(folder)
    if place is None:
        return own
    Objects(place.address).fetch(file, copy)
    _make_room(folder, place.keep_gib, ())
    return copy


def file_address(folder: ShopFolder, file: NamedFile) -> str:
    """Where a worker on another computer reads a file: its path here, or its address."""
    own = folder.inside(file.name)
    place = None if own.exists() or not file.sha256 else files_place(folder)
    return str(own) if place is None else Objects(place.address).address_of(file)


def read_trace_at(address: str, sha256: str | None) -> pd.DataFrame:
    """Read a trace from a path, or from an address of an object store; checked either way."""
    if "://" not in address or sha256 is None:
        return read_trace(Path(address), sha256)
    import tempfile

    place, kind, name = address.rsplit("/", 2)
    with tempfile.TemporaryDirectory(prefix="holewise-") as folder:
        path = Path(folder) / name
        Objects(place).fetch(NamedFile(f"{kind}/{name}", sha256), path)
        return read_trace(path)  # its checksum was compared a moment ago


def send_files(
    folder: ShopFolder, named: Iterable[NamedFile], on_share: OnShare | None = None
) -> FilesSent:
    """Send what is here and not there, then let old copies here go above what is to be kept.

    It can be broken off at any moment and begun again; what is there is not sent twice.

    Raises:
        ConflictError: another process does it, or no object store is used.
        StoreError: the store cannot be reached or used, or a file here is damaged.
    """
    place = files_place(folder)
    if place is None:
        raise ConflictError(f"data folder {folder.path}", got="no object store",
                            do="Name one first: holewise files use s3://bucket/shop.")  # fmt: skip
    objects = Objects(place.address)
    with FileLock(folder.path / "locks" / "files.lock", f"sending files of {folder.path}"):
        wanted = list(named)
        there = objects.sizes()
        nowhere: list[str] = []
        sent = size = known = 0
        for done, file in enumerate(wanted, 1):
            own = folder.inside(file.name)
            own_size = own.stat().st_size if own.is_file() else None
            if file.key in there and own_size in (None, there[file.key]):
                known += 1
            elif own_size is None:
                nowhere.append(file.name)
            elif objects.send(file, own):
                there[file.key] = own_size
                sent, size = sent + 1, size + own_size
            if on_share is not None:
                on_share(done / len(wanted))
        old = [one for one in wanted if one.key in there]
        let_go = _make_room(folder, place.keep_gib, old, objects)
    return FilesSent(sent, size, known, let_go, tuple(nowhere))


def files_waiting(folder: ShopFolder, named: Iterable[NamedFile]) -> tuple[int, tuple[str, ...]]:
    """How many files wait to be sent to an object store, and names of those that are neither here
    nor there."""
    place = files_place(folder)
    there = {} if place is None else Objects(place.address).sizes()
    missing = [one for one in named if one.key not in there]
    nowhere = tuple(one.name for one in missing if not folder.inside(one.name).is_file())
    return 0 if place is None else len(missing) - len(nowhere), nowhere


def _copy(folder: ShopFolder, file: NamedFile) -> Path:
    return folder.cache / file.key


def _make_room(
    folder: ShopFolder, keep_gib: float, sent: Iterable[NamedFile], objects: Objects | None = None
) -> int:
    """Let copies go that lie on the object store too, those not used for longest first."""
    own = {folder.inside(one.name): one for one in sent}
    found = sorted(_sizes([*folder.cache.glob("*/*"), *own]), key=lambda one: one[0])
    too_much = sum(size for _, size, _ in found) - keep_gib * 2**30
    gone = 0
    for used, size, path in found:
        if too_much <= 0 or used > time.time() - _IN_USE_S:
            break
        file = own.get(path)
        if file is not None and not (objects is not None and objects.holds(file)):
            continue  # nothing goes from here that cannot be read there
        path.unlink(missing_ok=True)
        too_much -= size
        gone += 1
    return gone


def _sizes(paths: Iterable[Path]) -> Iterator[tuple[float, int, Path]]:
    for path in paths:
        try:
            found = path.stat()
        except OSError:
            continue
        yield max(found.st_atime, found.st_mtime), found.st_size, path

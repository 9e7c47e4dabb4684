"""Files that rows name, copied to the shop's folder, checked, before the row says that they are."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from trials.errors import StoreError
from trials.store._errors import disk_error
from trials.store._folder import ShopFolder
from trials.store._forward_here import UnitRows
from trials.store._forward_memory import Memory
from trials.store._photo_files import photo_file
from trials.store._traces import checksum_of


@dataclass(frozen=True, slots=True)
class NamedFile:
    """A file by its name below a data folder, and its checksum."""

    name: str
    sha256: str


def named_files(folder: ShopFolder, rows: UnitRows) -> Iterator[NamedFile]:
    """The files that rows of a unit name: traces that are finished, and photos."""
    for (kind, _), row in rows.rows.items():
        if kind == "recording" and row["trace"] and row["trace_sha256"]:
            yield NamedFile(row["trace"], row["trace_sha256"])
        elif kind == "photo":
            path = photo_file(folder.photos, row["sha256"])
            yield NamedFile(path.relative_to(folder.path).as_posix(), row["sha256"])


class FileSender:
    """Copies files into the shop's folder, which may be a share on another computer.

    Raises:
        StoreError: a file here is gone or damaged, or the folder cannot be written.
    """

    def __init__(self, folder: ShopFolder, target: Path, memory: Memory) -> None:
        self._folder = folder
        self._target = target
        self._memory = memory
        self._known: set[str] | None = None

    def send(self, file: NamedFile) -> None:
        """Bring one file there, unless it is known to be."""
        if self._known is None:
            self._known = self._memory.files(str(self._target))
        mark = f"{file.name} {file.sha256}"
        if mark in self._known:
            return
        if not self._target.is_dir():
            raise StoreError(
                f"folder for the shop's files {self._target} is not there",
                do="Is the share connected? Sending goes on when it is.",
            )
        source, target = self._folder.inside(file.name), self._target / file.name
        if not source.is_file():
            raise StoreError(
                f"file {source} is gone", do="What names it waits. Put it back from a copy."
            )
        try:
            if not (target.is_file() and checksum_of(target) == file.sha256):
                _copy(source, target, file.sha256)
        except OSError as error:
            raise disk_error("file for the shop", target, error) from error
        self._memory.note_file(mark, str(self._target))
        self._known.add(mark)


def _copy(source: Path, target: Path, sha256: str) -> None:
    partial = target.with_name(f"{target.name}.{os.getpid()}.partial")
    target.parent.mkdir(parents=True, exist_ok=True)
    try:
        shutil.copyfile(source, partial)
        with partial.open("rb+") as file:
            os.fsync(file.fileno())
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        if digest != sha256:
            raise StoreError(
                f"file {source} is not what the database says of it",
                do="It was not sent. Put it back from a copy, or rebuild it from its journal.",
            )
        partial.replace(target)
    finally:
        partial.unlink(missing_ok=True)

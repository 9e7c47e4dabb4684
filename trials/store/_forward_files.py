"""Files that rows name, copied to the shop's folder, checked, before the row says that they are."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Iterator
from pathlib import Path

from trials.errors import StoreError
from trials.store._errors import disk_error
from trials.store._file_rows import named_photo
from trials.store._folder import ShopFolder
from trials.store._forward_here import UnitRows
from trials.store._forward_memory import Memory
from trials.store._objects import NamedFile, Objects
from trials.store._shop_files import local_file
from trials.store._traces import checksum_of


def named_files(rows: UnitRows) -> Iterator[NamedFile]:
    """The files that rows of a unit name: traces that are finished, and photos."""
    for (kind, _), row in rows.rows.items():
        if kind == "recording" and row["trace"] and row["trace_sha256"]:
            yield NamedFile(row["trace"], row["trace_sha256"])
        elif kind == "photo":
            yield named_photo(row["sha256"])


class FileSender:
    """Copies files into the shop's folder, which may be a share on another computer, or to its
    object store.

    Raises:
        StoreError: a file here is gone or damaged, or the folder cannot be written.
    """

    def __init__(self, folder: ShopFolder, target: Path | Objects, memory: Memory) -> None:
        self._folder = folder
        self._target = target
        self._place = target.place if isinstance(target, Objects) else str(target)
        self._memory = memory
        self._known: set[str] | None = None

    def send(self, file: NamedFile) -> None:
        """Bring one file there, unless it is known to be."""
        if self._known is None:
            self._known = self._memory.files(self._place)
        mark = f"{file.name} {file.sha256}"
        if mark in self._known:
            return
        if isinstance(self._target, Objects):
            self._target.send(file, local_file(self._folder, file))
        else:
            self._send_to(self._target, file)
        self._memory.note_file(mark, self._place)
        self._known.add(mark)

    def _send_to(self, folder: Path, file: NamedFile) -> None:
        if not folder.is_dir():
            raise StoreError(
                f"folder for the shop's files {folder} is not there",
                do="Is the share connected? Sending goes on when it is.",
            )
        source, target = local_file(self._folder, file), folder / file.name
        if not source.is_file():
            raise StoreError(
                f"file {source} is gone", do="What names it waits. Put it back from a copy."
            )
        try:
            if not (target.is_file() and checksum_of(target) == file.sha256):
                _copy(source, target, file.sha256)
        except OSError as error:
            raise disk_error("file for the shop", target, error) from error


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

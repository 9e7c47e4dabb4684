"""Files of a shop on an object store, or any other place that fsspec reaches.

An object is named by what it is and by the SHA-256 of its content, so it never changes: writing it
twice is the same as once, and what is read can be checked whoever wrote it.
"""

from __future__ import annotations

import errno
import hashlib
import os
import threading
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any
from urllib.parse import urlsplit

from trials.errors import HolewiseError, InputError, StoreError

ALLOWED = "an address such as s3://bucket/shop, or the full path of a folder"
CREDENTIALS = (
    "Keys are never kept by this program: give them to the library that signs in, for s3 by its "
    "own settings (~/.aws, AWS_PROFILE, AWS_ENDPOINT_URL) or by those of fsspec (FSSPEC_S3_…)."
)
SEND = "holewise files send"
# A new object is there as a whole or not at all; elsewhere it gets its name when it is whole.
_WHOLE_AT_ONCE = frozenset({"s3", "s3a", "gs", "gcs", "abfs", "az", "oci", "memory"})
_NOT_THERE = frozenset({
    "BotoConnectionError", "ClientConnectorError", "ConnectTimeoutError", "ConnectionClosedError",
    "EndpointConnectionError", "HTTPClientError", "ReadTimeoutError", "ServerTimeoutError",
})  # fmt: skip
_NO_KEYS = frozenset({"NoCredentialsError", "PartialCredentialsError", "ProfileNotFound",
                      "TokenRetrievalError", "DefaultCredentialsError"})  # fmt: skip
_ACCOUNT_IN_NAME = ("abfs", "abfss")  # container@account is an address there, not a key
_BLOCK = 1 << 20


@dataclass(frozen=True, slots=True)
class NamedFile:
    """A file by its name below a data folder, and its checksum."""

    name: str
    sha256: str

    @property
    def key(self) -> str:
        """Its name on an object store: ``traces/<sha256>.parquet``."""
        name = PurePosixPath(self.name)
        return f"{name.parts[0]}/{self.sha256}{name.suffix}"


def objects_address(text: str) -> str:
    """An address that files may lie at; a folder as its full path.

    Raises:
        InputError: it is none, or carries a name or password.
    """
    what = "address of the object store"
    if "://" not in text:
        folder = Path(text).expanduser()
        if not text.strip() or not folder.is_absolute():
            raise InputError(what, got=text, allowed=ALLOWED)
        return str(folder)
    parts = urlsplit(text)
    names_itself = parts.scheme in _ACCOUNT_IN_NAME and parts.password is None
    if ("@" in parts.netloc and not names_itself) or parts.query:
        # The text may hold a secret: it is not said again.
        raise InputError(what, got="one with a key, password or options in it", allowed=ALLOWED,
                         do=CREDENTIALS)  # fmt: skip
    if "::" in text or not (parts.netloc or parts.path.strip("/")):
        raise InputError(what, got=text, allowed=ALLOWED)
    return text.rstrip("/")


class Objects:
    """The object store at an address; the library behind it is loaded when it is first used.

    Raises (everywhere):
        StoreError: not reached, not allowed, absent or damaged, and what to do about it.
        InputError: no address, or a library that it needs is not installed.
    """

    def __init__(self, address: str) -> None:
        self.place = objects_address(address)
        self._lock = threading.Lock()
        self._found: tuple[Any, str] | None = None

    def address_of(self, file: NamedFile) -> str:
        """Where a file lies, for other programs and workers on other computers."""
        return f"{self.place}/{file.key}"

    def sizes(self) -> dict[str, int]:
        """Every object of a shop's files: its key and its bytes."""
        with self._told("listed"):
            fs, root = self._filesystem()
            found: dict[str, int] = {}
            for kind in ("traces", "photos"):
                try:
                    under = fs.find(f"{root}/{kind}", detail=True)
                except FileNotFoundError:  # where folders are real, the first object makes it
                    continue
                found |= {f"{kind}/{PurePosixPath(path).name}": int(about["size"])
                          for path, about in under.items()}  # fmt: skip
            return found

    def holds(self, file: NamedFile) -> bool:
        """Whether a file is there, byte for byte: it is read and compared."""
        try:
            return self._digest(file) == file.sha256
        except ObjectMissingError:
            return False

    def send(self, file: NamedFile, source: Path) -> bool:
        """Bring one file there, and read it back; False when it was there already.

        Raises:
            StoreError: the file here is gone or is not what it should be; or it did not arrive
                as it was sent, in which case it is taken away again.
        """
        if not source.is_file():
            raise StoreError(
                f"file {source} is gone", do="What names it waits. Put it back from a copy."
            )
        if self.holds(file):
            return False
        with source.open("rb") as reading:
            if hashlib.file_digest(reading, "sha256").hexdigest() != file.sha256:
                raise StoreError(
                    f"file {source} is not what the database says of it",
                    do="It was not sent. Put it back from a copy, or rebuild it from its journal.",
                )
        with self._told("written", file.key):
            fs, root = self._filesystem()
            _put(fs, source, f"{root}/{file.key}")
        if not self.holds(file):
            with self._told("taken away", file.key):
                fs.rm_file(f"{root}/{file.key}")
            raise StoreError(
                f"object {self.address_of(file)} did not arrive as it was sent",
                do="It was taken away again; the file here is sound. Send it once more.",
            )
        return True

    def fetch(self, file: NamedFile, target: Path) -> None:
        """Make a file here of an object; it has its name only when it is whole and checked."""
        partial = target.with_name(f"{target.name}.{os.getpid()}-{threading.get_ident()}.partial")
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            with partial.open("wb") as writing:
                digest = self._read(file, writing.write)
                writing.flush()
                os.fsync(writing.fileno())
            if digest != file.sha256:
                raise self._damaged(file)
            partial.replace(target)
        except OSError as error:
            raise StoreError(f"copy of {self.address_of(file)} in {target.parent}",
                             got=error.strerror, do="Make room on the disk and try again.",
                             ) from error  # fmt: skip
        finally:
            partial.unlink(missing_ok=True)

    def probe(self) -> None:
        """Write, read and take away a small object: are all the rights there?"""
        text = uuid.uuid4().hex.encode()
        with self._told("written, read and taken away", "a small trial object"):
            fs, root = self._filesystem()
            path = f"{root}/holewise-trial-{text.decode()}"
            if "file" in _protocols(fs):
                Path(root).mkdir(parents=True, exist_ok=True)
            fs.pipe_file(path, text)
            back = fs.cat_file(path)
            fs.rm_file(path)
        if back != text:
            raise StoreError(f"object store {self.place}", got="other bytes than were written")

    def _digest(self, file: NamedFile) -> str:
        return self._read(file, lambda _: None)

    def _read(self, file: NamedFile, take: Any) -> str:
        digest = hashlib.sha256()
        for block in self._blocks(file):
            digest.update(block)
            take(block)
        return digest.hexdigest()

    def _blocks(self, file: NamedFile) -> Iterator[bytes]:
        with self._told("read", file.key):
            fs, root = self._filesystem()
            opened = fs.open(f"{root}/{file.key}", "rb")
        with opened:
            while True:
                with self._told("read", file.key):
                    block: bytes = opened.read(_BLOCK)
                if not block:
                    return
                yield block

    def _filesystem(self) -> tuple[Any, str]:
        with self._lock:
            if self._found is None:
                self._found = self._connected()
            return self._found

    def _connected(self) -> tuple[Any, str]:
        try:
            from fsspec.core import url_to_fs
        except ImportError:
            raise self._missing("fsspec is not installed") from None
        try:
            # What another computer wrote a moment ago must be seen: no list is remembered.
            fs, root = url_to_fs(self.place, use_listings_cache=False)
        except ImportError as error:
            raise self._missing(str(error).splitlines()[0]) from None
        except ValueError as error:
            said = str(error).splitlines()[0]
            raise InputError("address of the object store", got=self.place, allowed=ALLOWED,
                             do=f"fsspec says: {said}.") from None  # fmt: skip
        return fs, str(root).rstrip("/")

    def _missing(self, found: str) -> InputError:
        return InputError(
            f"object store {self.place}", got=found, allowed="an installation with its library",
            do='For s3: pip install "holewise[objects]".',
        )  # fmt: skip

    def _damaged(self, file: NamedFile) -> StoreError:
        return StoreError(
            f"object {self.address_of(file)} was changed or damaged since it was sent",
            do="It was not used. Take it away there and send it again from the computer that "
            f"recorded it ({SEND}), or put it back from a backup.",
        )

    @contextmanager
    def _told(self, doing: str, key: str = "") -> Iterator[None]:
        try:
            yield
        except HolewiseError:
            raise
        except Exception as error:  # the libraries behind fsspec have families of their own
            raise self._error(doing, key, error) from error

    def _error(self, doing: str, key: str, error: Exception) -> StoreError:
        kinds = {one.__name__ for one in type(error).__mro__}
        what = f"object {self.place}/{key}" if "/" in key else f"object store {self.place}"
        said = (str(error) or type(error).__name__).splitlines()[0]
        if isinstance(error, FileNotFoundError):
            if doing == "read":
                return ObjectMissingError(
                    f"{what} is not there", got=said,
                    do=f"Was it sent? {SEND} on the computer that recorded it sends it.",
                )  # fmt: skip
            do = "Make the bucket or folder first, or mend the address."
            return StoreError(f"{what} is not there", got=said, do=do)
        if kinds & _NO_KEYS:
            return StoreError(f"{what}: no keys were found for it", got=said, do=CREDENTIALS)
        if isinstance(error, PermissionError):
            return StoreError(
                f"{what} may not be {doing}", got=said,
                do="Ask who looks after it for the right to list, read, write and delete there. "
                + CREDENTIALS,
            )  # fmt: skip
        if isinstance(error, ConnectionError | TimeoutError) or kinds & _NOT_THERE:
            return StoreError(
                f"{what} cannot be reached", got=said,
                do="All that is here stays here and is sent later. Are network and address right?",
            )  # fmt: skip
        if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT):
            return StoreError(f"{what}: there is no room left", got=said, do="Make room there.")
        return StoreError(f"{what} could not be {doing}", got=said)


class ObjectMissingError(StoreError):
    """An object is not there; nothing else is wrong."""


def _put(fs: Any, source: Path, path: str) -> None:
    protocols = _protocols(fs)
    if _WHOLE_AT_ONCE & protocols:
        fs.put_file(str(source), path)
        return
    partial = f"{path}.{uuid.uuid4().hex}.partial"
    fs.makedirs(path.rpartition("/")[0], exist_ok=True)
    try:
        fs.put_file(str(source), partial)
        if "file" in protocols:
            with Path(partial).open("rb+") as file:
                os.fsync(file.fileno())
            Path(partial).replace(path)
        else:
            fs.mv(partial, path)
    finally:
        if fs.exists(partial):
            fs.rm_file(partial)


def _protocols(fs: Any) -> set[str]:
    named = fs.protocol
    return {named} if isinstance(named, str) else set(named)

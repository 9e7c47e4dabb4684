"""Small files of the data folder that are replaced whole, some of them for their owner's eyes."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from trials.store._errors import disk_error
from trials.store._lock import FileLock

_OWNER_ONLY = 0o600
_KEY_BYTES = 32


def write_whole(path: Path, content: bytes, what: str, *, private: bool = False) -> None:
    """Replace a file by its new content, all or nothing, also when the power goes.

    Args:
        path: the file.
        content: all of it.
        what: names the file in an error.
        private: only the owner of the file may read it.

    Raises:
        StoreError: the disk refuses; the file is as it was.
    """
    fresh = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        file = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL,
                       _OWNER_ONLY if private else 0o644)  # fmt: skip
        with os.fdopen(file, "wb") as writing:
            writing.write(content)
            writing.flush()
            os.fsync(writing.fileno())
        fresh.replace(path)
    except OSError as error:
        fresh.unlink(missing_ok=True)
        raise disk_error(what, path, error) from error


def secret_key(path: Path, lock: Path) -> bytes:
    """The random key in a file that only its owner may read; made once, when it is not there.

    Raises:
        StoreError: the file cannot be read or made.
    """
    with FileLock(lock, "making the key for signing in", wait_s=5.0):
        try:
            return path.read_bytes()
        except FileNotFoundError:
            key = secrets.token_bytes(_KEY_BYTES)
            write_whole(path, key, "key for signing in", private=True)
            return key
        except OSError as error:
            raise disk_error("key for signing in", path, error) from error

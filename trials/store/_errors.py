"""What a database or a disk says, told once in words that a reader can act on."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from json import JSONDecodeError
from pathlib import Path

from sqlalchemy.exc import (
    DatabaseError,
    IntegrityError,
    OperationalError,
    SQLAlchemyError,
    StatementError,
)
from sqlalchemy.exc import (
    TimeoutError as PoolTimeoutError,
)

from trials.errors import ConflictError, HolewiseError, StoreError

_CORRUPT = (
    "Nothing was written. Keep a copy of the file as it is, run 'holewise doctor' to see what "
    "can be read, and put back the newest file from the folder 'backups' if it cannot be mended."
)
_KEPT = "What was stored before is still there; this change was not stored."
# Words of SQLite's result codes that matter, and what each asks of the reader.
_SAYINGS: tuple[tuple[str, str, str], ...] = (
    ("database is locked", "another program keeps the database busy",
     "Nothing was written. Try again; if it stays so, close the program that holds it."),
    ("readonly database", "the database may only be read, not written",
     "Give your account the right to write in this folder, or choose another one with --data."),
    ("unable to open database", "the database cannot be opened",
     "Check that the folder exists and that your account may read and write in it."),
    ("not a database", "the file is not a database, or its first bytes were overwritten",
     _CORRUPT),
    ("malformed", "the database is damaged", _CORRUPT),
    ("disk is full", "the disk is full, or a quota is used up",
     f"{_KEPT} Make room and try again."),
    ("disk i/o error", "the disk refused to read or write",
     f"{_KEPT} Check the disk and the room on it, then try again."),
)  # fmt: skip


@contextmanager
def told(place: str) -> Iterator[None]:
    """Turn errors of the database layer into one family; ``place`` names the database.

    Raises:
        StoreError: the database cannot be used as it stands.
        ConflictError: somebody stored the same thing at the same moment.
    """
    try:
        yield
    except IntegrityError as error:
        raise ConflictError(
            f"{place}: this would contradict what is stored",
            got=_last_words(error),
            do="Nothing was written. Somebody may have changed it a moment ago: look again, "
            "then repeat.",
        ) from error
    except PoolTimeoutError as error:
        raise StoreError(
            f"{place}: another part of this program is still writing", do="Try again."
        ) from error
    except StatementError as error:  # covers OperationalError and DatabaseError
        if isinstance(error.orig, HolewiseError):
            raise error.orig from None
        raise _store_error(place, error) from error
    except JSONDecodeError as error:
        raise StoreError(f"{place}: the database is damaged ({error})", do=_CORRUPT) from error
    except SQLAlchemyError as error:
        raise StoreError(f"{place}: the database refused", got=str(error)) from error


def _store_error(place: str, error: StatementError) -> StoreError:
    words = _last_words(error)
    for saying, meaning, do in _SAYINGS:
        if saying in words.lower():
            return StoreError(f"{place}: {meaning} ({words})", do=do)
    kind = "cannot be reached" if isinstance(error, OperationalError) else "refused"
    if not isinstance(error, DatabaseError):
        kind = "refused a value"
    return StoreError(f"{place}: the database {kind}", got=words)


def _last_words(error: StatementError) -> str:
    return str(error.orig if error.orig is not None else error).splitlines()[0]


def disk_error(what: str, path: Path, error: OSError, do: str | None = None) -> StoreError:
    """A `StoreError` for a file that could not be read or written."""
    if do is None:
        do = {
            errno.ENOSPC: "Make room on the disk and try again.",
            errno.EDQUOT: "A quota is used up. Make room and try again.",
            errno.EROFS: "The disk is mounted read-only. Choose another folder with --data.",
            errno.EACCES: "Give your account the right to write there, or choose another folder "
            "with --data.",
        }.get(error.errno or 0, "What was stored before is still there.")
    reason = error.strerror or type(error).__name__
    return StoreError(f"{what} {path}: {reason}", do=do)

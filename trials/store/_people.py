"""Who may look at the dashboard from other computers: a file that only its owner may read."""

from __future__ import annotations

import json
import threading
import unicodedata
from collections.abc import Callable
from dataclasses import asdict, dataclass, field, fields
from functools import cache
from typing import Any, Literal, get_args

from werkzeug.security import check_password_hash, generate_password_hash

from trials.errors import ConflictError, NotFoundError, StoreError, require
from trials.store._errors import disk_error
from trials.store._folder import ShopFolder
from trials.store._lock import FileLock
from trials.store._private import write_whole
from trials.store._types import now_utc

Role = Literal["editor", "reader"]
ROLES: tuple[Role, ...] = get_args(Role)
SHORTEST_PASSWORD = 8
LONGEST_PASSWORD = 200
_LONGEST_NAME = 60
_WHAT = "file of people"


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who may sign in.

    Args:
        name: as it is typed when signing in; capitals make no difference.
        role: an ``editor`` may change things, a ``reader`` only looks.
        sees_prices: false hides prices and what is worked out from them.
        password_hash: made by `hash_password`; never shown.
        added_utc: when the person was added, ISO 8601.
    """

    name: str
    role: Role
    sees_prices: bool
    password_hash: str = field(repr=False)
    added_utc: str

    def __post_init__(self) -> None:
        require(
            0 < len(self.name) <= _LONGEST_NAME
            and self.name == self.name.strip()
            and self.name.isprintable(),
            "name of a person", self.name, f"1 to {_LONGEST_NAME} letters without line breaks",
        )  # fmt: skip
        require(self.role in ROLES, "role", self.role, " or ".join(ROLES))


def hash_password(password: str) -> str:
    """A salted scrypt hash (RFC 7914) with the parameters that werkzeug recommends.

    Raises:
        InputError: too short or too long; the message does not repeat it.
    """
    require(
        SHORTEST_PASSWORD <= len(password) <= LONGEST_PASSWORD,
        "password", f"{len(password)} characters",
        f"{SHORTEST_PASSWORD} to {LONGEST_PASSWORD} characters",
        "Several words one after the other are easy to type and hard to guess.",
    )  # fmt: skip
    return generate_password_hash(_one_form(password), method="scrypt")


def is_password(password: str, password_hash: str | None) -> bool:
    """Whether this is the password; without a hash it takes as long and is not.

    So an answer to an unknown name takes no less time than one to a known name.
    """
    found = check_password_hash(password_hash or _nobodys(), _one_form(password[:1000]))
    return found and password_hash is not None


@cache
def _nobodys() -> str:
    return hash_password("nobody has this password")


def _one_form(text: str) -> str:
    return unicodedata.normalize("NFC", text)


def _key(name: str) -> str:
    return unicodedata.normalize("NFKC", name).strip().casefold()


class People:
    """The people of one shop; read again whenever the file has changed.

    Raises (everywhere):
        StoreError: the file cannot be read or written, or is not as this program writes it.
    """

    def __init__(self, folder: ShopFolder) -> None:
        self._path = folder.people
        self._lock = folder.people_lock
        self._turn = threading.Lock()
        self._seen: tuple[object, tuple[Person, ...]] = (None, ())

    def everyone(self) -> tuple[Person, ...]:
        """All of them in the order of their names; empty where none were added."""
        try:
            stat = self._path.stat()
        except FileNotFoundError:
            return ()
        except OSError as error:
            raise disk_error(_WHAT, self._path, error) from error
        mark = (stat.st_mtime_ns, stat.st_size, stat.st_ino)
        with self._turn:
            if self._seen[0] != mark:
                self._seen = (mark, self._read())
            return self._seen[1]

    def find(self, name: str) -> Person | None:
        """The person of this name; None when there is none."""
        key = _key(name)
        return next((one for one in self.everyone() if _key(one.name) == key), None)

    def add(self, name: str, password: str, role: Role, *, sees_prices: bool) -> Person:
        """Add somebody.

        Raises:
            ConflictError: somebody has this name.
            InputError: name, role or password cannot be accepted.
        """
        name = unicodedata.normalize("NFKC", name).strip()
        added = f"{now_utc():%Y-%m-%dT%H:%M:%SZ}"
        person = Person(name, role, sees_prices, hash_password(password), added)

        def with_one_more(people: tuple[Person, ...]) -> tuple[Person, ...]:
            if any(_key(one.name) == _key(name) for one in people):
                raise ConflictError(
                    f"somebody is called {name!r} already",
                    do="Remove that person first, or choose another name.",
                )
            return (*people, person)

        self._change(with_one_more)
        return person

    def remove(self, name: str) -> Person:
        """Remove somebody, whose sessions end with the next request.

        Raises:
            NotFoundError: nobody has this name.
        """
        found = self.find(name)
        if found is None:
            known = ", ".join(one.name for one in self.everyone())
            raise NotFoundError("person", got=name, allowed=known or "nobody was added yet")
        self._change(lambda people: tuple(one for one in people if one.name != found.name))
        return found

    def _change(self, to: Callable[[tuple[Person, ...]], tuple[Person, ...]]) -> None:
        with FileLock(self._lock, "changing the people of this shop", wait_s=5.0):
            now = to(self._read() if self._path.exists() else ())
            content = json.dumps(
                {"people": [asdict(one) for one in sorted(now, key=lambda one: _key(one.name))]},
                ensure_ascii=False, indent=2,
            )  # fmt: skip
            write_whole(self._path, content.encode(), _WHAT, private=True)
            with self._turn:
                self._seen = (None, ())

    def _read(self) -> tuple[Person, ...]:
        try:
            plain = json.loads(self._path.read_bytes())
            return tuple(_person(one) for one in plain["people"])
        except OSError as error:
            raise disk_error(_WHAT, self._path, error) from error
        except (ValueError, TypeError, KeyError) as error:
            raise StoreError(
                f"{_WHAT} {self._path} is not as this program writes it", got=str(error),
                do="Nobody can sign in until it is mended. Put back a copy of it, or delete it "
                "and add the people again with 'holewise people add'.",
            ) from error  # fmt: skip


def _person(plain: dict[str, Any]) -> Person:
    if set(plain) != {one.name for one in fields(Person)} or not isinstance(
        plain["sees_prices"], bool
    ):
        raise ValueError("a person with other fields than expected")
    return Person(**plain)

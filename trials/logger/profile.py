"""A profile: how one machine talks, found once, kept as TOML, used again and shared."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping as AnyMapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from trials.errors import InputError, require
from trials.logger.line_format import LineFormat
from trials.logger.mapping import Mapping

_VERSION = 1
_KEYS = ("holewise_profile", "source", "note", "line_format", "mapping")
_NAME = re.compile(r"[\w][\w .+-]{0,60}")


@dataclass(frozen=True, slots=True)
class Profile:
    """How one machine talks.

    Args:
        name: a word or two, such as ``mill3``; also the name of its file.
        line_format, mapping: how its bytes become samples.
        source: where it is listened to; empty when that differs.
        note: for people.
    """

    name: str
    line_format: LineFormat
    mapping: Mapping
    source: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        require(bool(_NAME.fullmatch(self.name)) and not self.name.endswith("."),
                "name of a profile", self.name,
                "letters, digits, blanks and . + - _, a letter or digit first")  # fmt: skip

    def to_toml(self) -> str:
        """The profile as text; `from_toml` reads the same back."""
        import tomli_w

        values: dict[str, Any] = {"holewise_profile": _VERSION}
        if self.source:
            values["source"] = self.source
        if self.note:
            values["note"] = self.note
        values["line_format"] = self.line_format.to_dict()
        values["mapping"] = self.mapping.to_dict()
        return tomli_w.dumps(values)

    @classmethod
    def from_toml(cls, text: str, name: str) -> Profile:
        """Read what `to_toml` wrote, perhaps changed by hand.

        Raises:
            InputError: no TOML, an unknown key, or a value that cannot be; names the profile.
        """
        where = f"profile {name}"
        try:
            values = tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            raise InputError(where, got=str(error), allowed="TOML") from None
        for key in values:
            near = get_close_matches(key, _KEYS, 1)
            require(key in _KEYS, f"{where}, key", key, "one of " + ", ".join(_KEYS),
                    f"Did you mean {near[0]}?" if near else None)  # fmt: skip
        version = values.get("holewise_profile")
        if version != _VERSION:
            raise InputError(
                f"{where}, holewise_profile", got="nothing" if version is None else version,
                allowed=f"{_VERSION}", do="Is it a profile? A newer one needs a newer Holewise.",
            )  # fmt: skip
        try:
            line_format = LineFormat.from_dict(_part(values, "line_format"))
            mapping = Mapping.from_dict(_part(values, "mapping"))
            source, note = values.get("source", ""), values.get("note", "")
            require(isinstance(source, str) and isinstance(note, str), "source and note",
                    f"{source}, {note}", "texts")  # fmt: skip
            return cls(name, line_format, mapping, source, note)
        except InputError as error:
            raise InputError(
                f"{where}: {error.what}", got=error.got, allowed=error.allowed, do=error.do
            ) from None
        except (TypeError, ValueError, IndexError, AttributeError) as error:
            raise InputError(
                where, got=str(error), allowed="the keys and kinds of values that --setup writes"
            ) from None


def _part(values: AnyMapping[str, Any], key: str) -> dict[str, Any]:
    part = values.get(key)
    require(isinstance(part, dict), f"[{key}]", "nothing" if part is None else part, "a table")
    return dict(part or {})


def profile_path(folder: Path, name: str) -> Path:
    """The file of a profile: a name stands for one in the folder, a path for itself."""
    path = Path(name)
    if path.suffix == ".toml" or path.name != name:
        return path.expanduser()
    return folder / f"{name}.toml"


def profiles_in(folder: Path) -> list[str]:
    """Names of the profiles in a folder, sorted."""
    return sorted(path.stem for path in folder.glob("*.toml"))


def read_profile(folder: Path, name: str) -> Profile:
    """A profile by name from a folder, or by path from anywhere.

    Raises:
        InputError: there is none (names those that there are), or it cannot be read.
    """
    path = profile_path(folder, name)
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        there = profiles_in(folder)
        near = get_close_matches(name, there, 1)
        do = f"Did you mean {near[0]}? " if near else ""
        raise InputError(
            f"profile {name}", got="no such file",
            allowed="one of " + ", ".join(there) if there else "the path of one; none is kept here",
            do=f"{do}holewise log --setup --source … makes one.",
        ) from None  # fmt: skip
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8"
        raise InputError(f"profile {path}", got=reason, allowed="a readable TOML file") from None
    return Profile.from_toml(text, path.stem)


def write_profile(folder: Path, profile: Profile, *, replace: bool = False) -> Path:
    """Keep a profile in a folder, whole or not at all.

    Raises:
        InputError: one of that name is there and ``replace`` is false, or it cannot be written.
    """
    path = folder / f"{profile.name}.toml"
    if path.exists() and not replace:
        raise InputError(
            f"profile {profile.name}", got="there is one of that name", allowed="a new name",
            do="Choose another name, or say that it is to be replaced.",
        )  # fmt: skip
    partial = path.with_suffix(f".partial-{os.getpid()}")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        partial.write_text(profile.to_toml(), encoding="utf-8")
        partial.replace(path)
    except OSError as error:
        partial.unlink(missing_ok=True)
        raise InputError(
            f"profile {path}",
            got=error.strerror or str(error),
            allowed="a file that can be written",
        ) from None
    return path

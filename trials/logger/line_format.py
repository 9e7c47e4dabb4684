"""How a line is written: delimited columns, key=value pairs, or SHDR."""

from __future__ import annotations

import codecs
from collections.abc import Mapping as AnyMapping
from dataclasses import asdict, dataclass
from typing import Any, Literal, get_args

from trials.errors import InputError, require

LineKind = Literal["delimited", "key=value", "shdr"]
DELIMITERS = (",", ";", "\t", "|", " ")
ENCODINGS = ("utf-8", "utf-16-le", "utf-16-be", "latin-1")
_DELIMITER_NAMES = {
    "comma": ",", "semicolon": ";", "tab": "\t", "\\t": "\t", "pipe": "|", "bar": "|",
    "space": " ",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class LineFormat:
    """How lines are written.

    Args:
        kind: ``delimited``, ``key=value`` (pairs separated by ; , space or tab) or ``shdr``
            (``time|key|value|key|value…``).
        delimiter: between columns, for ``delimited``: , ; tab | or space (runs of white space).
        decimal: decimal mark, "." or ",".
        header: the first line names the columns. None: it does when the mapping uses names.
        encoding: utf-8, utf-16-le, utf-16-be or latin-1.
    """

    kind: LineKind = "delimited"
    delimiter: str = ","
    decimal: str = "."
    header: bool | None = None
    encoding: str = "utf-8"

    def __post_init__(self) -> None:
        require(self.kind in get_args(LineKind), "line format", self.kind,
                "one of " + ", ".join(get_args(LineKind)))  # fmt: skip
        object.__setattr__(
            self, "delimiter", _DELIMITER_NAMES.get(self.delimiter.casefold(), self.delimiter)
        )
        require(self.delimiter in DELIMITERS, "delimiter", self.delimiter,
                ", ; | or the words tab and space")  # fmt: skip
        require(self.decimal in (".", ","), "decimal mark", self.decimal, ". or ,")
        if self.kind == "delimited" and self.delimiter == self.decimal:
            raise InputError(
                "delimiter and decimal mark", got=self.delimiter, allowed="two different marks",
                do="Numbers with a decimal comma need another delimiter, such as a semicolon.",
            )  # fmt: skip
        try:
            object.__setattr__(self, "encoding", _plain_encoding(self.encoding))
        except LookupError:
            raise InputError(
                "encoding", got=self.encoding, allowed="one of " + ", ".join(ENCODINGS)
            ) from None

    @classmethod
    def parse(cls, text: str, **options: Any) -> LineFormat:
        """``delimited``, ``csv``, ``key=value``, ``kv`` or ``shdr``, with the other options."""
        kinds: dict[str, LineKind] = {
            "delimited": "delimited", "csv": "delimited", "key=value": "key=value",
            "kv": "key=value", "shdr": "shdr",
        }  # fmt: skip
        kind = kinds.get(text.strip().casefold())
        if kind is None:
            raise InputError("line format", got=text, allowed="one of " + ", ".join(kinds))
        return cls(kind, **options)

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON and TOML."""
        return {key: value for key, value in asdict(self).items() if value is not None}

    @classmethod
    def from_dict(cls, plain: AnyMapping[str, Any]) -> LineFormat:
        """The line format that `to_dict` wrote."""
        unknown = set(plain) - set(cls.__slots__)
        require(not unknown, "line format", ", ".join(sorted(unknown)),
                "the words " + ", ".join(cls.__slots__))  # fmt: skip
        return cls(**plain)


def inside_encoding(line_format: LineFormat) -> str:
    """The encoding of lines inside the decoder: UTF-16 was turned into UTF-8 before."""
    return "latin-1" if line_format.encoding == "latin-1" else "utf-8"


def _plain_encoding(text: str) -> str:
    name = codecs.lookup(text).name
    plain = {"iso8859-1": "latin-1", "utf-8-sig": "utf-8", "ascii": "utf-8"}.get(name, name)
    if plain not in ENCODINGS:
        raise LookupError(text)
    return plain

"""The one error family: what is wrong, what was found, what is allowed, what to do."""

from __future__ import annotations


class HolewiseError(Exception):
    """Base of every error that a user of Holewise is meant to read.

    The message is one paragraph. Parts that are known are joined in a fixed order, so that the
    command line, the dashboard and the log all say the same words.

    Args:
        what: the thing that is wrong, with its place ("trace.csv, line 812, column load").
        got: what was found there; shown with ``repr`` for texts so that blanks can be seen.
        allowed: what would have been accepted, with unit.
        do: what the reader can do about it.
    """

    def __init__(
        self, what: str, *, got: object = None, allowed: str | None = None, do: str | None = None
    ) -> None:
        self.what = what
        self.got = got
        self.allowed = allowed
        self.do = do
        super().__init__(self._sentence())

    def _sentence(self) -> str:
        text = self.what
        if self.got is not None:
            text += f": got {shorten(self.got)}"
        if self.allowed is not None:
            text += f"; allowed: {self.allowed}"
        text = text if text.endswith((".", "?", "!")) else text + "."
        if self.do is not None:
            text += f" {self.do}"
        return text


class InputError(HolewiseError, ValueError):
    """A value that a person or a file gave cannot be accepted. Nothing was stored of it."""


class NotFoundError(HolewiseError, LookupError):
    """A trial, run or recording with that name or number does not exist."""


class SourceError(HolewiseError):
    """The place that load values come from is absent, busy, refused or has gone."""


class JournalError(HolewiseError):
    """A journal cannot be written, or what is in it cannot be trusted."""


class StoreError(HolewiseError):
    """The shop's data folder or database cannot be used as it stands."""


class ConflictError(HolewiseError):
    """Something changed since it was read, or is in a state that does not allow this."""


class AccessError(HolewiseError):
    """The person who asks may not see or do this. Nothing was changed."""


def shorten(value: object, most: int = 80) -> str:
    """Show a value inside a sentence: texts quoted, long ones cut with their length named."""
    text = repr(value) if isinstance(value, str | bytes) else str(value)
    if len(text) <= most:
        return text
    return f"{text[:most]}… ({len(text)} characters)"


def require(holds: bool, what: str, got: object, allowed: str, do: str | None = None) -> None:
    """Raise `InputError` unless ``holds`` is true."""
    if not holds:
        raise InputError(what, got=got, allowed=allowed, do=do)

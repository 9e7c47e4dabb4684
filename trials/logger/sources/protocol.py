"""What every source can do."""

from __future__ import annotations

from typing import Protocol

from trials.errors import SourceError


class GapError(SourceError):
    """What follows does not join on to what came before, but the source goes on by itself.

    Args:
        reason: for the gap.
        anew: the source begins from its beginning again (a file that was begun anew).
    """

    def __init__(self, reason: str, *, anew: bool = False) -> None:
        super().__init__(reason)
        self.anew = anew


class Source(Protocol):
    """A place that bytes come from.

    Attributes:
        name: how it was asked for, such as ``tcp://127.0.0.1:7878``.
        is_file: it has an end, and its last line counts without a line end.
        can_go_on: a later ``open`` can begin at any byte (`go_on_from`).
        first_line_whole: False when listening may begin in the middle of a line.
    """

    name: str
    is_file: bool
    can_go_on: bool
    first_line_whole: bool

    def open(self) -> None:
        """Make it ready to read.

        Raises:
            SourceError: absent, busy or refused; says what to do.
        """

    def read(self, timeout_s: float) -> bytes | None:
        """The bytes that are there, waiting at most ``timeout_s``: b"" for none, None at the end.

        Raises:
            GapError: something was missed, which is to be a gap; reading goes on.
            SourceError: the link broke.
        """

    def fileno(self) -> int | None:
        """The descriptor whose buffer holds what comes in; None when there is none to hold."""

    def land_in(self, memory: memoryview | None) -> None:
        """Read into this memory from now on (at most its length at once), or no longer.

        Only sources with a ``fileno`` heed it: what is read is then seen by who shares the memory,
        whatever becomes of this process.
        """

    def close(self) -> None:
        """Let go of it; more than once does no harm."""

    def describe(self) -> dict[str, str]:
        """Plain texts for the record: kind, address, settings."""

    def go_on_from(self, byte_count: int) -> None:
        """Begin behind this many bytes at the next ``open``; only files can."""

    def go_on_behind(self, tail: bytes, /) -> bool:
        """Begin at the next ``open`` behind the bytes that a recording ends with.

        Only a source that keeps what was not asked for can, and says True; what it has lost
        meanwhile is a `GapError` from ``read``.
        """

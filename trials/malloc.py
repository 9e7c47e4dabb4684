"""When the C library gives freed memory back to the system: at once, or late."""

from __future__ import annotations

import ctypes
import sys

# mallopt(3): numbers of glibc's malloc.h.
_M_TRIM_THRESHOLD, _M_MMAP_THRESHOLD, _M_ARENA_MAX = -1, -3, -8


def set_malloc(*, own_block_bytes: int, kept_bytes: int, arenas: int | None = None) -> None:
    """Tell glibc's malloc what to keep; with another C library or system nothing is done.

    Args:
        own_block_bytes: blocks of this size on are taken from the system by themselves, and go
            back when freed.
        kept_bytes: freed memory of this size on goes back too.
        arenas: the most pools that threads share; left out, as many as the library likes.
    """
    if sys.platform != "linux":
        return
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None)
    if mallopt is None:
        return
    if arenas is not None:
        mallopt(_M_ARENA_MAX, arenas)
    mallopt(_M_MMAP_THRESHOLD, own_block_bytes)
    mallopt(_M_TRIM_THRESHOLD, kept_bytes)

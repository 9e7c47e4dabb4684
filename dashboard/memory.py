"""Memory that is given back: a page that is open all shift must not make the server grow.

Each thread keeps freed memory for itself, first in Arrow's own pool and then in glibc's arenas: the
server grew by 90 MB over three quarters of an hour of a live page, with nothing lost in it.
"""

from __future__ import annotations

import ctypes
import gc
import sys

import pyarrow as pa

from trials.figures import draw_live, live_trace

# mallopt(3): numbers of malloc.h, and bytes from which a block is taken from the system by itself.
_M_TRIM_THRESHOLD, _M_MMAP_THRESHOLD, _M_ARENA_MAX = -1, -3, -8
_ARENAS, _OWN_BLOCK_BYTES = 2, 128 * 1024


def give_back() -> None:
    """Have freed memory go back to the system. Called before threads are begun."""
    pa.set_memory_pool(pa.system_memory_pool())
    if sys.platform != "linux":
        return
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None)
    if mallopt is None:  # another C library than glibc
        return
    mallopt(_M_ARENA_MAX, _ARENAS)
    mallopt(_M_MMAP_THRESHOLD, _OWN_BLOCK_BYTES)
    mallopt(_M_TRIM_THRESHOLD, _OWN_BLOCK_BYTES)


def make_ready() -> None:
    """Load what drawing needs, and leave it out when memory is tidied later.

    Going through all that is loaded held up every screen for a tenth of a second, again and again.
    """
    draw_live(live_trace([0.0], [0.0], limit_pct=1.0))
    gc.collect()
    gc.freeze()

"""Memory that is given back: a page that is open all shift must not make the server grow.

Each thread keeps freed memory for itself, first in Arrow's own pool and then in glibc's arenas: the
server grew by 90 MB over three quarters of an hour of a live page, with nothing lost in it.
"""

from __future__ import annotations

import gc

import pyarrow as pa

from trials.figures import draw_live, live_trace
from trials.malloc import set_malloc

_ARENAS, _OWN_BLOCK_BYTES = 2, 128 * 1024


def give_back() -> None:
    """Have freed memory go back to the system. Called before threads are begun."""
    pa.set_memory_pool(pa.system_memory_pool())
    set_malloc(own_block_bytes=_OWN_BLOCK_BYTES, kept_bytes=_OWN_BLOCK_BYTES, arenas=_ARENAS)


def make_ready() -> None:
    """Load what drawing needs, and leave it out when memory is tidied later.

    Going through all that is loaded held up every screen for a tenth of a second, again and again.
    """
    draw_live(live_trace([0.0], [0.0], limit_pct=1.0))
    gc.collect()
    gc.freeze()

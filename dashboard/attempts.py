"""Slower and slower for whoever guesses: how long to wait before signing in may be tried again."""

from __future__ import annotations

import ipaddress
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

FREE = 5  # tries that anybody may need who has forgotten which password it was
_LONGEST_ADDRESS_S = 900.0
# A name is slowed down less than an address, or a stranger could keep its owner out.
_LONGEST_NAME_S = 30.0
_FORGOTTEN_S = 3600.0
_MOST = 10_000  # kept of each kind, however many addresses and names are tried


@dataclass(slots=True)
class _Tries:
    count: int = 0
    last_s: float = 0.0
    longest_s: float = 0.0

    def wait_s(self, now_s: float) -> float:
        if self.count < FREE:
            return 0.0
        wait = min(2.0 ** (self.count - FREE), self.longest_s)
        return max(0.0, self.last_s + wait - now_s)


class Attempts:
    """Failed tries by address and by name; safe for several threads, and of bounded size.

    After five tries each further one waits twice as long as the one before, up to 15 minutes for
    an address and 30 seconds for a name. An hour without a try forgets them.

    Args:
        clock: the time, s, that never goes back.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._of: dict[str, OrderedDict[str, _Tries]] = {
            "address": OrderedDict(), "name": OrderedDict()
        }  # fmt: skip

    def begin(self, address: str, name: str | None) -> float:
        """Count a try that is about to be made; or how long, s, it has to wait, uncounted.

        Without a name, because all share one password, only the address is slowed down.

        It is counted before its outcome is known, so that many at once are counted as well.
        """
        with self._lock:
            now = self._clock()
            both = [self._find("address", network(address), _LONGEST_ADDRESS_S, now)]
            if name is not None:
                both.append(self._find("name", _key(name), _LONGEST_NAME_S, now))
            wait = max(one.wait_s(now) for one in both)
            if wait > 0:
                return wait
            for one in both:
                one.count += 1
                one.last_s = now
            return 0.0

    def succeeded(self, address: str, name: str | None) -> None:
        """Forget the tries of a name, and of the address that it was right from."""
        with self._lock:
            self._of["address"].pop(network(address), None)
            if name is not None:
                self._of["name"].pop(_key(name), None)

    def kept(self) -> int:
        """How many addresses and names are remembered."""
        with self._lock:
            return sum(len(kind) for kind in self._of.values())

    def _find(self, kind: str, key: str, longest_s: float, now_s: float) -> _Tries:
        found = self._of[kind].setdefault(key, _Tries(longest_s=longest_s))
        if now_s - found.last_s > _FORGOTTEN_S:
            found.count = 0
        self._of[kind].move_to_end(key)
        while len(self._of[kind]) > _MOST:
            self._of[kind].popitem(last=False)
        return found


def _key(name: str) -> str:
    return name[:100].casefold()


def network(address: str) -> str:
    """What tries are counted for: an address, or the /64 that one IPv6 customer is given."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return "unknown"
    if isinstance(found, ipaddress.IPv6Address):
        if found.ipv4_mapped is not None:
            return str(found.ipv4_mapped)
        return str(ipaddress.ip_network((found, 64), strict=False))
    return str(found)

"""What was worked out lately, by all that it rests on: another screen need not draw it again."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar, cast

T = TypeVar("T")

_MOST = 64
_being_made: dict[Hashable, threading.Lock] = {}
_searching = threading.Lock()
_kept: OrderedDict[Hashable, Any] = OrderedDict()
_lock = threading.Lock()


def kept(what: str, rests_on: Hashable, make: Callable[[], T]) -> T:
    """The answer for exactly these values, made now when it was not asked for lately.

    Values and not versions are the key, so an answer can never be older than the data.

    Args:
        what: the question.
        rests_on: everything that the answer depends on, as frozen values.
        make: works it out.
    """
    key = (what, rests_on)
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            found: T = _kept[key]
            return found
        turn = _being_made.setdefault(key, threading.Lock())
    with turn:
        with _lock:
            if key in _kept:  # somebody else asked the same a moment ago
                return cast("T", _kept[key])
        try:
            answer = make()
            with _lock:
                _kept[key] = answer
                while len(_kept) > _MOST:
                    _kept.popitem(last=False)
        finally:
            with _lock:
                _being_made.pop(key, None)
    return answer


def searched(what: str, rests_on: Hashable, make: Callable[[], T]) -> T:
    """As `kept`, for what takes seconds: one at a time, so that live screens go on beside it.

    ``make`` asks for nothing else that is kept: those who wait for each other would wait for ever.
    """
    with _lock:
        if (what, rests_on) in _kept:
            return cast("T", _kept[what, rests_on])
    with _searching:
        return kept(what, rests_on, make)

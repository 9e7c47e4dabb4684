"""The search computes with one thread of linear algebra, and leaves the others as they were."""

from __future__ import annotations

import pytest
from threadpoolctl import threadpool_info, threadpool_limits

from trials.errors import InputError
from trials.optimizer.threads import on_one_core


def _threads() -> list[int]:
    return [pool["num_threads"] for pool in threadpool_info() if pool["user_api"] == "blas"]


@on_one_core
def _seen_inside(error: Exception | None = None) -> list[int]:
    if error is not None:
        raise error
    return _threads()


def test_one_thread_inside_and_as_many_as_before_after() -> None:
    with threadpool_limits(limits=2, user_api="blas"):
        before = _threads()
        assert set(before) == {2}
        assert set(_seen_inside()) == {1}
        assert _threads() == before


def test_threads_come_back_after_an_error() -> None:
    with threadpool_limits(limits=2, user_api="blas"):
        with pytest.raises(InputError):
            _seen_inside(InputError("value", got=1, allowed="2"))
        assert set(_threads()) == {2}

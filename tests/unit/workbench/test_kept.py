"""What was worked out lately: asked for by several at once it is worked out once."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from trials.workbench._kept import kept, searched


@pytest.mark.parametrize("ask", [kept, searched])
def test_the_same_question_of_many_at_once_is_worked_out_once(ask: object) -> None:
    made, may_end = [], threading.Event()

    def make() -> str:
        made.append(1)
        assert may_end.wait(20)
        return "answer"

    rests_on = (ask.__name__, 1)  # type: ignore[attr-defined]  # a function
    with ThreadPoolExecutor(6) as pool:
        asked = [pool.submit(ask, "question", rests_on, make) for _ in range(6)]  # type: ignore[arg-type]  # a function
        may_end.set()
        assert [one.result(20) for one in asked] == ["answer"] * 6
    assert len(made) == 1


def test_searches_are_made_one_at_a_time_and_answers_do_not_wait() -> None:
    assert searched("known", 1, lambda: 1) == 1
    at_work, may_end = threading.Event(), threading.Event()
    together = []

    def slow() -> int:
        at_work.set()
        assert may_end.wait(20)
        together.append("slow")
        return 2

    with ThreadPoolExecutor(3) as pool:
        first = pool.submit(searched, "slow", 1, slow)
        assert at_work.wait(20)
        second = pool.submit(searched, "other", 1, lambda: together.append("other"))
        # Known already: it is given while the slow one is at work.
        assert pool.submit(searched, "known", 1, lambda: 99).result(20) == 1
        assert together == []
        may_end.set()
        assert first.result(20) == 2
        second.result(20)
    assert together == ["slow", "other"]


def test_a_question_that_fails_can_be_asked_again() -> None:
    def fail() -> int:
        raise ValueError("not this time")

    with pytest.raises(ValueError, match="not this time"):
        searched("fails", 1, fail)
    assert searched("fails", 1, lambda: 3) == 3

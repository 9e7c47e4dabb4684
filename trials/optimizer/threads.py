"""One thread of linear algebra for the search.

Its matrices have as many rows as there are runs. Sharing those out among threads takes longer than
solving them, and on a machine that is busy threads wait for each other many times as long.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from typing import ParamSpec, TypeVar

from threadpoolctl import ThreadpoolController

Given = ParamSpec("Given")
Answer = TypeVar("Answer")


def on_one_core(function: Callable[Given, Answer]) -> Callable[Given, Answer]:
    """The same function with one thread of linear algebra while it runs, as many as before after.

    The count is one of the whole process: what other threads of Python compute meanwhile takes one
    as well.
    """

    @wraps(function)
    def alone(*args: Given.args, **kwargs: Given.kwargs) -> Answer:
        with _libraries().limit(limits=1, user_api="blas"):
            return function(*args, **kwargs)

    return alone


@cache
def _libraries() -> ThreadpoolController:
    return ThreadpoolController()

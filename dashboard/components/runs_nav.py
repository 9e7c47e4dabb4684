"""The way from one run of a trial to its others."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import texts
from dashboard.components.aria import aria


def runs_nav(
    numbers: Sequence[int], here: int, address: Callable[[int], str], label: str
) -> Component:
    """Links to runs; of many, those beside this one with the first and the last.

    Args:
        numbers: of the runs, in order.
        here: the run that is shown.
        address: of the page of a run.
        label: what the links are, read aloud.
    """
    place = numbers.index(here) if here in numbers else 0
    near = set(numbers[max(0, place - 4) : place + 5]) | {numbers[0], numbers[-1]}
    return html.Nav(
        [
            html.Span(texts.HOLES_RUN.format(number=number), className="way here",
                      **aria(current="page"))
            if number == here
            else dcc.Link(texts.HOLES_RUN.format(number=number), href=address(number),
                          className="way")
            for number in numbers
            if number in near
        ],
        className="runs-of",
        **aria(label=label),
    )  # fmt: skip

"""What a page is: how it is made, and which callbacks it needs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dash import Dash
from dash.development.base_component import Component

if TYPE_CHECKING:
    from trials.workbench import Workbench

    Layout = Callable[..., tuple[Component, str]]  # workbench, show, trial, and a run if it has one
    Register = Callable[[Dash, Workbench], None]


def _nothing(app: Dash, workbench: Workbench) -> None:
    """A page without callbacks of its own."""


@dataclass(frozen=True, slots=True)
class Page:
    """One page.

    Args:
        layout: makes content and title from the workbench, the reader's choices and the name of
            the trial (empty for the list of trials).
        register: adds the page's callbacks to an app.
        of_a_run: its layout takes the number of the run in the address, or None, as well.
        stays: it is not made anew when the reader changes units, because things are typed into it.
        edits: it serves only to change something, so readers are told that they may not.
        priced: it is about money, so those who see no prices are told that it is not shown.
    """

    layout: Layout
    register: Register = _nothing
    of_a_run: bool = False
    stays: bool = False
    edits: bool = False
    priced: bool = False

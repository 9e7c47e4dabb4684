"""Callbacks that run in the browser itself; they are written in ``assets/view.js``."""

from __future__ import annotations

from dash import ClientsideFunction, Dash, Input, Output, State


def in_browser(app: Dash, function: str, *parts: Output | Input | State) -> None:
    """Connect one of our functions in the browser to what it reads and writes."""
    app.clientside_callback(  # type: ignore[no-untyped-call]  # dash gives it no types
        ClientsideFunction("holewise", function), *parts, prevent_initial_call=False
    )

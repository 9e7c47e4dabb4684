"""Tiles: one large figure with its name above and a remark below."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components.table import Cell


def quantity(text: str) -> list[Component]:
    """A value with a smaller unit behind it, kept on one line."""
    number, _, unit = text.replace("\u00a0", " ").rpartition(" ")
    return [html.Span(number or unit, className="digits"),
            html.Span(f" {unit}" if number else "", className="unit")]  # fmt: skip


def tile(name: str, value: Cell | list[Component], note: Cell = "", *, kind: str = "") -> html.Div:
    """A name, a value and a remark, read aloud in this order."""
    return html.Div(
        [
            html.Dt(name),
            html.Dd(value, className="value"),
            html.Dd(note, className="note") if note else None,
        ],
        className=f"tile {kind}".strip(),
    )


def tiles(parts: Sequence[Component], *, kind: str = "") -> html.Dl:
    """Tiles side by side, as many as the width takes."""
    return html.Dl(list(parts), className=f"tiles {kind}".strip())

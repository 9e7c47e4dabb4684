"""Tables: plain HTML, so that they can be read aloud, printed, and folded on a phone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import compress
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.access import viewer
from dashboard.components.aria import SILENT
from trials.figures import end_mark
from trials.model import End

Cell = Component | str


def table(
    columns: Mapping[str, str],
    rows: Iterable[Sequence[Cell]],
    *,
    caption: str,
    numbers: Sequence[str] = (),
    money: Sequence[str] = (),
    folds: bool = True,
) -> html.Div:
    """Lay rows out under named columns; the first cell of a row is its heading.

    Args:
        columns: key and heading of each column.
        rows: as many cells as columns in each.
        caption: what the table holds; read aloud, not drawn.
        numbers: keys of columns that hold numbers and stand to the right.
        money: keys of columns that are left out for those who see no prices.
        folds: on a phone each row becomes a card; false for tables that are narrow anyway.
    """
    hidden = () if viewer().sees_prices else money
    kept = [key not in hidden for key in columns]
    columns = {key: heading for key, heading in columns.items() if key not in hidden}
    keys = list(columns)
    body = [_row(columns, keys, list(compress(row, kept)), numbers) for row in rows]
    head = html.Tr(
        [
            html.Th(heading, scope="col", className="number" if key in numbers else "")
            for key, heading in columns.items()
        ]
    )
    return html.Div(
        html.Table(
            [
                html.Caption(caption, className="read-aloud"),
                html.Thead(head),
                html.Tbody(body),
            ]
        ),
        className="table folds" if folds else "table",
    )


def _row(
    columns: Mapping[str, str], keys: Sequence[str], row: Sequence[Cell], numbers: Sequence[str]
) -> html.Tr:
    cells: list[Component] = []
    for key, value in zip(keys, row, strict=True):
        kind = "number" if key in numbers else ""
        if not cells:
            cells.append(html.Th(value, scope="row", className=kind, **_label(columns[key])))
        else:
            cells.append(html.Td(value, className=kind, **_label(columns[key])))
    return html.Tr(cells)


def _label(heading: str) -> dict[str, Any]:
    # On a phone each row folds into a card, where the style sheet draws this before the value.
    return {"data-label": heading}


def end_cell(end: End | None, otherwise: str) -> html.Span:
    """How a run ended: sign, word and colour; or its state in words when it has not."""
    look = end_mark(end)
    return html.Span(
        [
            html.Span(look.sign, className="sign", **SILENT),
            html.Span(look.word if end is not None else otherwise),
        ],
        className=f"end {look.role}",
    )

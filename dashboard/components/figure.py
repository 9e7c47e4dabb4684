"""A figure with the sentence that says the same, for those who cannot or need not see it."""

from __future__ import annotations

from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.aria import aria


def figure(
    drawing: Any,
    *,
    title: str,
    sentence: Component | str,
    ident: str,
    size: str = "medium",
    legend: Component | None = None,
) -> html.Figure:
    """Frame a drawing: title above, sentence below, height by ``size`` (small, medium, large)."""
    return html.Figure(
        [
            html.H2(title, className="figure-title"),
            legend,
            html.Div(
                dcc.Graph(
                    id=ident,
                    figure=drawing,
                    # No tool bar: on a tablet it is in the way, and the numbers are in a table.
                    config={"displayModeBar": False, "responsive": True, "showTips": False},
                    className="drawing",
                    responsive=True,
                ),
                className=f"drawing-box {size}",
                role="img",
                **aria(label=title),
            ),
            html.Figcaption(sentence, className="sentence"),
        ],
        className="figure",
    )

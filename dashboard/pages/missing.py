"""An address that leads nowhere, or to a page that cannot be shown."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import links, texts


def layout(reason: Component | None = None, *, title: str = texts.MISSING_TITLE) -> Component:
    """Say what is wrong and lead back."""
    return html.Article(
        [
            html.H1(title),
            reason if reason is not None else html.P(texts.MISSING_TEXT),
            html.P(dcc.Link(texts.MISSING_BACK, href=links.HOME, className="button")),
        ]
    )

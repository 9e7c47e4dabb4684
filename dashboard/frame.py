"""What every page has: the way to skip, the head, who is signed in, the place for the page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids, links, texts
from dashboard.access import OPEN, viewer
from dashboard.components import aria
from dashboard.sign_in import SIGN_OUT
from dashboard.texts import access as access_texts

if TYPE_CHECKING:
    from trials.workbench import Workbench


def frame(workbench: Workbench) -> Component:
    """The frame for whoever asks; their units are the shop's until they choose their own."""
    shop = workbench.settings()
    return html.Div(
        [
            dcc.Location(id=ids.LOCATION, refresh="callback-nav"),
            dcc.Store(id=ids.VIEW),
            dcc.Store(id=ids.VIEW_SCHEME),
            dcc.Store(id=ids.VIEW_SHOP, data={"system": shop.units, "decimal": shop.decimal}),
            dcc.Store(id=ids.PAGE_TITLE),
            dcc.Store(id=ids.PAGE_TITLE_DONE),
            html.A(texts.SKIP_TO_CONTENT, href=f"#{ids.PAGE}", className="skip"),
            html.Header(
                [
                    dcc.Link(
                        [
                            html.Img(src="/assets/mark.svg", alt="", width="28", height="28"),
                            html.Span(texts.PROGRAM),
                        ],
                        href=links.HOME,
                        className="brand",
                    ),
                    html.Span(shop.name, className="shop") if shop.name else None,
                    html.Nav(
                        [
                            dcc.Link(texts.NAV_TRIALS, href=links.HOME),
                            dcc.Link(texts.NAV_HISTORY, href=links.history()),
                            dcc.Link(texts.NAV_HEALTH, href=links.health()),
                            dcc.Link(texts.NAV_SETTINGS, href=links.settings()),
                        ],
                        **aria(label=texts.PROGRAM),
                    ),
                    _who(),
                    html.Div(
                        [
                            _switch(
                                texts.UNITS_LABEL,
                                (ids.UNITS_METRIC, texts.UNITS_METRIC),
                                (ids.UNITS_INCH, texts.UNITS_INCH),
                            ),
                            _switch(
                                texts.DECIMAL_LABEL,
                                (ids.DECIMAL_POINT, texts.DECIMAL_POINT),
                                (ids.DECIMAL_COMMA, texts.DECIMAL_COMMA),
                            ),
                        ],
                        className="switches",
                    ),
                ],
                className="head",
            ),
            html.Div(id=ids.PROBLEM),
            html.Main(html.P(texts.LOADING, className="loading"), id=ids.PAGE, tabIndex="-1"),
        ],
        className="frame",
    )


def _who() -> Component | None:
    """Who is signed in, and the way out; nothing where nobody has to sign in."""
    who = viewer()
    if who is OPEN:
        return None
    said = (
        access_texts.SIGNED_IN_AS.format(name=who.name, role=access_texts.ROLES[who.role])
        if who.name
        else access_texts.SIGNED_IN_SHARED
    )
    return html.Div(
        [html.Span(said), html.A(access_texts.SIGN_OUT, href=SIGN_OUT)], className="who"
    )


def _switch(label: str, *choices: tuple[str, str]) -> html.Div:
    return html.Div(
        [html.Button(text, id=ident, type="button", n_clicks=0) for ident, text in choices],
        className="switch",
        role="group",
        **aria(label=label),
    )

"""The Dash app over one workbench: frame, addresses, security headers."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, Any

import flask
from dash import Dash, Input, Output, State, dcc, html, set_props
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboard import ids, links, texts
from dashboard.browser import in_browser
from dashboard.components import aria, problem
from dashboard.pages import PAGES, missing
from dashboard.photos import register_pictures
from dashboard.show import Show
from trials.errors import HolewiseError, NotFoundError

if TYPE_CHECKING:
    from trials.workbench import Workbench

log = logging.getLogger(__name__)

_INDEX = (
    """<!DOCTYPE html>
<html lang="en">
  <head>
    {%metas%}
    <meta name="color-scheme" content="light dark">
    <title>{%title%}</title>
    <link rel="icon" type="image/svg+xml" href="/assets/mark.svg">
    {%css%}
  </head>
  <body>
    <noscript>"""
    + texts.NEEDS_SCRIPT
    + """</noscript>
    {%app_entry%}
    <footer>{%config%}{%scripts%}{%renderer%}</footer>
  </body>
</html>"""
)


def create_app(workbench: Workbench) -> Dash:
    """Make the dashboard of one shop's data folder.

    Args:
        workbench: an open workbench; it is called from the server's threads and stays open until
            the caller closes it.

    Returns:
        A Dash app of its own (nothing is global), ready to be served: ``create_app(w).server``
        is the WSGI application.
    """
    app = Dash(
        "dashboard",
        title=texts.PROGRAM,
        update_title="",
        index_string=_INDEX,
        suppress_callback_exceptions=True,  # each page brings its own components
        serve_locally=True,
        add_log_handler=False,
        on_error=_show_unexpected,
    )
    app.layout = _frame()
    _register_view(app)
    _register_pages(app, workbench)
    for page in PAGES.values():
        page.register(app, workbench)
    register_pictures(app.server, workbench)
    _secure(app)
    return app


def _frame() -> Component:
    """What every page has: the way to skip, the head, the place for the page."""
    return html.Div(
        [
            dcc.Location(id=ids.LOCATION, refresh="callback-nav"),
            dcc.Store(id=ids.VIEW),
            dcc.Store(id=ids.VIEW_SCHEME),
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
                    html.Nav(
                        dcc.Link(texts.NAV_TRIALS, href=links.HOME),
                        **aria(label=texts.PROGRAM),
                    ),
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
                className="head",
            ),
            html.Div(id=ids.PROBLEM),
            html.Main(html.P(texts.LOADING, className="loading"), id=ids.PAGE, tabIndex="-1"),
        ],
        className="frame",
    )


def _switch(label: str, *choices: tuple[str, str]) -> html.Div:
    return html.Div(
        [html.Button(text, id=ident, type="button", n_clicks=0) for ident, text in choices],
        className="switch",
        role="group",
        **aria(label=label),
    )


def _register_view(app: Dash) -> None:
    """What the browser alone knows becomes one value, so that a page is made once."""
    in_browser(
        app,
        "view",
        Output(ids.VIEW, "data"),
        Output(ids.UNITS_METRIC, "aria-pressed"),
        Output(ids.UNITS_INCH, "aria-pressed"),
        Output(ids.DECIMAL_POINT, "aria-pressed"),
        Output(ids.DECIMAL_COMMA, "aria-pressed"),
        Input(ids.LOCATION, "pathname"),
        Input(ids.UNITS_METRIC, "n_clicks"),
        Input(ids.UNITS_INCH, "n_clicks"),
        Input(ids.DECIMAL_POINT, "n_clicks"),
        Input(ids.DECIMAL_COMMA, "n_clicks"),
        Input(ids.VIEW_SCHEME, "data"),
    )
    in_browser(
        app,
        "title",
        Output(ids.PAGE_TITLE_DONE, "data"),
        Input(ids.PAGE_TITLE, "data"),
    )


def _register_pages(app: Dash, workbench: Workbench) -> None:
    @app.callback(
        Output(ids.PAGE, "children"),
        Output(ids.PAGE_TITLE, "data"),
        Output(ids.PROBLEM, "children"),
        Input(ids.VIEW, "data"),
        State(ids.PAGE_TITLE, "data"),
        prevent_initial_call=True,
    )
    def show_page(
        view: dict[str, Any], shown: dict[str, str] | None
    ) -> tuple[Any, dict[str, str], None]:
        path = str(view.get("path", "/"))
        name, trial = links.read(path)
        page = PAGES.get(name)
        if page is not None and page.stays and shown is not None and shown["path"] == path:
            raise PreventUpdate
        content: Component
        if page is None:
            title, content = texts.MISSING_TITLE, missing.layout()
        else:
            try:
                run = (links.run_of(path),) if page.of_a_run else ()
                content, title = page.layout(workbench, Show.from_view(view), trial, *run)
            except NotFoundError as error:
                title, content = texts.MISSING_TITLE, missing.layout(problem(error))
            except HolewiseError as error:
                title = texts.PROBLEM_TITLE
                content = missing.layout(problem(error), title=title)
        heading = texts.PROGRAM if title == texts.PROGRAM else f"{title} · {texts.PROGRAM}"
        return content, {"title": heading, "path": path}, None


def _show_unexpected(error: Exception) -> None:
    """Say that something went wrong; the details go to the log, not to the screen."""
    log.error("a callback of the dashboard failed", exc_info=error)
    message = error if isinstance(error, HolewiseError) else texts.PROBLEM_UNEXPECTED
    set_props(ids.PROBLEM, {"children": problem(message)})


def _secure(app: Dash) -> None:
    """Only this server's own scripts run, nobody frames the page, no other site posts to it."""
    scripts = " ".join(["'self'", *app.csp_hashes()])
    policy = "; ".join(
        (
            "default-src 'self'",
            f"script-src {scripts}",
            # The drawings set style attributes on their own parts; scripts stay closed.
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "object-src 'none'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )
    server: flask.Flask = app.server

    @server.before_request
    def refuse_other_sites() -> tuple[str, int] | None:
        # Browsers say where a request comes from; one that another site's page makes is refused.
        came_from = flask.request.headers.get("Sec-Fetch-Site", "none")
        if flask.request.method == "POST" and came_from not in ("same-origin", "none"):
            return texts.PROBLEM_OTHER_SITE, 403
        return None

    @server.after_request
    def add_headers(response: flask.Response) -> flask.Response:
        response.headers["Content-Security-Policy"] = policy
        response.headers["X-Content-Type-Options"] = "nosniff"
        response.headers["X-Frame-Options"] = "DENY"
        response.headers["Referrer-Policy"] = "no-referrer"
        return response

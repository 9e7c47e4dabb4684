"""The Dash app over one workbench: frame, addresses, security headers."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, html, set_props
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboard import drawing, ids, links, texts
from dashboard.access import require_editor, require_prices
from dashboard.browser import in_browser
from dashboard.components import problem
from dashboard.door import guard
from dashboard.frame import frame
from dashboard.money import hide_from_some
from dashboard.pages import PAGES, missing
from dashboard.photos import register_pictures
from dashboard.probes import register_probes
from dashboard.seen import as_seen
from dashboard.show import Show
from dashboard.sign_in import Entry, Rules
from dashboard.texts import access as access_texts
from trials.errors import AccessError, HolewiseError, NotFoundError

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
    <!-- Drawing takes a large script, which is fetched beside the others and not after them. -->
    <link rel="prefetch" as="script" href="/_dash-component-suites/dash/dcc/async-graph.js">
    <link rel="prefetch" as="script" href='"""
    + drawing.ADDRESS
    + """'>
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


def create_app(workbench: Workbench, rules: Rules | None = None) -> Dash:
    """Make the dashboard of one shop's data folder.

    Args:
        workbench: an open workbench; it is called from the server's threads and stays open until
            the caller closes it.
        rules: who has to sign in and how; left out, only people who were added have to.

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
    seen = as_seen(workbench)
    app.layout = lambda: frame(workbench)
    _register_view(app)
    _register_pages(app, seen)
    for page in PAGES.values():
        page.register(app, seen)
    register_pictures(app.server, seen)
    rules = rules or Rules()
    guard(app, rules)
    Entry(workbench, rules).add_to(app.server)
    register_probes(app.server, seen)
    drawing.serve_smaller_script(app.server)
    hide_from_some(app, workbench)
    return app


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
        State(ids.VIEW_SHOP, "data"),
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
                if page.edits:
                    require_editor()
                if page.priced:
                    require_prices()
                run = (links.run_of(path),) if page.of_a_run else ()
                content, title = page.layout(workbench, Show.from_view(view), trial, *run)
            except NotFoundError as error:
                title, content = texts.MISSING_TITLE, missing.layout(problem(error))
            except AccessError as error:
                title = access_texts.NOT_FOR_YOU
                content = missing.layout(html.P(str(error)), title=title)
            except HolewiseError as error:
                title = texts.PROBLEM_TITLE
                content = missing.layout(problem(error), title=title)
        heading = texts.PROGRAM if title == texts.PROGRAM else f"{title} · {texts.PROGRAM}"
        return content, {"title": heading, "path": path}, None


def _show_unexpected(error: Exception) -> None:
    """Say that something went wrong; the details go to the log, not to the screen."""
    if isinstance(error, AccessError):
        log.info("a callback was refused: %s", error)
    else:
        log.error("a callback of the dashboard failed", exc_info=error)
    message = error if isinstance(error, HolewiseError) else texts.PROBLEM_UNEXPECTED
    set_props(ids.PROBLEM, {"children": problem(message)})

"""Messages: a problem, an empty page that says what to do, a command to type, the cautions."""

from __future__ import annotations

from collections.abc import Sequence

from dash import dcc, html

from dashboard import links, texts
from dashboard.components.aria import SILENT
from trials.errors import HolewiseError


def problem(error: HolewiseError | str) -> html.Div:
    """An error as a paragraph that is also announced."""
    return html.Div(
        [html.Span("!", className="sign", **SILENT), html.P(str(error))],
        className="message problem",
        role="alert",
    )


def command(line: str) -> html.Pre:
    """A line to type on the command line; wrapped, never cut off."""
    return html.Pre(html.Code(line), className="command")


def empty_state(
    title: str, text: str, commands: Sequence[str] = (), *, trial: str | None = None
) -> html.Section:
    """What to show, and what to do, when there is nothing yet; of a trial with the way to it."""
    go = None
    if trial is not None:
        way = dcc.Link(texts.EMPTY_GO, href=links.trial(trial), className="button main")
        go = html.P(way, className="moves")
    return html.Section(
        [html.H2(title), html.P(text), *(command(line) for line in commands), go],
        className="empty",
    )


def cautions() -> html.Aside:
    """The usual cautions, short."""
    return html.Aside(
        [
            html.H2([html.Span("△", className="sign", **SILENT),
                     texts.CAUTIONS_TITLE]),
            html.P(texts.CAUTIONS),
        ],
        className="cautions",
    )  # fmt: skip

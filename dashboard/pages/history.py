"""Questions over all trials: a form, and answers that come once the page stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.access import viewer
from dashboard.components import aria, problem
from dashboard.pages.history_answers import answers
from dashboard.show import Show
from dashboard.texts import history as texts
from trials import units
from trials.errors import HolewiseError
from trials.model import ISO_GROUP_NAMES, ISO_GROUPS, LikeJobs

if TYPE_CHECKING:
    from trials.workbench import Workbench

_SPANS = {"hardness": texts.HARDNESS, "diameter": texts.DIAMETER, "depth": texts.DEPTH}


def layout(workbench: Workbench, show: Show, _trial: str) -> tuple[Component, str]:
    """The form, filled in for jobs like the one that was worked on last."""
    last = workbench.last_job() or workbench.last_job(invented=True)
    like = LikeJobs() if last is None else workbench.like_jobs(last)
    parts: list[Component | None] = [
        html.H1(texts.TITLE),
        html.P(texts.INTRO, className="intro"),
        _form(replace(like, currency=None), show),
        html.P(texts.BEGUN.format(trial=last), className="aside") if last else None,
        html.Div(
            html.P(texts.WORKING, className="working"), id=ids.HISTORY_SHOWN, className="parts",
            **aria(live="polite"),
        ),
    ]  # fmt: skip
    return html.Article([part for part in parts if part is not None], className="history"), (
        texts.TITLE
    )


def register(app: Dash, workbench: Workbench) -> None:
    """The answers, when the page stands and when somebody asks."""

    @app.callback(
        Output(ids.HISTORY_SHOWN, "children"),
        Input(ids.HISTORY_ASK, "n_clicks"),
        Input(ids.VIEW, "data"),
        State(ids.HISTORY_GROUP, "value"),
        State(ids.HISTORY_MATERIAL, "value"),
        State({"type": ids.HISTORY_SPAN, "what": "hardness", "end": "from"}, "value"),
        State({"type": ids.HISTORY_SPAN, "what": "hardness", "end": "to"}, "value"),
        State({"type": ids.HISTORY_SPAN, "what": "diameter", "end": "from"}, "value"),
        State({"type": ids.HISTORY_SPAN, "what": "diameter", "end": "to"}, "value"),
        State({"type": ids.HISTORY_SPAN, "what": "depth", "end": "from"}, "value"),
        State({"type": ids.HISTORY_SPAN, "what": "depth", "end": "to"}, "value"),
        State(ids.HISTORY_KIND, "value"),
        State(ids.HISTORY_CURRENCY, "value"),
        running=[(Output(ids.HISTORY_ASK, "disabled"), True, False)],
    )
    def answer(
        _clicks: int | None, view: Mapping[str, Any], group: str, material: str | None,
        *typed: str | None,
    ) -> list[Component] | Component:  # fmt: skip
        show = Show.from_view(view)
        try:
            like = asked(show, group, material, typed[:6], typed[6], typed[7])
            return answers(workbench, show, like)
        except HolewiseError as error:
            return problem(error)


def asked(
    show: Show, group: str, material: str | None, spans: tuple[str | None, ...], kind: str | None,
    currency: str | None,
) -> LikeJobs:  # fmt: skip
    """The question that was typed.

    Raises:
        InputError: a text is no number, or one of a pair is missing or larger than the other.
    """
    pairs = dict(zip(_SPANS, zip(spans[::2], spans[1::2], strict=True), strict=True))
    bare = "mm" if show.system == "metric" else "in"
    found = {
        what: _span(what, pair, bare if what == "diameter" else "") for what, pair in pairs.items()
    }
    return LikeJobs(
        group=next((letter for letter in ISO_GROUPS if letter == group), None),
        material=(material or "").strip(),
        hardness_hb=found["hardness"],
        diameter_mm=found["diameter"],
        depth_xd=found["depth"],
        currency=(currency or "").strip().upper() or None,
        invented=kind == "invented",
    )


def _span(what: str, typed: tuple[str | None, str | None], bare: str) -> tuple[float, float] | None:
    """Both ends; one that is left empty is as far as can be."""
    least, most = 1e-3, 1e5
    ends = []
    for text, end, otherwise in zip(typed, (texts.FROM, texts.TO), (least, most), strict=True):
        named = end.format(what=_SPANS[what])
        plain = (text or "").strip()
        if not plain:
            ends.append(otherwise)
        elif bare:
            given = plain if plain[-1].isalpha() or plain[-1] == '"' else f"{plain} {bare}"
            ends.append(units.parse(given, to="mm", what=named))
        else:
            ends.append(units.parse_number(plain, what=named))
    return None if ends == [least, most] else (ends[0], ends[1])


def _form(like: LikeJobs, show: Show) -> Component:
    def text(ident: Any, label: str, value: str, most: int = 60) -> Component:
        return html.Label(
            [label, dcc.Input(id=ident, value=value, type="text", autoComplete="off",
                              maxLength=most)],
            className="field",
        )  # fmt: skip

    def pair(what: str, values: tuple[str, str]) -> Component:
        return html.Div(
            [
                text({"type": ids.HISTORY_SPAN, "what": what, "end": end},
                     words.format(what=_SPANS[what]), value)
                for end, words, value in zip(("from", "to"), (texts.FROM, texts.TO), values,
                                             strict=True)
            ],
            className="pair",
        )  # fmt: skip

    def choice(ident: str, label: str, choices: Mapping[str, str], value: str) -> Component:
        return html.Fieldset(
            [html.Legend(label),
             dcc.RadioItems([{"label": word, "value": key} for key, word in choices.items()],
                            value, id=ident, inline=True, className="choice")],
            className="field wide",
        )  # fmt: skip

    def shown(span: tuple[float, float] | None, digits: int) -> tuple[str, str]:
        if span is None:
            return "", ""
        low, high = (f"{value:.{digits}f}" for value in span)
        return (low, high) if show.decimal == "." else (low.replace(".", ","),
                                                        high.replace(".", ","))  # fmt: skip

    diameter = ("", "") if like.diameter_mm is None else tuple(
        show.length(value).replace("\u00a0", " ") for value in like.diameter_mm
    )  # fmt: skip
    groups: dict[str, str] = {"": texts.ANY}
    for letter in ISO_GROUPS:
        groups[letter] = f"{letter} {ISO_GROUP_NAMES[letter]}"
    currency = text(ids.HISTORY_CURRENCY, texts.CURRENCY, like.currency or "", 3)
    hidden = html.Div(currency, hidden=True)
    return html.Section(
        [
            html.H2(texts.FORM),
            html.Div(
                [
                    choice(ids.HISTORY_GROUP, texts.GROUP, groups, like.group or ""),
                    text(ids.HISTORY_MATERIAL, texts.MATERIAL, like.material),
                    pair("diameter", (diameter[0], diameter[1])),
                    pair("depth", shown(like.depth_xd, 1)),
                    pair("hardness", shown(like.hardness_hb, 0)),
                    currency if viewer().sees_prices else hidden,
                    choice(ids.HISTORY_KIND, texts.KIND, texts.KINDS,
                           "invented" if like.invented else "real"),
                ],
                className="fields",
            ),
            html.P(texts.HELP.format(unit="mm" if show.system == "metric" else "inch"),
                   className="aside"),
            html.Button(texts.ASK, id=ids.HISTORY_ASK, type="button", n_clicks=0,
                        className="button main"),
        ]
    )  # fmt: skip

"""Amounts of money in what goes out to those who see no prices: the last thing that is looked at.

Pages hide money by themselves, and `dashboard.seen` refuses what is about money. Sentences come
from many places, and people write notes; so whatever sentence names an amount is left out here.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import flask
from dash import Dash

from dashboard.access import viewer
from dashboard.texts import access as texts

if TYPE_CHECKING:
    from trials.workbench import Workbench

_BLANK = r"[\s\u00a0\u202f]*"
_SENTENCE_END = re.compile(r"(?<=[.!?;])\s+")


def without_amounts(value: Any, currencies: Iterable[str]) -> Any:
    """A JSON value in which no text names an amount in one of these currencies.

    Of a text of several sentences only those go that name one; of others all of it.
    """
    codes = "|".join(sorted(re.escape(code) for code in currencies))
    amount = re.compile(rf"\d{_BLANK}(?:{codes})\b|\b(?:{codes}){_BLANK}[\d−-]")
    return _walk(value, amount)


def _walk(value: Any, amount: re.Pattern[str]) -> Any:
    if isinstance(value, str):
        if amount.search(value) is None:
            return value
        kept = [one for one in _SENTENCE_END.split(value) if amount.search(one) is None]
        return " ".join(kept) or texts.HIDDEN
    if isinstance(value, list):
        return [_walk(one, amount) for one in value]
    if isinstance(value, dict):
        return {name: _walk(one, amount) for name, one in value.items()}
    return value


def hide_from_some(app: Dash, workbench: Workbench) -> None:
    """Look through every answer of an app to those who see no prices."""

    server: flask.Flask = app.server

    @server.after_request
    def look_through(response: flask.Response) -> flask.Response:
        if viewer().sees_prices or response.mimetype != "application/json":
            return response
        plain = json.loads(response.get_data())
        codes = {one.currency for one in workbench.trials()}
        hidden = without_amounts(plain, codes | {workbench.settings().currency})
        response.set_data(json.dumps(hidden, ensure_ascii=False))
        return response

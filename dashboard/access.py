"""Who is looking: what a page may show, and whether a callback may change anything.

Without people or a password set up nobody signs in, and whoever reaches the dashboard, which is
this computer alone, is an editor who sees prices.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import flask

from dashboard.texts import access as texts
from trials.errors import AccessError

Role = Literal["editor", "reader"]


@dataclass(frozen=True, slots=True)
class Viewer:
    """Who asks for a page.

    Args:
        name: of the person; empty where nobody signs in by name.
        role: an editor may change things, a reader only looks.
        sees_prices: false hides prices and every cost that follows from them.
    """

    name: str
    role: Role
    sees_prices: bool

    @property
    def may_edit(self) -> bool:
        """Whether this person may change anything."""
        return self.role == "editor"


OPEN = Viewer("", "editor", sees_prices=True)


def viewer() -> Viewer:
    """Who makes the request that is being answered; outside of one, the program itself."""
    if not flask.has_request_context():
        return OPEN
    found: Viewer = flask.g.get("viewer", OPEN)
    return found


def see_as(who: Viewer) -> None:
    """Say who makes the request that is being answered."""
    flask.g.viewer = who


def require_editor() -> None:
    """Refuse a reader; every callback that changes something calls it before anything else.

    Raises:
        AccessError: the person who asks may only look.
    """
    if not viewer().may_edit:
        raise AccessError(texts.READER_MAY_NOT, do=texts.READER_ASK)


def require_prices() -> None:
    """Refuse whoever may not see prices.

    Raises:
        AccessError: the person who asks sees no prices.
    """
    if not viewer().sees_prices:
        raise AccessError(texts.NO_PRICES, do=texts.NO_PRICES_ASK)

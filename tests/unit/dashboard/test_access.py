"""Who looks: known for the length of a request, and refused in words."""

from __future__ import annotations

import flask
import pytest

from dashboard import access
from dashboard.access import Viewer
from trials.errors import AccessError


def test_without_anything_set_up_one_may_do_all() -> None:
    with flask.Flask("test").test_request_context("/"):
        assert access.viewer() == Viewer("", "editor", sees_prices=True)
        access.require_editor()
        access.require_prices()


@pytest.mark.parametrize(
    ("who", "refused"),
    [
        (Viewer("rep", "reader", sees_prices=True), access.require_editor),
        (Viewer("cell 3", "editor", sees_prices=False), access.require_prices),
    ],
)
def test_who_may_not_is_told_so(who: Viewer, refused: object) -> None:
    with flask.Flask("test").test_request_context("/"):
        access.see_as(who)
        assert access.viewer() == who
        assert callable(refused)
        with pytest.raises(AccessError, match=r"\bAsk the person who runs the dashboard"):
            refused()


def test_one_request_does_not_see_the_next() -> None:
    app = flask.Flask("test")
    with app.test_request_context("/"):
        access.see_as(Viewer("rep", "reader", sees_prices=False))
    with app.test_request_context("/"):
        assert access.viewer() == access.OPEN

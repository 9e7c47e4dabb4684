"""Pictures of photos, by their key alone: no name or path from a request is ever opened."""

from __future__ import annotations

import base64
import binascii
from typing import TYPE_CHECKING
from uuid import UUID

import flask

from dashboard.texts import look as texts
from trials.errors import InputError, NotFoundError

if TYPE_CHECKING:
    from trials.workbench import Workbench

# A little more than the largest photo, as the browser writes it.
MOST_CHARACTERS = 21 * 1024 * 1024


def register_pictures(server: flask.Flask, workbench: Workbench) -> None:
    """Serve each photo under its key; what it shows never changes."""

    @server.get("/photo/<uuid:key>")
    def picture(key: UUID) -> flask.Response:
        try:
            data = workbench.photo_bytes(key)
        except NotFoundError:
            flask.abort(404)
        answer = flask.Response(data, mimetype="image/jpeg")
        answer.headers["Cache-Control"] = "private, max-age=31536000, immutable"
        return answer


def uploaded(contents: str) -> bytes:
    """The bytes of an upload as the browser hands it over: ``data:…;base64,…``.

    Raises:
        InputError: too large, or not what a browser writes.
    """
    if len(contents) > MOST_CHARACTERS:
        raise InputError(texts.PHOTO_TOO_LARGE)
    head, comma, body = contents.partition(",")
    if not comma or not head.endswith(";base64"):
        raise InputError(texts.PHOTO_TOO_LARGE)
    try:
        return base64.b64decode(body, validate=True)
    except binascii.Error:
        raise InputError(texts.PHOTO_TOO_LARGE) from None

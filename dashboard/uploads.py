"""Files as the browser hands them over."""

from __future__ import annotations

import base64
import binascii

from dashboard.texts import take_in as texts
from trials.errors import InputError


def file_of(contents: object, name: object) -> tuple[str, bytes]:
    """Name and bytes of an upload, which comes as ``data:…;base64,…``.

    Raises:
        InputError: not what a browser writes.
    """
    if not isinstance(contents, str) or not isinstance(name, str) or not name.strip():
        raise InputError(texts.UNREADABLE)
    head, comma, body = contents.partition(",")
    if not comma or not head.startswith("data:") or not head.endswith(";base64"):
        raise InputError(texts.UNREADABLE)
    try:
        return name, base64.b64decode(body, validate=True)
    except binascii.Error:
        raise InputError(texts.UNREADABLE) from None

"""The script that draws figures: the part of plotly.js for flat axes, a third of the whole.

A browser reads and prepares all of a script before its first figure stands; on a tablet that is
most of the wait. Nothing here draws maps of the earth or in space, so the smaller build that the
makers of plotly publish is enough (docs/decisions/0027). It stands at the address where dash looks
for the whole one, while both are of the same major version: else the whole one is served as ever.
"""

from __future__ import annotations

import gzip
import re
from pathlib import Path

from flask import Flask, Response, request
from plotly.offline import get_plotlyjs_version

ADDRESS = "/_dash-component-suites/plotly/package_data/plotly.min.js"
SCRIPT = next((Path(__file__).parent / "assets").glob("plotly-cartesian-*.min.js.gz"))


def serve_smaller_script(server: Flask) -> None:
    """Answer for dash's drawing script with the smaller one, if it is of the same major version."""
    if _major(SCRIPT.name) != _major(get_plotlyjs_version()):
        return
    packed = SCRIPT.read_bytes()

    @server.get(ADDRESS)
    def drawing_script() -> Response:
        as_is = request.accept_encodings["gzip"] > 0
        answer = Response(packed if as_is else gzip.decompress(packed), mimetype="text/javascript")
        if as_is:
            answer.content_encoding = "gzip"
        answer.vary.add("Accept-Encoding")
        answer.add_etag()
        answer.make_conditional(request)
        return answer


def _major(text: str) -> str:
    return re.search(r"\d+", text)[0]  # type: ignore[index]  # every version begins with a number

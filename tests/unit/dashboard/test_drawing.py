"""The smaller drawing script: where dash looks for the whole one, and enough for all figures."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest
from flask import Flask
from plotly.offline import get_plotlyjs_version

from dashboard import drawing

FIGURES = Path(drawing.__file__).parents[1] / "trials" / "figures"


def served(accepts: str) -> tuple[bytes, str | None]:
    server = Flask("test")
    drawing.serve_smaller_script(server)
    answer = server.test_client().get(drawing.ADDRESS, headers={"Accept-Encoding": accepts})
    assert answer.status_code == 200
    assert answer.mimetype == "text/javascript"
    return answer.data, answer.headers.get("Content-Encoding")


def test_packed_for_a_browser_and_plain_for_whoever_cannot_unpack() -> None:
    packed, how = served("gzip, deflate, br")
    plain, as_is = served("")
    assert (how, as_is) == ("gzip", None)
    assert gzip.decompress(packed) == plain
    assert len(plain) < 2_000_000


def test_a_browser_that_has_it_is_not_sent_it_again() -> None:
    server = Flask("test")
    drawing.serve_smaller_script(server)
    client = server.test_client()
    first = client.get(drawing.ADDRESS, headers={"Accept-Encoding": "gzip"})
    again = client.get(
        drawing.ADDRESS,
        headers={"Accept-Encoding": "gzip", "If-None-Match": first.headers["ETag"]},
    )
    assert again.status_code == 304
    assert not again.data


def test_the_whole_script_stays_when_versions_part(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drawing, "get_plotlyjs_version", lambda: "99.0.0")
    server = Flask("test")
    drawing.serve_smaller_script(server)
    assert server.test_client().get(drawing.ADDRESS).status_code == 404  # dash's own answers then


def test_it_says_the_version_of_its_name_and_fits_the_plotly_here() -> None:
    head = gzip.decompress(drawing.SCRIPT.read_bytes())[:200].decode()
    version = re.search(r"v([\d.]+)", head)
    assert version is not None
    assert version[1] in drawing.SCRIPT.name
    assert version[1].split(".")[0] == get_plotlyjs_version().split(".")[0]


def test_it_draws_every_kind_of_trace_that_figures_use() -> None:
    script = gzip.decompress(drawing.SCRIPT.read_bytes()).decode()
    used = {
        kind.lower()
        for file in FIGURES.glob("*.py")
        for kind in re.findall(r"\bgo\.([A-Z]\w+)", file.read_text(encoding="utf-8"))
    } - {"figure"}
    assert used >= {"scatter", "bar", "contour"}
    missing = {kind for kind in used if f'moduleType:"trace",name:"{kind}"' not in script}
    assert not missing

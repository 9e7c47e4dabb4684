"""What is refused before any page sees it, answered in words; what every answer carries."""

from __future__ import annotations

from typing import Any

import pytest

from dashboard import Rules, create_app
from dashboard.door import MOST_BYTES
from dashboard.texts import door as texts
from tests.helpers.fake_workbench import FakeWorkbench, invented_runs, invented_trial

ASK = "/_dash-update-component"


def app(**rules: Any) -> Any:
    bench: Any = FakeWorkbench({"Bracket": (invented_trial("Bracket"), invented_runs())})
    return create_app(bench, Rules(**rules)).server


@pytest.mark.parametrize(
    "host", ["localhost", "127.0.0.1:8050", "[::1]:8050", "192.168.1.5", "cell-3"]
)
def test_addresses_and_known_names_are_answered(host: str) -> None:
    client = app(known_as=("Cell-3",)).test_client()
    assert client.get("/_dash-layout", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8050", "localhost.evil.example", "a@b"]
)
def test_a_strange_name_that_leads_here_is_refused(host: str) -> None:
    answer = app().test_client().get("/_dash-layout", headers={"Host": host})
    assert (answer.status_code, answer.text) == (421, texts.UNKNOWN_HOST)


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://localhost:9999"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_request_that_another_page_makes_is_refused(headers: dict[str, str]) -> None:
    client = app().test_client()
    assert client.post(ASK, json={}, headers={"Origin": "http://localhost"}).status_code == 400
    answer = client.post(ASK, json={}, headers=headers)
    assert (answer.status_code, answer.text) == (403, texts.OTHER_SITE)


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "", "text/json"]
)
def test_only_json_reaches_a_page(kind: str) -> None:
    # A form of another site can send these three kinds without being asked (Fetch, CORS).
    answer = app().test_client().post(ASK, data="{}", content_type=kind)
    assert (answer.status_code, answer.text) == (415, texts.NOT_OURS)


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"[]", b"7", b'{"output": "nowhere.children"}', b'{"output": 7, "inputs": {}}',
     b'{"output": "page.children", "inputs": [{"id": {"a": {"b": 1}}}], "changedPropIds": 3}',
     b"[" * 10_000],
)  # fmt: skip
def test_what_no_page_sends_is_answered_in_words(body: bytes) -> None:
    answer = app().test_client().post(ASK, data=body, content_type="application/json")
    assert (answer.status_code, answer.text) == (400, texts.NOT_OURS)
    assert answer.mimetype == "text/plain"


def test_a_body_that_is_too_large_is_not_read() -> None:
    body = b'{"output": "' + b"x" * MOST_BYTES + b'"}'
    answer = app().test_client().post(ASK, data=body, content_type="application/json")
    assert (answer.status_code, answer.text) == (413, texts.BY_STATUS[413])


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH"])
def test_other_methods_are_refused_in_words(method: str) -> None:
    answer = app().test_client().open("/trial/Bracket", method=method, json={})
    assert (answer.status_code, answer.text) == (405, texts.BY_STATUS[405])


@pytest.mark.parametrize(
    "path",
    ["/assets/../app.py", "/assets/..%2fapp.py", "/assets/%2e%2e/%2e%2e/pyproject.toml",
     "/assets//etc/passwd", "/assets/..\\app.py", "/assets/%00", "/assets/view.js%00.css",
     "/_dash-component-suites/dashboard/../app.py", "/_dash-component-suites/os/path.py",
     "/_dash-component-suites/dash/..%2f..%2fetc%2fpasswd", "/assets/" + "a" * 5000],
)  # fmt: skip
def test_no_path_of_a_request_is_opened(path: str) -> None:
    answer = app().test_client().get(path)
    assert "create_app" not in answer.text
    assert "root:" not in answer.text
    # Either refused in words or, where the path leads out of the assets, the empty frame.
    assert answer.status_code in (200, 400, 404, 500)
    if answer.status_code == 200:
        assert answer.mimetype == "text/html"
        assert "_dash-loading" in answer.text or "react-entry-point" in answer.text
    else:
        assert answer.text in texts.BY_STATUS.values()


def test_every_answer_carries_the_headers() -> None:
    client = app(behind_tls=True).test_client()
    for path in ("/", "/assets/base.css", "/_dash-layout", "/assets/none"):
        with client.get(path) as answer:
            headers = answer.headers
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["X-Frame-Options"] == "DENY"
        assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
        assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
        assert headers["Strict-Transport-Security"].startswith("max-age=")
    assert client.get("/_dash-layout").headers["Cache-Control"] == "no-store"
    assert "Strict-Transport-Security" not in app().test_client().get("/").headers

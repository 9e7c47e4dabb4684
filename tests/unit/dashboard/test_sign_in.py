"""Signing in: who gets in, for how long, and what a stranger learns."""

from __future__ import annotations

import logging
import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from unittest import mock

import pytest

from dashboard import Rules, create_app, rules_for, serve
from dashboard.attempts import FREE, Attempts
from dashboard.sign_in import SESSION_S, local_path
from dashboard.texts import access as texts
from tests.helpers.example_trial import example_trial
from trials.errors import InputError
from trials.workbench import Workbench

SECRET = "five short words here"
ASK = {"output": "page.children", "outputs": [], "inputs": [], "changedPropIds": []}


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as opened:
        opened.new_trial(example_trial("Bracket"))
        opened.add_person("Anna", SECRET, "editor")
        opened.add_person("Rep", SECRET + "!", "reader", sees_prices=False)
        yield opened


@pytest.fixture
def app(bench: Workbench) -> Any:
    return create_app(bench, Rules(must_sign_in=True)).server


def token(client: Any, path: str = "/sign-in") -> str:
    found = re.search(r'name="token" value="([^"]+)"', client.get(path).text)
    assert found, "a form carries a token"
    return found[1]


def head(client: Any) -> str:
    return str(client.get("/_dash-layout").json)


def sign_in(client: Any, name: str = "Anna", password: str = SECRET, **more: Any) -> Any:
    form = {"name": name, "password": password, "token": token(client)} | more
    return client.post("/sign-in", data=form)


def test_without_signing_in_nothing_of_the_shop_is_told(app: Any) -> None:
    client = app.test_client()
    answer = client.get("/trial/Bracket")
    assert answer.status_code == 302
    assert answer.headers["Location"] == "/sign-in?to=/trial/Bracket"
    for path in ("/_dash-layout", "/_dash-dependencies", "/assets/view.js"):
        assert client.get(path).status_code == 401, path
    asked = client.post("/_dash-update-component", json=ASK)
    assert (asked.status_code, asked.text) == (401, texts.SIGN_IN_FIRST)
    page = client.get("/sign-in").text
    assert "Bracket" not in page
    assert "<script" not in page


def test_who_signs_in_comes_to_the_page_that_was_asked_for(app: Any) -> None:
    client = app.test_client()
    answer = sign_in(client, "anna", to="/trial/Bracket")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/trial/Bracket")
    assert "Anna · editor" in head(client)


def test_the_cookie_is_kept_from_scripts_and_other_sites(bench: Workbench) -> None:
    for behind_tls in (False, True):
        app = create_app(bench, Rules(must_sign_in=True, behind_tls=behind_tls)).server
        cookie = sign_in(app.test_client()).headers.get_all("Set-Cookie")
        if behind_tls:  # the test client speaks plain HTTP, so a secure cookie is not kept by it
            cookie = app.test_client().get("/sign-in").headers.get_all("Set-Cookie")
        (text,) = cookie
        assert "HttpOnly" in text
        assert "SameSite=Lax" in text
        assert ("Secure" in text) is behind_tls
        assert text.startswith("__Host-holewise-" if behind_tls else "holewise-")


@pytest.mark.parametrize(("name", "password"), [("Anna", "wrong words"), ("Nobody", SECRET)])
def test_a_stranger_learns_nothing_from_the_answer(app: Any, name: str, password: str) -> None:
    answer = sign_in(app.test_client(), name, password)
    assert answer.status_code == 403
    assert texts.SIGN_IN_WRONG in answer.text
    assert SECRET not in answer.text


def test_a_name_that_is_not_known_costs_the_same_work(bench: Workbench) -> None:
    # Time cannot be asserted on a busy machine; that the same hash is worked out can.
    with mock.patch("trials.store._people.check_password_hash", return_value=False) as check:
        client = create_app(bench, Rules(must_sign_in=True)).server.test_client()
        sign_in(client, "Anna", "wrong words")
        sign_in(client, "Nobody", "wrong words")
    kinds = [call.args[0].split("$")[0] for call in check.call_args_list]
    assert len(kinds) == 2
    assert kinds[0] == kinds[1]
    assert kinds[0].startswith("scrypt:32768:8:1")  # werkzeug's documentation, RFC 7914


def test_a_session_ends_after_its_time(app: Any) -> None:
    client = app.test_client()
    sign_in(client)
    assert client.get("/_dash-layout").status_code == 200
    later = time.time() + SESSION_S + 1
    with mock.patch("dashboard.sign_in.time.time", return_value=later):
        assert client.get("/_dash-layout").status_code == 401


def test_a_session_ends_when_the_person_is_removed_or_has_another_password(
    app: Any, bench: Workbench
) -> None:
    client = app.test_client()
    sign_in(client)
    bench.remove_person("Anna")
    assert client.get("/_dash-layout").status_code == 401
    bench.add_person("Anna", "quite another one", "editor")
    assert client.get("/_dash-layout").status_code == 401
    assert sign_in(client, password="quite another one").status_code == 303


def test_a_role_that_is_taken_away_is_gone_at_once(app: Any, bench: Workbench) -> None:
    client = app.test_client()
    sign_in(client, "Rep", SECRET + "!")
    assert "Rep · reader" in head(client)
    assert bench.person("rep") is not None


def test_after_signing_out_a_kept_cookie_is_worth_nothing(app: Any) -> None:
    client = app.test_client()
    sign_in(client)
    kept = client.get_cookie(next(iter(client._cookies))[2])
    assert kept is not None
    assert client.post("/sign-out", data={"token": token(client, "/sign-out")}).status_code == 303
    assert client.get("/_dash-layout").status_code == 401
    client.set_cookie(kept.key, kept.value)
    assert client.get("/_dash-layout").status_code == 401


def test_forms_of_elsewhere_old_or_again_are_refused(app: Any) -> None:
    client = app.test_client()
    for given in ("", "x" * 32, token(app.test_client())):
        answer = client.post("/sign-in", data={"name": "Anna", "password": SECRET, "token": given})
        assert answer.status_code == 400
        assert texts.FORM_OLD in answer.text
    mine = token(client)
    before = client.get_cookie(next(iter(client._cookies))[2])
    form = {"name": "Anna", "password": SECRET, "token": mine}
    assert client.post("/sign-in", data=form).status_code == 303
    again = app.test_client()
    assert before is not None
    again.set_cookie(before.key, before.value)
    assert again.post("/sign-in", data=form).status_code == 400  # the same form a second time
    assert client.post("/sign-in", json=form).status_code == 400
    assert client.post("/sign-out", data={"token": "x"}).status_code == 400
    assert client.get("/_dash-layout").status_code == 200


def test_a_form_that_is_too_large_is_refused(app: Any) -> None:
    answer = sign_in(app.test_client(), password="x" * 20_000)
    assert answer.status_code == 400
    assert texts.FORM_LARGE in answer.text


def test_guessing_is_slowed_down_and_told_in_the_log(
    app: Any, caplog: pytest.LogCaptureFixture
) -> None:
    client = app.test_client()
    with mock.patch("dashboard.sign_in.Entry._checked", return_value=None):
        for _ in range(FREE):
            assert sign_in(client, "Anna\n<b>", "guess").status_code == 403
    answer = sign_in(client)
    assert answer.status_code == 429
    assert int(answer.headers["Retry-After"]) >= 1
    lines = [line.getMessage() for line in caplog.records if line.levelno >= logging.WARNING]
    assert any("refused" in line and r"'Anna\n<b>'" in line for line in lines)
    assert all("\n" not in line and "guess" not in line for line in lines)


def test_waits_grow_are_bounded_and_take_bounded_room() -> None:
    now = [0.0]
    tries = Attempts(clock=lambda: now[0])
    waits = []
    for _ in range(FREE + 14):
        while (wait := tries.begin("192.0.2.7", None)) > 0:
            waits.append(wait)
            now[0] += wait
    assert waits[:4] == [1.0, 2.0, 4.0, 8.0]  # twice as long each time: our own rule
    assert max(waits) == 900.0
    assert tries.begin("192.0.2.8", "anna") == 0.0
    now[0] += 3601.0
    assert tries.begin("192.0.2.7", None) == 0.0
    for number in range(30_000):
        tries.begin(f"2001:db8:{number:x}::1", f"name {number}")
    assert tries.kept() <= 20_000


def test_one_network_of_addresses_is_slowed_down_as_one() -> None:
    tries = Attempts(clock=lambda: 0.0)
    for number in range(FREE):  # RFC 4291: a customer is given a /64 at least
        assert tries.begin(f"2001:db8::{number:x}", None) == 0.0
    assert tries.begin("2001:db8::ffff", None) > 0
    assert tries.begin("2001:db8:0:1::1", None) == 0.0


@pytest.mark.parametrize(
    "to",
    ["//evil.example", "https://evil.example", "/\\evil.example", "/a\nb", "/sign-out", "", "x"],
)
def test_signing_in_leads_nowhere_else(to: str) -> None:
    assert local_path(to) == "/"


def test_one_password_for_all(bench: Workbench) -> None:
    for name in ("Anna", "Rep"):
        bench.remove_person(name)
    app = create_app(bench, rules_for(bench, "0.0.0.0", shared_password="for the shop")).server  # noqa: S104
    client = app.test_client()
    assert 'name="name"' not in client.get("/sign-in").text
    assert (
        client.post(
            "/sign-in", data={"password": "for the sho", "token": token(client)}
        ).status_code
        == 403
    )
    assert (
        client.post(
            "/sign-in", data={"password": "for the shop", "token": token(client)}
        ).status_code
        == 303
    )
    assert texts.SIGNED_IN_SHARED in head(client)
    # Another password, another start: the session is over.
    other = create_app(bench, rules_for(bench, "::1", shared_password="changed meanwhile")).server
    cookie = client.get_cookie(next(iter(client._cookies))[2])
    again = other.test_client()
    assert cookie is not None
    again.set_cookie(cookie.key, cookie.value)
    assert again.get("/_dash-layout").status_code == 401


def test_other_computers_are_refused_until_somebody_has_to_sign_in(bench: Workbench) -> None:
    assert rules_for(bench, "192.168.1.5").must_sign_in
    with pytest.raises(InputError, match="one or the other"):
        rules_for(bench, "127.0.0.1", shared_password="for the shop")
    for name in ("Anna", "Rep"):
        bench.remove_person(name)
    with pytest.raises(InputError, match=r"--host.*holewise people add NAME"):
        rules_for(bench, "192.168.1.5")
    with pytest.raises(InputError, match="--host"):
        serve(bench, host="0.0.0.0", port=0)  # noqa: S104
    with pytest.raises(InputError, match="8 characters or more"):
        rules_for(bench, "192.168.1.5", shared_password="short")
    assert not rules_for(bench, "127.0.0.1").must_sign_in


def test_adding_somebody_closes_a_dashboard_that_was_open(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "open shop") as bench:
        client = create_app(bench, rules_for(bench, "127.0.0.1")).server.test_client()
        assert client.get("/_dash-layout").status_code == 200
        bench.add_person("Anna", SECRET, "editor")
        assert client.get("/_dash-layout").status_code == 401


def test_when_everybody_was_removed_it_stays_closed(app: Any, bench: Workbench) -> None:
    for name in ("Anna", "Rep"):
        bench.remove_person(name)
    client = app.test_client()
    assert client.get("/_dash-layout").status_code == 401
    assert texts.NOBODY_ADDED in client.get("/sign-in").text


def test_a_damaged_file_of_people_lets_nobody_in(app: Any, bench: Workbench) -> None:
    (bench.folder / "people.json").write_text('{"people": [{"name": "Anna"}]}', "utf-8")
    answer = app.test_client().get("/sign-in")
    assert answer.status_code == 503
    assert "Nobody can sign in until it is mended" in answer.text

"""Forged ids, values of any kind, addresses that try to leave: nothing changes, words are said."""

from __future__ import annotations

import base64
import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from dashboard import create_app, ids, links
from tests.helpers.crawler import Crawler
from tests.helpers.example_trial import example_trial
from tests.helpers.pictures import picture, png_that_claims
from tests.helpers.whole_shop import OPEN, addresses, fill_shop
from trials.store._photo_files import MOST_BYTES
from trials.workbench import Workbench

SCRIPT = "<script>window.hurt=1</script>"
HOSTILE: tuple[Any, ...] = (
    SCRIPT, "../../etc/passwd", "\x00", "'; DROP TABLE trial; --", "x" * 100_000, -1, 1e308,
    {"$ne": 1}, [["nested"]], True,
)  # fmt: skip


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workbench]:
    folder = tmp_path_factory.mktemp("hostile")
    with Workbench.open(folder / "shop") as opened:
        fill_shop(opened, folder)
        yield opened


@pytest.fixture
def client(bench: Workbench) -> Any:
    return create_app(bench).server.test_client()


def state(bench: Workbench) -> list[Any]:
    """What the shop's trials, runs and wear are, and which files lie in its folder."""
    held = [(trial, bench.trial(trial.name), bench.runs(trial.name)) for trial in bench.trials()]
    files = sorted(
        str(path)
        for path in bench.folder.rglob("*")
        if path.suffix not in (".lock", ".db-wal", ".db-shm")
        and "backups" not in path.parts  # a copy of the database is just what one button is for
    )
    return [held, files, bench.settings()]


def bodies(client: Any) -> Iterator[dict[str, Any]]:
    """What a browser would send for every callback on the pages of a trial, unsent."""
    crawler = Crawler(client)
    for path in addresses():
        crawler.open(path)
        for callback in crawler.callbacks():
            for each in callback["inputs"]:
                if crawler._there(each):
                    yield crawler.body(callback, each, {})


@pytest.mark.parametrize("value", HOSTILE, ids=lambda value: repr(value)[:12])
def test_any_value_in_any_place_of_any_callback_changes_nothing(
    bench: Workbench, client: Any, value: Any, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level("CRITICAL")
    before = state(bench)
    sent: set[str] = set()
    for body in bodies(client):
        if body["output"] in sent:
            continue
        sent.add(body["output"])
        forged = copy.deepcopy(body)
        for part in forged["state"] + forged["inputs"]:
            for one in part if isinstance(part, list) else [part]:
                one["value"] = 1 if one["property"] == "n_clicks" else value
        answer = client.post("/_dash-update-component", json=forged)
        assert answer.status_code in (200, 204, 400), body["output"]
        assert "Traceback" not in answer.text
        assert "site-packages" not in answer.text
    assert len(sent) > 15
    assert state(bench) == before


def test_forged_ids_of_patterns_change_nothing(
    bench: Workbench, client: Any, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level("CRITICAL")
    before = state(bench)
    forged = 0
    for body in bodies(client):
        if not any(isinstance(part, list) for part in body["inputs"] + body["state"]):
            continue
        for ident in ({"type": SCRIPT, "name": "../.."}, {"type": ids.START_FIELD}, {}, 7):
            worse = copy.deepcopy(body)
            for part in worse["inputs"] + worse["state"]:
                for one in part if isinstance(part, list) else ():
                    one["id"] = ident
                    if one["property"] == "n_clicks":
                        one["value"] = 1
            worse["changedPropIds"] = [f"{json.dumps(ident, sort_keys=True)}.n_clicks"]
            answer = client.post("/_dash-update-component", json=worse)
            assert answer.status_code in (200, 204, 400, 500)
            assert "Traceback" not in answer.text
            forged += 1
    assert forged > 4
    assert state(bench) == before


@pytest.mark.parametrize(
    "path",
    ["/trial/..%2f..%2fetc%2fpasswd", "/trial/%00", "/trial/" + "a" * 20_000, "/trial/%F0%28",
     "/holes/Bracket/999999999", "/holes/Bracket/-1", "/wear/Bracket/1e3", "/look/Bracket/0",
     "/trial/" + SCRIPT, "/../../etc/passwd", "/trial/'%20OR%201=1", "/trial/%25s%25n", 7, None],
)  # fmt: skip
def test_addresses_that_try_to_leave_are_pages_that_are_not_there(client: Any, path: Any) -> None:
    answer = Crawler(client).open(path)
    assert answer.status_code == 200
    title = answer.json["response"][ids.PAGE_TITLE]["data"]["title"]
    assert "root:" not in answer.text
    # Told as text in JSON, and never as markup: what is shown goes through text nodes.
    if path not in (7, None):
        assert "not" in title.lower() or "no " in title.lower(), title


def test_a_request_that_is_sent_again_does_nothing_again(bench: Workbench, client: Any) -> None:
    name = "Sent twice"
    bench.new_trial(example_trial(name))
    sent: list[dict[str, Any]] = []
    crawler = Crawler(client, before=lambda body: sent.append(copy.deepcopy(body)))
    crawler.open(links.trial(name))
    crawler.everything()
    assert len(bench.runs(name)) == 1  # "Use this" was among them
    before = state(bench)
    for body in sent:
        assert client.post("/_dash-update-component", json=body).status_code in (200, 204)
    assert state(bench) == before


def test_wear_that_is_sent_again_is_not_noted_twice(bench: Workbench, client: Any) -> None:
    crawler = Crawler(client)
    crawler.open(f"/look/{OPEN}")
    callbacks = [one for one in crawler.callbacks() if "look-said.children" in one["output"]]
    assert callbacks, "the page to note wear has a callback that says what was kept"
    before = len(bench.run(OPEN).wear)
    for callback in callbacks:
        for each in callback["inputs"]:
            if each["property"] == "n_clicks" and crawler._there(each):
                values = {key: "0.2" for key in crawler.props if '"type":"look-value"' in key} | {
                    ids.LOOK_HOLE: 9
                }
                body = crawler.body(callback, each, values)
                for _ in range(3):
                    client.post("/_dash-update-component", json=copy.deepcopy(body))
    assert len(bench.run(OPEN).wear) <= before + 1


@pytest.mark.parametrize(
    "content",
    [b"", b"not a picture", b"<svg onload=alert(1)>", b"\xff\xd8\xff\xe0" + b"\x00" * 50,
     b"\x89PNG\r\n\x1a\n" + b"\x00" * 50, b"GIF89a" + b"\x00" * 50, b"PK\x03\x04" + b"\x00" * 50],
)  # fmt: skip
@pytest.mark.parametrize("said", ["image/jpeg", "text/html"])
def test_an_upload_is_taken_by_what_is_in_it(
    bench: Workbench, client: Any, content: bytes, said: str
) -> None:
    before = state(bench)
    crawler = Crawler(client)
    crawler.open(f"/look/{OPEN}")
    upload = f"data:{said};base64,{base64.b64encode(content).decode()}"
    callbacks = [
        one
        for one in crawler.callbacks()
        if any(part["property"] == "contents" for part in one["inputs"])
    ]
    assert callbacks
    for callback in callbacks:
        for each in callback["inputs"]:
            if each["property"] == "contents" and crawler._there(each):
                answer = crawler.call(callback, each, **{each["id"]: upload})
                assert answer.status_code in (200, 204)
    assert bench.photos(OPEN) == []
    assert state(bench) == before


def test_an_upload_that_is_too_large_is_refused(bench: Workbench, client: Any) -> None:
    crawler = Crawler(client)
    crawler.open(f"/look/{OPEN}")
    (callback,) = [
        one
        for one in crawler.callbacks()
        if any(part["id"] == ids.LOOK_FILE for part in one["inputs"])
    ]
    each = next(one for one in callback["inputs"] if one["id"] == ids.LOOK_FILE)

    def hand_in(content: bytes) -> Any:
        said = f"data:image/jpeg;base64,{base64.b64encode(content).decode()}"
        return crawler.call(callback, each, **{ids.LOOK_FILE: said})

    # Good pictures but for their size: in bytes, beyond what a request may carry, and in pixels.
    answer = hand_in(picture() + b"\0" * MOST_BYTES)
    assert answer.status_code == 200
    assert "at most 15 MB" in answer.text
    assert hand_in(picture() + b"\0" * 19 * 2**20).status_code == 413
    assert "50 million pixels" in hand_in(png_that_claims(8000, 6300)).text
    assert bench.photos(OPEN) == []
    # The same picture without the filling is taken.
    assert hand_in(picture()).status_code == 200
    assert len(bench.photos(OPEN)) == 1


def test_names_with_script_travel_as_text(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial(SCRIPT))
        answer = create_app(bench).server.test_client().get("/")
        assert SCRIPT not in answer.text  # the only HTML that is sent is the empty frame

"""The app: headers, other sites refused, errors as one paragraph, colours in one accord."""

from __future__ import annotations

import re
import socket
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

import dashboard
from dashboard import create_app, ids, serve, texts
from dashboard.texts import door as door_texts
from tests.helpers.fake_workbench import FakeWorkbench, invented_runs, invented_trial
from trials.errors import SourceError, StoreError
from trials.figures import DARK, LIGHT, Palette


@pytest.fixture
def client() -> Any:
    bench: Any = FakeWorkbench({"a/b": (invented_trial("a/b"), invented_runs())})
    return create_app(bench).server.test_client()


def shown(client: Any, path: str, headers: Mapping[str, str] | None = None) -> Any:
    """Ask for a page as the browser does."""
    page, title, problem = f"{ids.PAGE}.children", f"{ids.PAGE_TITLE}.data", "problem.children"
    return client.post(
        "/_dash-update-component",
        json={
            "output": f"..{page}...{title}...{problem}..",
            "outputs": [
                {"id": ids.PAGE, "property": "children"},
                {"id": ids.PAGE_TITLE, "property": "data"},
                {"id": ids.PROBLEM, "property": "children"},
            ],
            "inputs": [{"id": ids.VIEW, "property": "data", "value": {"path": path}}],
            "state": [{"id": ids.PAGE_TITLE, "property": "data", "value": None}],
            "changedPropIds": [f"{ids.VIEW}.data"],
        },
        headers=dict(headers or {}),
    )


def test_two_apps_do_not_share_anything() -> None:
    one: Any = FakeWorkbench({"first shop": (invented_trial("first shop"), [])})
    two: Any = FakeWorkbench({"second shop": (invented_trial("second shop"), [])})
    first, second = create_app(one).server.test_client(), create_app(two).server.test_client()
    assert "first shop" in shown(first, "/").text
    assert "first shop" not in shown(second, "/").text
    assert "second shop" in shown(second, "/").text


def test_scripts_run_only_from_here(client: Any) -> None:
    policy = client.get("/").headers["Content-Security-Policy"]
    scripts = next(part for part in policy.split("; ") if part.startswith("script-src"))
    assert "'unsafe-inline'" not in scripts
    assert "'unsafe-eval'" not in scripts
    assert "http" not in policy
    assert "frame-ancestors 'none'" in policy


def test_the_page_names_no_address_outside(client: Any) -> None:
    page = client.get("/").text
    sources = re.findall(r'(?:src|href)="([^"]+)"', page)
    assert sources
    assert all(source.startswith("/") and not source.startswith("//") for source in sources)


@pytest.mark.parametrize("came_from", ["cross-site", "same-site"])
def test_what_another_site_posts_is_refused(client: Any, came_from: str) -> None:
    assert shown(client, "/").status_code == 200
    answer = shown(client, "/", {"Sec-Fetch-Site": came_from})
    assert answer.status_code == 403
    assert answer.text == door_texts.OTHER_SITE


def test_a_quoted_name_leads_to_its_trial(client: Any) -> None:
    title = shown(client, "/trial/a%2Fb").json["response"][ids.PAGE_TITLE]["data"]["title"]
    assert title == f"a/b · {texts.PROGRAM}"


@pytest.mark.parametrize("path", ["/trial/none", "/live/none", "/progress/none"])
def test_a_trial_that_is_not_there_is_one_paragraph(client: Any, path: str) -> None:
    page = shown(client, path).text
    assert texts.MISSING_TITLE in page
    assert "got 'none'" in page


class Broken(FakeWorkbench):
    """Fails as it is told when the trials are asked for."""

    def __init__(self, error: Exception) -> None:
        super().__init__()
        self.error = error

    def trials(self) -> list[Any]:
        raise self.error


def test_a_store_that_cannot_be_read_is_not_called_a_missing_page() -> None:
    bench: Any = Broken(StoreError("the database is damaged", do="Restore the newest backup."))
    page = shown(create_app(bench).server.test_client(), "/").text
    assert texts.PROBLEM_TITLE in page
    assert "the database is damaged. Restore the newest backup." in page


def test_a_fault_of_ours_is_said_plainly_and_logged(caplog: pytest.LogCaptureFixture) -> None:
    bench: Any = Broken(ZeroDivisionError("secret detail"))
    answer = shown(create_app(bench).server.test_client(), "/")
    assert texts.PROBLEM_UNEXPECTED[:40] in answer.text
    assert "secret detail" not in answer.text
    assert "secret detail" in caplog.text


def test_an_address_that_leads_nowhere_says_so(client: Any) -> None:
    assert texts.MISSING_TEXT in shown(client, "/somewhere/else/entirely").text


def test_a_port_in_use_is_one_paragraph() -> None:
    bench: Any = FakeWorkbench()
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = int(taken.getsockname()[1])
        with pytest.raises(SourceError, match=rf"port {port}.*Choose another port"):
            serve(bench, port=port)


@pytest.mark.parametrize(("colours", "scheme"), [(LIGHT, 0), (DARK, 1)], ids=["light", "dark"])
def test_style_sheet_and_figures_use_the_same_colours(colours: Palette, scheme: int) -> None:
    css = (Path(dashboard.__file__).parent / "assets" / "base.css").read_text("utf-8")
    block = re.findall(r":root \{(.*?)\}", css, flags=re.DOTALL)[scheme]
    found = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))
    for name in ("paper", "ink", "muted", "accent", "good", "warn", "bad"):
        assert found[name] == getattr(colours, name), name


def test_no_page_spells_an_id_by_hand() -> None:
    known = {value for name, value in vars(ids).items() if name.isupper()}
    for file in Path(dashboard.__file__).parent.rglob("*.py"):
        if file.name == "ids.py":
            continue
        spelled = re.findall(r"\bid=[\"']([\w-]+)[\"']", file.read_text("utf-8"))
        assert not spelled, f"{file.name}: {spelled}; known are {sorted(known)}"


def test_every_text_is_used() -> None:
    source = "\n".join(
        file.read_text("utf-8") for file in Path(dashboard.__file__).parent.rglob("*.py")
    )
    names = [name for name in vars(texts) if name.isupper()]
    unused = [name for name in names if not re.search(rf"texts\.{name}\b", source)]
    assert not unused

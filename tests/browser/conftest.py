"""A real Chromium, a dashboard in a process of its own, and a watch over what the page does."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, expect, sync_playwright

from trials.sharing.pdf import VARIABLE, find_browser
from trials.workbench import Workbench

ARGUMENTS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
SERVE = (
    "import sys; from pathlib import Path; from dashboard import serve;"
    "from trials.workbench import Workbench;"
    "serve(Workbench.open(Path(sys.argv[1])), port=0, on_ready=lambda at: print(at, flush=True))"
)


# How long to wait for what must come; a busy machine may be slow.
expect.set_options(timeout=30_000)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """The system's Chromium; skipped without one unless HOLEWISE_REQUIRE_BROWSER=1."""
    found = find_browser()
    if found is None:
        reason = f"no Chromium found; install one, or name it in {VARIABLE}"
        if os.environ.get("HOLEWISE_REQUIRE_BROWSER") == "1":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=list(ARGUMENTS))
        yield browser
        browser.close()


@dataclass
class Watched:
    """A page with all that must not happen on it.

    ``complaints`` are console errors and warnings, errors in scripts, requests to anywhere but
    the dashboard, and answers with an error status.
    """

    page: Page
    address: str
    complaints: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on("console", self._console)
        self.page.on("pageerror", lambda error: self.complaints.append(f"script: {error}"))
        self.page.on("request", lambda request: self._request(request.url))
        self.page.on(
            "response",
            lambda answer: (
                self.complaints.append(f"{answer.status} {answer.url}")
                if answer.status >= 400
                else None
            ),
        )

    def go(self, path: str) -> Page:
        """Open a page of the dashboard and wait until it stands."""
        self.page.goto(self.address.rstrip("/") + path)
        self.page.locator("h1").wait_for()
        return self.page

    def _console(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.complaints.append(f"console {message.type}: {message.text}")

    def _request(self, url: str) -> None:
        if not url.startswith((self.address, "data:", "blob:")):
            self.complaints.append(f"request to the outside: {url}")


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    """An empty shop, opened beside the dashboard's own process."""
    with Workbench.open(tmp_path / "shop") as opened:
        yield opened


@contextmanager
def served(folder: Path) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """The dashboard of a folder in a process of its own, and its address."""
    process = subprocess.Popen(
        [sys.executable, "-c", SERVE, str(folder)], stdout=subprocess.PIPE, text=True
    )
    try:
        assert process.stdout is not None
        address = process.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:"), "the dashboard did not start"
        yield address, process
    finally:
        process.terminate()
        process.communicate(timeout=20)


@pytest.fixture
def look(chromium: Browser, bench: Workbench) -> Iterator[Callable[..., Watched]]:
    """Opens pages on the dashboard of the shop; at the end nothing may have gone wrong on any."""
    opened: list[tuple[Any, Watched]] = []
    with served(bench.folder) as (address, _):

        def open_page(width: int = 1440, height: int = 900, scheme: str = "light") -> Watched:
            context = chromium.new_context(
                viewport={"width": width, "height": height},
                color_scheme="dark" if scheme == "dark" else "light",
            )
            watched = Watched(context.new_page(), address)
            opened.append((context, watched))
            return watched

        yield open_page
        for context, _ in opened:
            context.close()
    complaints = [complaint for _, watched in opened for complaint in watched.complaints]
    assert not complaints

"""Every page scanned by axe, light and dark: nothing serious, nothing critical.

The rules are those of axe-core (WCAG 2.0 to 2.2, levels A and AA, and its best practices).
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import Browser, Page, expect

from dashboard import links
from tests.browser.conftest import Watched, served
from tests.helpers.whole_shop import addresses, fill_shop
from trials.workbench import Workbench

AXE = Path(axe_playwright_python.__file__).with_name("axe.min.js").read_text("utf-8")


# The rules whose answer goes with the colour scheme.
OF_COLOURS = ("color-contrast", "link-in-text-block")


def findings(page: Page, rules: Sequence[str] = ()) -> list[str]:
    """What axe calls serious or critical by these rules, or by all, one line each."""
    page.evaluate(AXE)  # by the browser's own tools: the page's policy lets no such script in
    found = page.evaluate(
        """async rules => (await axe.run(document, {
                resultTypes: ['violations'],
                ...(rules.length ? {runOnly: {type: 'rule', values: rules}} : {}),
            })).violations
            .filter(one => ['serious', 'critical'].includes(one.impact))
            .flatMap(one => one.nodes.map(node =>
                `${one.impact} ${one.id}: ${node.target} ${node.failureSummary}`))""",
        list(rules),
    )
    return [str(one) for one in found]


def lasting_findings(page: Page, rules: Sequence[str] = ()) -> list[str]:
    """What is still found once the browser has mended what it mends a moment later."""
    page.wait_for_timeout(300)
    deadline = time.monotonic() + 15  # a busy machine takes its time
    while (said := findings(page, rules)) and time.monotonic() < deadline:
        page.wait_for_timeout(300)
    return said


def test_no_page_has_a_serious_finding(
    look: Callable[..., Watched], bench: Workbench, tmp_path: Path
) -> None:
    fill_shop(bench, tmp_path)
    watched = look(1024, 768)
    found: dict[str, list[str]] = {}
    for path in (*addresses(), "/no/such/page"):
        page = watched.go(path)
        expect(page.locator(".working, .loading")).to_have_count(0, timeout=60_000)
        said = lasting_findings(page)
        # The page is drawn again when the reader's device turns dark.
        with page.expect_response("**/_dash-update-component*"):
            page.emulate_media(color_scheme="dark")
        expect(page.locator(".working, .loading")).to_have_count(0, timeout=60_000)
        said += [f"dark: {one}" for one in lasting_findings(page, OF_COLOURS)]
        page.emulate_media(color_scheme="light")
        if said:
            found[path] = said
    assert not found, "\n".join(f"{path}: {one}" for path, said in found.items() for one in said)


@pytest.fixture
def signing_in(bench: Workbench) -> Iterator[str]:
    bench.add_person("anna", "five short words here", "editor")
    with served(bench.folder) as (address, _):
        yield address


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_signing_in_and_out_has_no_serious_finding(
    chromium: Browser, signing_in: str, scheme: str
) -> None:
    context = chromium.new_context(color_scheme="dark" if scheme == "dark" else "light")
    try:
        page = context.new_page()
        page.goto(signing_in)
        assert page.url.endswith("/sign-in?to=/")
        assert not findings(page)
        # By keyboard alone: the first field has the focus.
        page.keyboard.type("anna")
        page.keyboard.press("Tab")
        page.keyboard.type("wrong words")
        page.keyboard.press("Enter")
        page.get_by_role("alert").wait_for()
        assert not findings(page)
        page.keyboard.type("five short words here")
        page.keyboard.press("Enter")
        page.get_by_text("anna · editor").wait_for()
        page.goto(signing_in.rstrip("/") + links.settings())
        page.get_by_role("link", name="Sign out").click()
        page.get_by_role("button", name="Sign out").wait_for()
        assert not findings(page)
        page.get_by_role("button", name="Sign out").click()
        page.get_by_role("button", name="Sign in").wait_for()
    finally:
        context.close()

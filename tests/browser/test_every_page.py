"""Every page at every size: nothing cut off, large enough to touch, names shown as text."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from dashboard import links, texts
from dashboard.texts import start as start_texts
from tests.browser.conftest import Watched
from tests.helpers.example_trial import START, example_trial
from tests.helpers.pictures import picture
from trials.model import WearReading
from trials.workbench import Workbench

HOSTILE = '<img src=x onerror="window.hurt=1"> ../"\'&%2F{braces} ?#'
# Colours move nothing: each size in one of the two schemes (axe looks at every page in both).
SIZES = ((1440, 900, "light"), (1024, 768, "dark"), (390, 844, "light"))
TOUCH_PX = 44


@pytest.fixture
def shop(bench: Workbench) -> Workbench:
    bench.new_trial(example_trial(HOSTILE, note="<script>window.hurt=1</script>"))
    for number, end in enumerate(("worn", "broken", "stopped"), start=1):
        bench.plan_run(HOSTILE, START, note="<b>bold</b>")
        bench.end_run(HOSTILE, number, end, holes=50 * number)  # type: ignore[arg-type]  # a loop
    bench.plan_run(HOSTILE, START)
    bench.add_wear(HOSTILE, 4, WearReading(20, vb_average_mm=0.05, note=HOSTILE))
    bench.add_photo(HOSTILE, 4, 20, picture(), note=HOSTILE)
    return bench


@pytest.mark.parametrize(("width", "height", "scheme"), SIZES)
def test_every_page_fits_and_shows_names_as_text(
    look: Callable[..., Watched], shop: Workbench, width: int, height: int, scheme: str
) -> None:
    assert [summary.name for summary in shop.trials()] == [HOSTILE]
    watched = look(width, height, scheme)
    pages = (
        "/",
        links.trial(HOSTILE),
        links.live(HOSTILE),
        links.progress(HOSTILE),
        links.wear(HOSTILE),
        links.compare(HOSTILE),
        links.look(HOSTILE),
        links.look(HOSTILE, 1),
        links.hand_over(HOSTILE),
    )
    for path in (*pages, "/no/such/page", "/trial/nobody"):
        page = watched.go(path)
        page.wait_for_load_state("networkidle") if path != links.live(HOSTILE) else None
        if path == pages[1]:
            expect(page.locator("#next-step h3")).to_be_visible(timeout=60_000)
        if path in pages:
            expect(page.get_by_text(HOSTILE, exact=True).first).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        assert page.evaluate("window.hurt") is None
        small = page.evaluate(
            """least => [...document.querySelectorAll('button, a, summary, .choice label')]
                .filter(part => part.offsetParent && !part.classList.contains('skip'))
                .map(part => [part.textContent, part.getBoundingClientRect()])
                .filter(([, box]) => box.height < least - 0.5 || box.width < 24)
                .map(([text, box]) => `${text}: ${box.width} × ${box.height}`)""",
            TOUCH_PX,
        )
        assert not small, path


def test_the_way_by_keyboard(look: Callable[..., Watched], shop: Workbench) -> None:
    page = look().go("/")
    page.keyboard.press("Tab")
    skip = page.get_by_text(texts.SKIP_TO_CONTENT)
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name=start_texts.TITLE)).to_be_focused()
    page.keyboard.press("Tab")  # the way to take in what others have sent
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name=HOSTILE)).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text(HOSTILE)
    expect(page.locator("main")).to_be_focused()
    assert shop.runs(HOSTILE)[0].note == "<b>bold</b>"


def test_no_name_on_the_page_is_missing_for_those_who_hear_it(
    look: Callable[..., Watched], shop: Workbench
) -> None:
    watched = look()
    for path in (
        "/",
        links.trial(HOSTILE),
        links.live(HOSTILE),
        links.progress(HOSTILE),
        links.wear(HOSTILE),
        links.compare(HOSTILE),
        links.look(HOSTILE),
        links.hand_over(HOSTILE),
    ):
        page = watched.go(path)
        assert page.evaluate("document.documentElement.lang") == "en"
        expect(page.locator("h1")).to_have_count(1)
        nameless = page.evaluate(
            """() => [...document.querySelectorAll('button, a, [role=img], [role=meter], nav')]
                .filter(part => !part.textContent.trim() && !part.getAttribute('aria-label'))
                .length"""
        )
        assert nameless == 0
    assert len(shop.runs(HOSTILE)) == 4

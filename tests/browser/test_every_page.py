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
# Loaded on a phone, and on a screen that then becomes a tablet. Colours move nothing: one scheme
# each (axe looks at every page in both).
SIZES = (("dark", ((1440, 900), (1024, 768))), ("light", ((390, 844),)))
TOUCH_PX = 44
TOO_SMALL = """least => [...document.querySelectorAll('button, a, summary, .choice label')]
    .filter(part => part.offsetParent && !part.classList.contains('skip'))
    .map(part => [part.textContent, part.getBoundingClientRect()])
    .filter(([, box]) => box.height < least - 0.5 || box.width < 24)
    .map(([text, box]) => `${text}: ${box.width} × ${box.height}`)"""
NAMELESS = """() => [...document.querySelectorAll('button, a, [role=img], [role=meter], nav')]
    .filter(part => !part.textContent.trim() && !part.getAttribute('aria-label')).length"""


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


@pytest.mark.parametrize(("scheme", "sizes"), SIZES, ids=["screen and tablet", "phone"])
def test_every_page_fits_and_shows_names_as_text(
    look: Callable[..., Watched], shop: Workbench, scheme: str, sizes: tuple[tuple[int, int], ...]
) -> None:
    assert [summary.name for summary in shop.trials()] == [HOSTILE]
    watched = look(*sizes[0], scheme)
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
            assert page.evaluate("document.documentElement.lang") == "en"
            expect(page.locator("h1")).to_have_count(1)
        for width, height in sizes:
            page.set_viewport_size({"width": width, "height": height})
            # Figures take the new width a moment later; what is too wide stays so.
            page.wait_for_function(
                "most => document.documentElement.scrollWidth <= most", arg=width
            )
            small = page.evaluate(TOO_SMALL, TOUCH_PX)
            assert not small, (path, width)
        page.set_viewport_size({"width": sizes[0][0], "height": sizes[0][1]})
        assert page.evaluate("window.hurt") is None
        assert page.evaluate(NAMELESS) == 0, path
    assert len(shop.runs(HOSTILE)) == 4


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

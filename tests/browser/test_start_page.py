"""The guided page that begins a trial: by keyboard and touch, in metric and inch, nothing lost."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Locator, Page, expect

from dashboard import links, texts
from dashboard.texts import start as words
from tests.browser.conftest import Watched
from trials.workbench import Workbench

NAME = "guided <b>bracket</b>"
HOLE = {"name": NAME, "work.material": "S355", "hole.diameter_mm": "0,5 in",
        "hole.depth_mm": "1.5 in", "holes_to_make": "500"}  # fmt: skip
MACHINE = {"machine.rated_power_kw": "15 hp", "machine.base_rpm": "1500",
           "machine.max_rpm": "8000", "economics.machine_rate_per_min": "1,5"}  # fmt: skip
DRILL = {"drills.0.name": "short", "drills.0.flute_length_mm": "50", "drills.0.price": "60"}
WAIT_MS = 60_000


def field(page: Page, name: str) -> Locator:
    return page.locator(f'[id*=\'"name":"{name}"\'][id*="start-field"]')


def note(page: Page, name: str) -> Locator:
    return page.locator(f'[id*=\'"name":"{name}"\'][id*="start-note"]')


def fill(page: Page, values: dict[str, str]) -> None:
    for name, text in values.items():
        field(page, name).fill(text)


def ahead(page: Page) -> None:
    page.get_by_role("button", name=words.NEXT, exact=True).click()


def test_four_steps_begin_a_trial(look: Callable[..., Watched], bench: Workbench) -> None:
    page = look(1024, 768).go("/")
    page.get_by_role("link", name=words.TITLE).click()
    expect(page.get_by_role("heading", name=words.TITLE)).to_be_visible()
    # A mistake stands beside its field, has the focus, and takes nothing away.
    fill(page, HOLE | {"hole.depth_mm": "1,234"})
    ahead(page)
    expect(note(page, "hole.depth_mm")).to_contain_text("one way only", timeout=WAIT_MS)
    expect(field(page, "hole.depth_mm")).to_be_focused()
    expect(field(page, "name")).to_have_value(NAME)
    fill(page, HOLE)
    expect(note(page, "hole.diameter_mm")).to_contain_text("12.700 mm = 0.5000 in")
    # What was typed stays when the reader asks for inch, and is not read anew.
    page.get_by_role("button", name=texts.UNITS_INCH).click()
    expect(field(page, "work.material")).to_have_value("S355")
    expect(note(page, "hole.diameter_mm")).to_contain_text("12.700 mm = 0.5000 in")
    ahead(page)
    expect(page.get_by_text("Step 2 of 4")).to_be_focused(timeout=WAIT_MS)
    fill(page, MACHINE)
    page.keyboard.press("Enter")
    ahead(page)
    expect(page.get_by_text("Step 3 of 4")).to_be_focused(timeout=WAIT_MS)
    fill(page, DRILL)
    ahead(page)
    # 50 mm of flutes for 38.1 mm + 2 × 12.7 mm: it does not fit, and says what would.
    expect(page.get_by_text("short: does not fit")).to_be_visible(timeout=WAIT_MS)
    expect(page.get_by_text(words.WAYS_OUT)).to_be_visible()
    begin = page.get_by_role("button", name=words.BEGIN)
    expect(begin).to_be_visible(timeout=WAIT_MS)
    small = page.evaluate(
        """() => [...document.querySelectorAll('main button, main input[type=text], .choice label')]
            .filter(part => part.offsetParent)
            .filter(part => part.getBoundingClientRect().height < 43.5)
            .map(part => part.outerHTML.slice(0, 90))"""
    )
    assert not small
    assert page.evaluate("document.documentElement.scrollWidth") <= 1024
    begin.click()
    expect(page.get_by_role("alert")).to_contain_text("flute length", timeout=WAIT_MS)
    assert bench.trials() == []
    page.locator("#start-overrule").fill("the holes are cleared by hand")
    with page.expect_download() as card:
        page.get_by_role("button", name=words.CARD).click()
    assert card.value.suggested_filename == words.CARD_FILE
    begin.click()
    page.get_by_role("link", name=words.BEGUN_OPEN).click(timeout=WAIT_MS)
    expect(page.locator("h1")).to_have_text(NAME)
    trial = bench.trial(NAME)
    assert round(trial.hole.diameter_mm, 6) == 12.7
    assert round(trial.machine.rated_power_kw, 2) == 11.19
    assert [(one.rule, one.why) for one in trial.overruled] == [
        ("flute length", "the holes are cleared by hand")
    ]
    assert links.read(links.start()) == ("start", "")


def test_what_is_missing_is_said_beside_its_field(
    look: Callable[..., Watched], bench: Workbench
) -> None:
    page = look(1440, 900).go(links.start())
    ahead(page)
    for name in ("name", "work.material", "hole.diameter_mm", "hole.depth_mm"):
        expect(note(page, name)).to_contain_text(words.NEEDED_MISSING, timeout=WAIT_MS)
    expect(field(page, "name")).to_be_focused()
    assert bench.trials() == []

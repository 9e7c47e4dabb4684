"""The page of holes in a real browser: go by touch and key, mend, undo, fit every screen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from dashboard import ids, links, texts
from tests.browser.conftest import Watched
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import PERIOD_S, stream, written
from trials.workbench import WEAR_STAYS, Workbench

NAME = "bracket"
HOLES = 20
FIRST_MS = 60_000


@pytest.fixture
def shop(bench: Workbench, tmp_path: Path) -> Workbench:
    bench.new_trial(example_trial(NAME))
    for number in (1, 2):
        bench.plan_run(NAME, START)
        bench.import_trace(NAME, number, written(tmp_path, stream(HOLES, seed=number)))
    return bench


def opened(look: Callable[..., Watched], path: str = "", **size: object) -> Page:
    page = look(**size).go(path or links.holes(NAME))
    expect(chosen(page)).to_have_text("1", timeout=FIRST_MS)
    expect(page.locator(f"#{ids.HOLES_FIGURE} .main-svg").first).to_be_visible()
    return page


def chosen(page: Page) -> object:
    """The number of the hole that the tiles are about."""
    return page.locator(f"#{ids.HOLES_FACTS} .tile .value").first


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def test_from_hole_to_hole_by_touch_and_by_key(
    look: Callable[..., Watched], shop: Workbench
) -> None:
    page = opened(look)
    assert len(shop.holes(NAME, 2)) == HOLES
    press(page, texts.HOLES_NEXT)
    expect(chosen(page)).to_have_text("2")
    press(page, texts.HOLES_LAST)
    expect(chosen(page)).to_have_text(str(HOLES))
    page.keyboard.press("Home")
    expect(chosen(page)).to_have_text("1")
    page.keyboard.press("ArrowRight")
    expect(chosen(page)).to_have_text("2")
    page.keyboard.press("ArrowLeft")
    expect(chosen(page)).to_have_text("1")
    page.get_by_role("button", name=texts.HOLES_CHOOSE.format(number=5)).click()
    expect(chosen(page)).to_have_text("5")
    expect(page.locator(f"#{ids.HOLES_SENTENCE}")).to_contain_text(
        texts.HOLES_SHOWN_SOME.format(first=4, last=6)
    )
    press(page, texts.HOLES_WHOLE)
    expect(page.locator(f"#{ids.HOLES_SENTENCE}")).to_contain_text(
        texts.HOLES_SHOWN_SOME.format(first=1, last=HOLES)
    )
    press(page, texts.HOLES_NEARER)  # half of what is shown, also when all of it was
    expect(page.locator(f"#{ids.HOLES_SENTENCE}")).not_to_contain_text(
        texts.HOLES_SHOWN_SOME.format(first=1, last=HOLES)
    )
    press(page, texts.HOLES_FARTHER)
    expect(page.locator(f"#{ids.HOLES_SENTENCE}")).to_contain_text(
        texts.HOLES_SHOWN_SOME.format(first=1, last=HOLES)
    )


def test_dragging_asks_for_the_stretch_alone(look: Callable[..., Watched], shop: Workbench) -> None:
    page = opened(look)
    found = shop.holes(NAME, 2)
    page.get_by_role("button", name=texts.HOLES_CHOOSE.format(number=4)).click()
    expect(chosen(page)).to_have_text("4")
    box = page.locator(f"#{ids.HOLES_FIGURE} .nsewdrag").first.bounding_box()
    assert box is not None
    middle = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + 0.9 * box["width"], middle)
    page.mouse.down()
    page.mouse.move(box["x"] + 0.1 * box["width"], middle, steps=5)
    page.mouse.up()
    # The stretch of three hole lengths has moved on by 0.8 of it: hole 4 has left it.
    assert 0.8 * 3.0 * float(found["cut_s"].iloc[3]) > PERIOD_S
    expect(page.locator(f"#{ids.HOLES_SENTENCE}")).to_contain_text(
        texts.HOLES_SHOWN_SOME.format(first=5, last=6)
    )


def test_merge_undo_and_redo_by_touch(look: Callable[..., Watched], shop: Workbench) -> None:
    page = opened(look)
    press(page, texts.HOLES_NEXT)
    expect(chosen(page)).to_have_text("2")
    press(page, texts.HOLES_MERGE)
    question = page.locator(f"#{ids.HOLES_ASK}")
    expect(question).to_contain_text(texts.HOLES_ASK_MERGE.format(number=2, next=3))
    expect(question).to_contain_text(WEAR_STAYS)
    page.get_by_label(texts.HOLES_WHO).fill("anna")
    press(page, texts.HOLES_CONFIRM)
    expect(page.locator(f"#{ids.HOLES_SAID}")).to_contain_text(f"{HOLES} before, {HOLES - 1} now")
    expect(page.locator(f"#{ids.HOLES_EDITS}")).to_contain_text("anna")
    expect(page.locator(f"#{ids.HOLES_FACTS}")).to_contain_text("merged by hand")
    expect(question).to_be_hidden()
    assert shop.run(NAME, 2).holes == HOLES - 1
    press(page, texts.HOLES_UNDO)
    expect(page.locator(f"#{ids.HOLES_SAID}")).to_contain_text(f"{HOLES} now")
    assert shop.run(NAME, 2).holes == HOLES
    press(page, texts.HOLES_REDO)
    expect(page.locator(f"#{ids.HOLES_SAID}")).to_contain_text(f"{HOLES - 1} now")
    press(page, texts.HOLES_SPLIT)
    expect(page.get_by_label(texts.HOLES_SPLIT_AT)).not_to_have_value("")
    press(page, texts.HOLES_CONFIRM)
    expect(page.locator(f"#{ids.HOLES_SAID}")).to_contain_text(f"{HOLES} now")
    press(page, texts.HOLES_DROP)
    press(page, texts.HOLES_CANCEL)
    expect(question).to_be_hidden()
    assert len(shop.holes(NAME, 2)) == HOLES


def test_somebody_else_mended_it_meanwhile(look: Callable[..., Watched], shop: Workbench) -> None:
    page = opened(look)
    shop.drop_hole(NAME, 2, 7, who="ben")
    press(page, texts.HOLES_DROP)
    expect(page.locator(f"#{ids.HOLES_ASK}")).to_be_visible()
    press(page, texts.HOLES_CONFIRM)
    expect(page.get_by_role("alert")).to_be_visible()
    expect(page.locator(f"#{ids.HOLES_EDITS}")).to_contain_text("ben")
    assert len(shop.holes(NAME, 2)) == HOLES - 1


def test_every_recorded_run_has_its_page(look: Callable[..., Watched], shop: Workbench) -> None:
    assert [run.number for run in shop.runs(NAME)] == [1, 2]
    page = opened(look)
    page.get_by_role("link", name=texts.HOLES_RUN.format(number=1)).click()
    expect(page.get_by_role("heading", name=texts.HOLES_TITLE.format(number=1))).to_be_visible()
    page = look().go(links.holes(NAME, 9))
    expect(page.get_by_role("alert")).to_contain_text("run 9")


def test_without_a_recording_it_says_what_to_do(
    look: Callable[..., Watched], bench: Workbench
) -> None:
    bench.new_trial(example_trial(NAME))
    page = look().go(links.holes(NAME))
    expect(page.get_by_text(texts.HOLES_EMPTY_TITLE)).to_be_visible()
    expect(page.get_by_text("holewise import bracket")).to_be_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("width", "height"), [(1440, 900), (1024, 768), (390, 844)])
def test_it_fits_and_can_be_touched(
    look: Callable[..., Watched], shop: Workbench, width: int, height: int, scheme: str
) -> None:
    assert shop.runs(NAME)
    page = opened(look, width=width, height=height, scheme=scheme)
    press(page, texts.HOLES_ADD)
    expect(page.locator(f"#{ids.HOLES_ASK}")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    small = page.evaluate(
        """() => [...document.querySelectorAll('main button, main a, main input')]
            .filter(part => part.offsetParent)
            .map(part => [part.textContent || part.id, part.getBoundingClientRect()])
            .filter(([, box]) => box.height < 43.5 || box.width < 43.5)
            .map(([text, box]) => `${text}: ${box.width} × ${box.height}`)"""
    )
    assert not small

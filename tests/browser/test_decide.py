"""Deciding in the browser: accept a suggestion, follow the search, choose units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from playwright.sync_api import expect

from dashboard import links, texts
from tests.browser.conftest import Watched
from tests.helpers.example_trial import START, example_trial
from trials.figures import END_MARKS
from trials.model import ENDS
from trials.workbench import Workbench

NAME = "bracket"
# The first question of a process loads the search's libraries, which takes seconds.
FIRST_MS = 60_000


def test_from_the_empty_list_to_a_planned_run_by_clicking(
    look: Callable[..., Watched], bench: Workbench
) -> None:
    page = look().go("/")
    expect(page.get_by_text(texts.TRIALS_EMPTY_TITLE)).to_be_visible()
    bench.new_trial(example_trial(NAME))
    page.reload()
    page.get_by_role("link", name=NAME).click()
    expect(page).to_have_title(f"{NAME} · {texts.PROGRAM}")
    use = page.get_by_role("button", name=texts.USE_THIS)
    expect(use).to_be_visible(timeout=FIRST_MS)
    suggested = page.locator(".settings .value").all_inner_texts()
    use.click()
    expect(page.get_by_text(texts.PLANNED_TITLE.format(number=1))).to_be_visible()
    expect(page.get_by_text("holewise log bracket --run 1")).to_be_visible()
    assert page.locator(".settings .value").all_inner_texts() == suggested
    expect(page.locator("#runs tbody tr")).to_have_count(1)
    expect(page.locator("#runs")).to_contain_text(texts.RUN_STATES["planned"])
    expect(use).to_have_count(0)
    (run,) = bench.runs(NAME)
    assert run.origin == "suggestion"
    assert run.state == "planned"


def test_a_suggestion_that_is_no_longer_given_is_not_planned(
    look: Callable[..., Watched], bench: Workbench
) -> None:
    bench.new_trial(example_trial(NAME))
    page = look().go(links.trial(NAME))
    use = page.get_by_role("button", name=texts.USE_THIS)
    expect(use).to_be_visible(timeout=FIRST_MS)
    bench.plan_run(NAME, START)
    bench.end_run(NAME, 1, "worn", holes=180)
    use.click()
    expect(page.get_by_role("alert")).to_contain_text("Nothing was planned", timeout=FIRST_MS)
    assert [run.number for run in bench.runs(NAME)] == [1]
    expect(use).to_be_visible(timeout=FIRST_MS)


def test_somebody_else_was_faster(look: Callable[..., Watched], bench: Workbench) -> None:
    bench.new_trial(example_trial(NAME))
    page = look().go(links.trial(NAME))
    use = page.get_by_role("button", name=texts.USE_THIS)
    expect(use).to_be_visible(timeout=FIRST_MS)
    bench.plan_run(NAME, START, note="planned by a colleague")
    use.click()
    expect(page.get_by_role("alert")).to_be_visible(timeout=FIRST_MS)
    expect(page.get_by_text(texts.PLANNED_TITLE.format(number=1))).to_be_visible()
    (run,) = bench.runs(NAME)
    assert run.note == "planned by a colleague"


def test_the_progress_figure_shows_every_run(
    look: Callable[..., Watched], bench: Workbench
) -> None:
    bench.new_trial(example_trial(NAME))
    for number, end in enumerate(ENDS, start=1):
        bench.plan_run(NAME, replace(START, speed_m_per_min=60.0 + 5.0 * number))
        bench.end_run(NAME, number, end, holes=60 + 20 * number)
    bench.plan_run(NAME, START)
    page = look().go(links.progress(NAME))
    rows = page.locator("main table").first.locator("tbody tr")  # the map below has its own
    expect(rows).to_have_count(len(ENDS) + 1, timeout=FIRST_MS)
    for number, end in enumerate(ENDS):
        expect(rows.nth(number)).to_contain_text(END_MARKS[end].word)
        expect(rows.nth(number)).to_contain_text(END_MARKS[end].sign)
        expect(page.locator(".legend").first).to_contain_text(END_MARKS[end].word)
    expect(rows.last).to_contain_text(texts.RUN_STATES["planned"])
    expect(page.locator("#convergence .points path.point")).to_have_count(len(ENDS))
    expect(page.locator("figcaption").first).to_contain_text("The cheapest so far is run")


def test_units_and_decimal_mark_are_kept(look: Callable[..., Watched], bench: Workbench) -> None:
    bench.new_trial(example_trial(NAME))
    page = look().go(links.trial(NAME))
    expect(page.locator(".about")).to_contain_text("8.5 mm")
    page.get_by_role("button", name=texts.DECIMAL_COMMA, exact=True).click()
    expect(page.locator(".about")).to_contain_text("8,5 mm")
    page.get_by_role("button", name=texts.UNITS_INCH).click()
    expect(page.locator(".about")).to_contain_text("0,3346 in")  # 8.5 / 25.4
    page.reload()
    expect(page.locator(".about")).to_contain_text("0,3346 in")
    inch = page.get_by_role("button", name=texts.UNITS_INCH)
    assert inch.get_attribute("aria-pressed") == "true"

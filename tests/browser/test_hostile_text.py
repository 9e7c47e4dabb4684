"""Script in every text that people write: shown as text on every page, run on none."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import expect

from dashboard import links
from dashboard.pages import PAGES
from dashboard.texts import settings as words
from tests.browser.conftest import Watched
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream
from trials.model import Drill, Machine, WearReading, Work
from trials.workbench import Workbench

SCRIPT = "<img src=x onerror=window.hurt=1><script>window.hurt=1</script>"


def test_script_in_any_text_is_shown_as_text(
    look: Callable[..., Watched], bench: Workbench, tmp_path: Path
) -> None:
    trace = tmp_path / "trace.csv"
    trace.write_bytes(stream(8))
    bench.new_trial(
        example_trial(
            SCRIPT, machine=Machine(11.0, 1500.0, 8000.0, name=SCRIPT),
            work=Work(SCRIPT, "P"), drills=(Drill(SCRIPT, 8.5, price=80.0, maker=SCRIPT),),
            note=SCRIPT,
        )
    )  # fmt: skip
    bench.plan_run(SCRIPT, START, note=SCRIPT, batch=SCRIPT, machine=SCRIPT)
    bench.import_trace(SCRIPT, 1, trace)
    bench.add_wear(SCRIPT, 1, WearReading(4, vb_maximum_mm=0.05))
    bench.merge_holes(SCRIPT, 1, 2, 3, who=SCRIPT)
    watched = look()
    # The shop's name is typed on the page itself, and stands in the head of every page after.
    page = watched.go(links.settings())
    page.get_by_label(words.NAME).fill(SCRIPT[:60])
    page.get_by_role("button", name=words.SAVE, exact=True).click()
    expect(page.get_by_text(words.SAVED)).to_be_visible()
    alone = (links.HOME, links.settings(), links.health(), links.start(), links.take_in(),
             links.history())  # fmt: skip
    quoted = links.trial(SCRIPT).removeprefix("/trial/")
    of_trial = [f"/{name}/{quoted}" for name in PAGES if name and f"/{name}" not in alone]
    for path in (*alone, *(one for one in of_trial if not one.startswith("/start"))):
        page = watched.go(path)
        expect(page.locator(".head .shop")).to_have_text(SCRIPT[:60])
        expect(page.locator(".working, .loading")).to_have_count(0, timeout=60_000)
        assert page.evaluate("window.hurt") is None, path
        assert page.locator("main img[src=x], main script").count() == 0, path
        # Typed into every field that takes text, of which many answer at once.
        page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        for field in page.locator("main :is(input[type=text], textarea):visible").all():
            if field.is_editable():
                field.fill(SCRIPT)
        page.keyboard.press("Tab")
        page.wait_for_timeout(400)
        assert page.evaluate("window.hurt") is None, path
        assert page.locator("img[src=x], main script").count() == 0, path

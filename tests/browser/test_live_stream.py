"""The page beside the machine while a stream really runs: logger and dashboard in own processes."""

from __future__ import annotations

import re
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, Page, Request, expect

from dashboard import ids, links, texts
from dashboard.texts import live_next as next_texts
from tests.browser.conftest import Watched, served
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import LineServer, stream, up_to_s
from trials.store import StoredAlarm
from trials.workbench import Workbench

NAME = "bracket"
FASTER = 6.0  # the stream runs so many times faster than a real machine
SOON_MS = 60_000


class Machine:
    """Sends an invented stream in small pieces, as a drilling machine would, until held."""

    def __init__(self, text: bytes, length_s: float) -> None:
        self.line = LineServer(text)
        self._text = text
        self._length_s = length_s
        self._running = threading.Event()
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._talk, name="machine")
        self._thread.start()

    def drill(self) -> None:
        self._running.set()

    def hold(self) -> None:
        """Say nothing more, with the link still up."""
        self._running.clear()

    def close(self) -> None:
        self._over.set()
        self._thread.join()
        self.line.close()

    def _talk(self) -> None:
        at_s = 0.0
        while not self._over.wait(0.1) and at_s < self._length_s - 1.0:
            if self._running.is_set():
                at_s = round(at_s + 0.1 * FASTER, 2)
                self.line.release(up_to_s(self._text, at_s))


@contextmanager
def machine(holes: int, **how: float) -> Iterator[Machine]:
    talking = Machine(stream(holes, **how), 2.0 + 6.0 * holes)  # type: ignore[arg-type]  # floats
    try:
        yield talking
    finally:
        talking.close()


@contextmanager
def logger(bench: Workbench, url: str) -> Iterator[subprocess.Popen[bytes]]:
    """The command ``holewise log`` in a process of its own."""
    process = subprocess.Popen(
        [sys.executable, "-m", "trials.cli.app", "--data", str(bench.folder), "log", NAME,
         "--source", url, "--format", "csv", "--map", "load=load_pct,time=time_s",
         "--no-reconnect"],
        stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        yield process
    finally:
        process.terminate()
        process.wait(30)


def digits(page: Page) -> str:
    return page.locator(".load .digits").inner_text()


def over_limit(bench: Workbench) -> list[StoredAlarm]:
    return [alarm for alarm in bench.alarms(NAME, 1) if alarm.kind == "over_limit"]


def holes_so_far(page: Page) -> int:
    return int(page.locator(".facts .holes .value").inner_text())


@pytest.fixture
def planned(bench: Workbench) -> Workbench:
    # Peaks begin at 40 % and rise by 0.5 % a hole: the limit is passed in hole 17.
    bench.new_trial(example_trial(NAME, load_limit_pct=47.5))
    bench.plan_run(NAME, START)
    return bench


def test_load_holes_trace_and_alarm_follow_the_stream(
    look: Callable[..., Watched], planned: Workbench
) -> None:
    page = look(1024, 768).go(links.live(NAME))
    expect(page.get_by_text(texts.LIVE_EMPTY_TITLE)).to_be_visible()
    page.evaluate("window.untouched = true")
    with machine(200) as drilling, logger(planned, drilling.line.url) as logging:
        drilling.drill()
        expect(page.locator(".state.ok")).to_be_visible(timeout=SOON_MS)
        expect(page.locator(".load .digits")).to_be_visible()
        size = "parseFloat(getComputedStyle(document.querySelector('.load')).fontSize)"
        assert page.evaluate(size) > 100, "too small to be read at arm's length"
        page.wait_for_function(
            """() => {
                window.loads = window.loads || new Set();
                window.loads.add(document.querySelector('.load .digits')?.textContent);
                return window.loads.size >= 4;
            }""",
            timeout=SOON_MS,
        )
        drawn = page.locator("#live-trace .js-line").first.get_attribute("d")
        first = holes_so_far(page)
        page.wait_for_function(
            "before => Number(document.querySelector('.facts .holes .value').textContent)"
            " >= before + 2",
            arg=first,
            timeout=SOON_MS,
        )
        assert page.locator("#live-trace .js-line").first.get_attribute("d") != drawn
        expect(page.locator("#live-trend .point").first).to_be_visible()
        expect(page.locator("#live-holes tbody tr").first).to_be_visible()

        drilling.hold()
        expect(page.locator(".state.stale")).to_contain_text(texts.LIVE_STALE, timeout=SOON_MS)
        expect(page.locator(".load")).to_have_text(texts.LIVE_STALE_VALUE)
        expect(page.locator(".load .digits")).to_have_count(0)
        expect(page.locator(".below")).to_contain_text(re.compile(r"last value .* ago"))

        drilling.drill()
        expect(page.locator(".state.ok, .state.alarm").first).to_be_visible(timeout=SOON_MS)
        # Values that stayed away are an alarm too, which may stand before the load is over.
        waited_ms = 0
        while not over_limit(planned):
            assert waited_ms < SOON_MS, "the load never passed the limit"
            page.wait_for_timeout(200)
            waited_ms += 200
        alarm = page.locator(".state.alarm")
        expect(alarm).to_be_visible(timeout=SOON_MS)
        expect(alarm).to_contain_text(texts.LIVE_ALARM)
        expect(alarm).to_contain_text(texts.LIVE_SIGN_ALARM)
        says = page.locator(f"#{ids.LIVE_ALARM}")
        assert says.get_attribute("role") == "status"
        assert says.get_attribute("aria-live") == "assertive"
        expect(alarm).to_be_in_viewport(ratio=1)

        with page.expect_response(
            lambda answer: ids.LIVE_ACKNOWLEDGED in (answer.request.post_data or "")
        ):
            page.get_by_role("button", name=next_texts.ACKNOWLEDGE).click()
        over = over_limit(planned)
        assert over[0].acknowledged_by == texts.PROGRAM
        assert not over[0].standing

        drilling.hold()
        drilling.line.end()
        expect(page.locator(".state.ended")).to_contain_text(texts.LIVE_ENDED, timeout=SOON_MS)
        # 3: recorded in good order, with an alarm that nobody has acknowledged.
        status = logging.wait(30)
        assert status == (3 if any(one.standing for one in planned.alarms(NAME, 1)) else 0)
    assert page.evaluate("window.untouched"), "the page was loaded again meanwhile"
    run = planned.run(NAME, 1)
    assert run.state == "drilled"
    expect(page.locator(".facts .holes .value")).to_have_text(str(run.holes))


def test_a_logger_that_dies_is_seen_as_no_new_values(
    look: Callable[..., Watched], planned: Workbench
) -> None:
    with machine(200) as drilling, logger(planned, drilling.line.url) as logging:
        drilling.drill()
        page = look().go(links.live(NAME))
        expect(page.locator(".state.ok")).to_be_visible(timeout=SOON_MS)
        logging.kill()
        logging.wait(30)
        expect(page.locator(".state.stale")).to_contain_text("--resume", timeout=SOON_MS)
        expect(page.locator(".load .digits")).to_have_count(0)


def test_a_dashboard_that_dies_is_said_by_the_page_itself(
    chromium: Browser, planned: Workbench
) -> None:
    with machine(200) as drilling, logger(planned, drilling.line.url) as logging:
        drilling.drill()
        with served(planned.folder) as (address, process):
            page = chromium.new_page()
            page.goto(address.rstrip("/") + links.live(NAME))
            expect(page.locator(".state.ok")).to_be_visible(timeout=SOON_MS)
            process.kill()
            process.wait(10)
            expect(page.locator(".watch")).to_contain_text(texts.LIVE_NO_ANSWER, timeout=SOON_MS)
            expect(page.locator(".load")).to_be_hidden()
            expect(page.locator(".state")).to_be_hidden()
            page.close()
        assert logging.poll() is None, "the logger must not notice"


# Counts drawings of the trace, and answers of the page's own question, since it was called.
_COUNT = """figure => {
  const drawing = document.querySelector(`#${figure} .js-plotly-plot`);
  window.counted = {drawn: 0, began: performance.now()};
  drawing.on("plotly_afterplot", () => { window.counted.drawn += 1; });
}"""
_COUNTED = """() => ({
  drawn: window.counted.drawn, seconds: (performance.now() - window.counted.began) / 1000,
  parts: document.querySelectorAll("*").length,
})"""


def test_the_live_page_asks_one_thing_at_a_time_draws_what_it_gets_and_grows_by_nothing(
    look: Callable[..., Watched], planned: Workbench
) -> None:
    watched = look(1024, 768)
    page = watched.page
    open_now, most_open, answered = set(), [0], [0]

    def mine(request: Request) -> bool:
        return ids.LIVE_GAUGE in (request.post_data or "")[:1000]

    def asks(request: Request) -> None:
        if mine(request):
            open_now.add(request)
            most_open[0] = max(most_open[0], len(open_now))

    def answers(request: Request) -> None:
        if request in open_now:
            open_now.discard(request)
            answered[0] += 1

    page.on("request", asks)
    page.on("requestfinished", answers)
    with machine(200) as drilling, logger(planned, drilling.line.url):
        drilling.drill()
        watched.go(links.live(NAME))
        expect(page.locator(".load .digits")).to_be_visible(timeout=SOON_MS)
        expect(page.locator("#live-holes tbody tr")).to_have_count(8, timeout=SOON_MS)
        page.evaluate(_COUNT, ids.LIVE_TRACE)
        parts = page.evaluate(_COUNTED)["parts"]
        before = answered[0]
        page.wait_for_timeout(6000)
        after = page.evaluate(_COUNTED)
        got = answered[0] - before
    assert most_open[0] == 1, "it asked again before it was answered"
    assert got <= 4.0 * after["seconds"] + 2, "it asks more often than four times a second"
    # A busy machine answers less often; what is answered is drawn all the same.
    assert 0.8 * got - 2 <= after["drawn"] <= got + 2
    # Of the drawings, a few labels of an axis come and go; nothing is left over from each answer.
    assert after["parts"] <= parts + 40, "parts of the page are left over"

"""How fast pages stand, change and zoom; how long a live page goes on; how many can watch it."""

from __future__ import annotations

import http.client
import json
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import urljoin, urlsplit

import numpy as np
from playwright.sync_api import Browser, Page

from dashboard import ids, links
from tests.benchmarks.dashboard.shop import LIVE
from tests.helpers.crawler import Crawler

_FORM = "main article :is(input, button, table, .state, p)"  # of pages that are filled in
# What a person comes to each page for; a heading alone, or "working it out", does not count.
_ROWS = "main tbody tr:nth-child({rows})"
_LINE = "#{ident} .js-line"
STANDS: dict[str, tuple[str, ...]] = {
    "trials": (_ROWS.format(rows=5),),
    "trial": (".tiles", f"#{ids.RUNS} tbody tr:nth-child(5)"),
    "holes": (_LINE.format(ident=ids.HOLES_FIGURE), f"#{ids.HOLES_TABLE} tbody tr"),
    "live": (f"#{ids.LIVE_GAUGE} .load", _LINE.format(ident=ids.LIVE_TRACE), ".tiles"),
    "wear": (_LINE.format(ident=ids.WEAR_CURVE), "main tbody tr"),
    "progress": ("main .js-plotly-plot .point", _ROWS.format(rows=5)),
    "form": (_FORM,),
    "compare": ("main .js-plotly-plot .point", "main tbody tr"),
}


def _median(take: Callable[[], float], times: int) -> tuple[float, float]:
    """The middle and the longest of several measurements."""
    taken = [take() for _ in range(times)]
    return float(np.median(taken)), max(taken)


def _wait_for(page: Page, parts: tuple[str, ...]) -> None:
    for part in parts:
        page.locator(part).locator("visible=true").first.wait_for()


def first_paint(
    browser: Browser, address: str, path: str, parts: tuple[str, ...], times: int
) -> tuple[float, float]:
    """From asking for an address, nothing kept by the browser, to what it is opened for, s."""

    def once() -> float:
        context = browser.new_context(viewport={"width": 1440, "height": 900})
        page = context.new_page()
        began = time.perf_counter()
        page.goto(address.rstrip("/") + path, wait_until="commit")
        _wait_for(page, parts)
        taken = time.perf_counter() - began
        context.close()
        return taken

    return _median(once, times)


def page_change(
    page: Page, link: str, parts: tuple[str, ...], back: str, times: int
) -> tuple[float, float]:
    """From a click on a way to the page behind it, s."""

    def once() -> float:
        way = page.get_by_role("link", name=link, exact=True).first
        way.wait_for()
        began = time.perf_counter()
        way.click()
        page.locator(".way.here", has_text=link).wait_for()
        _wait_for(page, parts)
        taken = time.perf_counter() - began
        page.get_by_role("link", name=back, exact=True).first.click()
        page.locator(".way.here", has_text=back).wait_for()
        page.wait_for_timeout(300)
        return taken

    return _median(once, times)


def head_change(page: Page, link: str, title: str, back: str, times: int) -> tuple[float, float]:
    """From a click on a way at the head of every page to the page behind it, s."""

    def once() -> float:
        way = page.locator("header").get_by_role("link", name=link, exact=True)
        began = time.perf_counter()
        way.click()
        page.locator("main article h1", has_text=title).wait_for()
        _wait_for(page, STANDS["form"])
        taken = time.perf_counter() - began
        page.goto(urljoin(page.url, back))
        page.locator("main article h1").wait_for()
        page.wait_for_timeout(300)
        return taken

    return _median(once, times)


def answered(browser: Browser, address: str, path: str, times: int) -> tuple[float, float]:
    """From asking for the page of history to the answers on it, s."""

    def once() -> float:
        context = browser.new_context(viewport={"width": 1440, "height": 900})
        page = context.new_page()
        began = time.perf_counter()
        page.goto(address.rstrip("/") + path, wait_until="commit")
        page.locator(f"#{ids.HISTORY_SHOWN} table").first.wait_for()
        taken = time.perf_counter() - began
        context.close()
        return taken

    return _median(once, times)


# Presses a key of the viewer; answers with the time until the figure has been drawn anew and the
# sentence below it tells of the new stretch, s.
_ZOOM = """([key, figure, sentence]) => new Promise((done, failed) => {
  const drawing = document.querySelector(`#${figure} .js-plotly-plot`);
  const said = document.getElementById(sentence);
  const before = said.innerText;
  let drawn = false;
  const began = performance.now();
  drawing.on("plotly_afterplot", () => { drawn = true; });
  const look = () => {
    const taken = performance.now() - began;
    if (drawn && said.innerText !== before) done(taken / 1000);
    else if (taken > 20000) failed(new Error("nothing changed"));
    else requestAnimationFrame(look);
  };
  document.getElementById(key).click();
  look();
})"""


def zoom(page: Page, times: int) -> tuple[float, float]:
    """From a press on a key of the viewer to the new stretch and its sentence, s."""
    moves = [ids.HOLES_WHOLE, ids.HOLES_NEARER, ids.HOLES_NEARER, ids.HOLES_FARTHER]
    taken = []
    for number in range(times * len(moves)):
        asked = [moves[number % len(moves)], ids.HOLES_FIGURE, ids.HOLES_SENTENCE]
        taken.append(float(page.evaluate(_ZOOM, asked)))
        page.wait_for_timeout(150)
    return float(np.median(taken)), max(taken)


def resident_mib(pid: int) -> float:
    """Memory that a process holds now, MiB."""
    status = Path(f"/proc/{pid}/status").read_text("utf-8")
    line = next(one for one in status.splitlines() if one.startswith("VmRSS:"))
    return int(line.split()[1]) / 1024


# Counts how often the trace is drawn with points that it did not have before.
_COUNT = """figure => {
  const drawing = document.querySelector(`#${figure} .js-plotly-plot`);
  let before = "";
  window.framesDrawn = 0;
  drawing.on("plotly_afterplot", () => {
    const line = drawing.data[0];
    const now = JSON.stringify([line.x.length, line.y.slice(-40), line.x.slice(-40)]);
    if (now !== before) window.framesDrawn += 1;
    before = now;
  });
}"""


def watched(browser: Browser, address: str, pid: int, done: threading.Event) -> dict[str, Any]:
    """Frames a second and memory of browser and server, while the live page goes on."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    page = context.new_page()
    page.goto(address.rstrip("/") + links.live(LIVE))
    page.locator(".load .digits").wait_for(timeout=60_000)
    page.evaluate(_COUNT, ids.LIVE_TRACE)
    tools = context.new_cdp_session(page)
    tools.send("Performance.enable")
    memory: list[tuple[float, float, float]] = []
    began, last = time.monotonic(), 0.0
    while not done.is_set():
        page.wait_for_timeout(500)
        if time.monotonic() - last >= 5:
            last = time.monotonic()
            tools.send("HeapProfiler.collectGarbage")
            found = {
                one["name"]: one["value"] for one in tools.send("Performance.getMetrics")["metrics"]
            }
            memory.append((last - began, found["JSHeapUsedSize"] / 2**20, resident_mib(pid)))
    seconds = time.monotonic() - began
    frames = int(page.evaluate("window.framesDrawn"))
    context.close()
    # Grown since everything stood: the middle of the last quarter against that of the second.
    quarters = np.array_split(np.array(memory), 4)
    grown = np.median(quarters[3], axis=0) - np.median(quarters[1], axis=0)
    return {
        "seconds": seconds, "frames": frames, "frames_per_s": frames / seconds,
        "heap_mib": float(np.median(quarters[3][:, 1])), "heap_grown_mib": float(grown[1]),
        "server_mib": float(np.median(quarters[3][:, 2])), "server_grown_mib": float(grown[2]),
    }  # fmt: skip


class Asking:
    """A browser's requests over one connection, without its screen."""

    def __init__(self, address: str) -> None:
        self._line = http.client.HTTPConnection(urlsplit(address).netloc, timeout=30)

    def get(self, path: str, headers: dict[str, str] | None = None) -> Any:
        return self._ask("GET", path, None, headers or {})

    def post(self, path: str, json: Any, headers: dict[str, str] | None = None) -> Any:
        return self._ask("POST", path, json, headers or {})

    def _ask(self, method: str, path: str, body: Any, headers: dict[str, str]) -> Any:
        text = None if body is None else json.dumps(body)
        self._line.request(method, path, text, headers | {"Content-Type": "application/json"})
        answer = self._line.getresponse()
        data = answer.read()
        return SimpleNamespace(status_code=answer.status, data=data, text=data.decode(),
                               json=json.loads(data) if data else {})  # fmt: skip

    def close(self) -> None:
        self._line.close()


def viewers(address: str, number: int, seconds: float, every_s: float) -> dict[str, float]:
    """Answer times of the live page with many who watch it, each asking as the page does."""
    times: list[float] = []
    late = [0]
    lock = threading.Lock()
    over = threading.Event()

    def watch(at: int) -> None:
        client = Asking(address)
        crawler = Crawler(client)
        crawler.open(links.live(LIVE))
        (callback,) = (one for one in crawler.callbacks() if ids.LIVE_GAUGE in one["output"])
        over.wait(every_s * at / number)
        beat = 0
        while not over.is_set():
            beat += 1
            crawler.props[ids.LIVE_ASK] = {"data": beat}
            body = crawler.body(callback, callback["inputs"][0], {})
            began = time.perf_counter()
            answer = client.post("/_dash-update-component", json=body)
            taken = time.perf_counter() - began
            crawler._take(answer.json)
            with lock:
                times.append(taken)
                late[0] += answer.status_code != 200
            over.wait(max(0.0, every_s - taken))
        client.close()

    threads = [threading.Thread(target=watch, args=(at,)) for at in range(number)]
    for thread in threads:
        thread.start()
    time.sleep(3)  # until all of them watch
    with lock:
        times.clear()
    time.sleep(seconds)
    over.set()
    for thread in threads:
        thread.join()
    found = np.array(times)
    return {
        "answers": len(found), "failed": late[0], "p50_s": float(np.quantile(found, 0.5)),
        "p95_s": float(np.quantile(found, 0.95)), "longest_s": float(found.max()),
        "answers_per_s": len(found) / seconds,
    }  # fmt: skip

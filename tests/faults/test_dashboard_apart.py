"""Logger and dashboard die without each other noticing; what is old is shown as old."""

from __future__ import annotations

import http.client
import json
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlsplit

from dashboard import ids, links, texts
from tests.helpers.crawler import Crawler
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import LineServer, stream, up_to_s
from trials.workbench import Workbench

NAME = "bracket"
SERVE = (
    "import sys; from pathlib import Path; from dashboard import serve;"
    "from trials.workbench import Workbench;"
    "serve(Workbench.open(Path(sys.argv[1])), port=0, on_ready=lambda at: print(at, flush=True))"
)
PATIENCE_S = 60.0


class Browser:
    """Asks a dashboard over HTTP, each time anew."""

    def __init__(self, address: str) -> None:
        self._place = urlsplit(address).netloc

    def get(self, path: str, headers: dict[str, str] | None = None) -> Any:
        return self._ask("GET", path, None, headers)

    def post(self, path: str, json: Any, headers: dict[str, str] | None = None) -> Any:
        return self._ask("POST", path, json, headers)

    def _ask(self, method: str, path: str, body: Any, headers: dict[str, str] | None) -> Any:
        line = http.client.HTTPConnection(self._place, timeout=30)
        try:
            text = None if body is None else json.dumps(body)
            line.request(method, path, text, {"Content-Type": "application/json"} | (headers or {}))
            answer = line.getresponse()
            data = answer.read()
        finally:
            line.close()
        found = json.loads(data) if data[:1] in (b"{", b"[") else {}
        return SimpleNamespace(status_code=answer.status, text=data.decode(), json=found)


@contextmanager
def dashboard(folder: Path) -> Iterator[tuple[Crawler, subprocess.Popen[str]]]:
    process = subprocess.Popen(
        [sys.executable, "-c", SERVE, str(folder)], stdout=subprocess.PIPE, text=True
    )
    try:
        assert process.stdout is not None
        address = process.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:")
        yield Crawler(Browser(address)), process
    finally:
        process.kill()
        process.communicate(timeout=20)


@contextmanager
def logger(folder: Path, url: str) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(
        [sys.executable, "-m", "trials.cli.app", "--data", str(folder), "log", NAME,
         "--source", url, "--format", "csv", "--map", "load=load_pct,time=time_s",
         "--no-reconnect"],
        stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        yield process
    finally:
        process.kill()
        process.wait(30)


def until(holds: Callable[[], bool], what: str) -> None:
    last = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < last, what
        time.sleep(0.1)


def journal_bytes(folder: Path) -> int:
    return sum(path.stat().st_size for path in folder.glob("journals/*/segment-*.journal"))


def test_each_goes_on_when_the_other_is_killed(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    with Workbench.open(folder) as bench:
        bench.new_trial(example_trial(NAME))
        bench.plan_run(NAME, START)
    text = stream(20)
    line = LineServer(text)
    try:
        with logger(folder, line.url) as logging:
            line.release(up_to_s(text, 20.0))
            with dashboard(folder) as (browser, serving):
                live = links.live(NAME)
                until(lambda: '"state ok"' in browser.open(live).text or _stale(browser, live),
                      "the live page shows the recording")  # fmt: skip
                serving.kill()
                serving.wait(20)
                before = journal_bytes(folder)
                line.release(up_to_s(text, 60.0))
                until(lambda: journal_bytes(folder) > before + 10_000, "the logger goes on")
                assert logging.poll() is None
            with dashboard(folder) as (browser, serving):
                # Nothing more is sent: what stands is old, and said to be, first by age …
                until(lambda: _stale(browser, links.live(NAME)), "old values are called old")
                assert logging.poll() is None
                logging.kill()
                logging.wait(20)
                # … then because nobody records any more.
                until(lambda: "its logger has stopped" in browser.open(links.health()).text,
                      "the page of the loggers says that it is gone")  # fmt: skip
                assert _stale(browser, links.live(NAME))
                assert browser.open(links.trial(NAME)).status_code == 200
                assert serving.poll() is None
    finally:
        line.close()
    with Workbench.open(folder) as bench:
        assert bench.damage() == []
        bench.rebuild(NAME, 1)
        assert bench.run(NAME, 1).holes >= 8  # ten holes were sent; the last may be cut


def _stale(browser: Crawler, path: str) -> bool:
    told = browser.open(path).json["response"][ids.PAGE]["children"]
    text = json.dumps(told, ensure_ascii=False)
    return "state stale" in text and texts.LIVE_STALE_VALUE in text

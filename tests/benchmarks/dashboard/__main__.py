"""``python -m tests.benchmarks.dashboard``: the dashboard's figures on a large invented shop.

50 trials, 200 runs and a trace of a million samples; then an hour of drilling in five minutes with
the live page open, and 20 who watch it. It prints a table, or with ``--write FILE`` puts it between
the marks in that file. ``--quick`` does the same small, in half a minute; ``--only`` does a part.
``--server`` shows every page of a shop of 1,000 trials and 10,000 runs on PostgreSQL instead.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

from playwright.sync_api import sync_playwright

from dashboard import links, texts
from dashboard.pages.live import TICK_MS
from dashboard.texts import history as history_texts
from tests.benchmarks.dashboard import watch
from tests.benchmarks.dashboard.shop import (
    FEW,
    LARGE,
    MANY,
    QUICK,
    Size,
    drilling,
    fill,
    fill_many,
)
from tests.browser.conftest import ARGUMENTS, served
from tests.helpers.table_in_docs import between_marks, put, table
from trials.sharing.pdf import find_browser
from trials.workbench import Workbench

Row = tuple[str, str, str]
HEAD = ("what", "to reach", "seen: middle (longest)")
PARTS = ("pages", "live", "viewers")
# How the rows of each part begin.
STARTS = {
    "pages": ("pages:", "first paint:", "page change:", "zoom"),
    "live": ("live:",),
    "viewers": ("viewers:", "20 viewers"),
}


# Pages by what they stand with, as `watch.STANDS` names it.
PAINTED = (
    ("the shop's trials", links.HOME, "trials"), ("the large trial", links.trial(LARGE), "trial"),
    ("its holes, the long trace", links.holes(LARGE), "holes"),
    ("at the machine, the long trace", links.live(LARGE), "live"),
    ("its wear and life", links.wear(LARGE), "wear"),
)  # fmt: skip
REST = (
    ("its progress", links.progress(LARGE), "progress"),
    ("its drills compared", links.compare(LARGE), "compare"),
    ("look at the drill", links.look(LARGE), "form"), ("hand over", links.hand_over(LARGE), "form"),
    ("share", links.share(LARGE), "form"), ("history", links.history(), "form"),
    ("health", links.health(), "form"), ("begin a trial", links.start(), "form"),
    ("take in", links.take_in(), "form"), ("settings", links.settings(), "form"),
)  # fmt: skip


def pages(folder: Path, chromium: str, times: int, *, every: bool = False) -> list[Row]:
    """First paint, page change and zoom; with ``every`` page of the dashboard."""
    rows: list[Row] = []
    with served(folder) as (address, _), sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=list(ARGUMENTS))
        for name, path, stands in (*PAINTED, *(REST if every else ())):
            middle, longest = watch.first_paint(browser, address, path, watch.STANDS[stands], times)
            rows.append((f"first paint: {name}", "≤ 2 s", f"{middle:.2f} s ({longest:.2f} s)"))
            print(rows[-1], flush=True)
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.goto(address.rstrip("/") + links.trial(LARGE))
        page.locator("main article h1").wait_for()
        for link, stands in (
            (texts.TRIAL_HOLES, "holes"), (texts.TRIAL_LIVE, "live"), (texts.TRIAL_WEAR, "wear"),
            (texts.TRIAL_PROGRESS, "progress"), (texts.TRIAL_COMPARE, "compare"),
        ):  # fmt: skip
            middle, longest = watch.page_change(
                page, link, watch.STANDS[stands], texts.TRIAL_OVERVIEW, times
            )
            rows.append((f"page change: to {link}", "≤ 1 s", f"{middle:.2f} s ({longest:.2f} s)"))
        if every:
            for link, title in ((texts.NAV_TRIALS, texts.TRIALS_TITLE),
                                (texts.NAV_HISTORY, history_texts.TITLE)):  # fmt: skip
                middle, longest = watch.head_change(page, link, title, links.trial(LARGE), times)
                rows.append(
                    (f"page change: to {link}", "≤ 1 s", f"{middle:.2f} s ({longest:.2f} s)")
                )
            middle, longest = watch.answered(browser, address, links.history(), times)
            rows.append(("history: answers of the first question", "≤ 2 s",
                         f"{middle:.2f} s ({longest:.2f} s)"))  # fmt: skip
        page.goto(address.rstrip("/") + links.holes(LARGE))
        page.locator("main article h1").wait_for()
        page.wait_for_timeout(1000)
        middle, longest = watch.zoom(page, times)
        rows.append(
            (
                "zoom in the long trace",
                "≤ 300 ms",
                f"{1e3 * middle:.0f} ms ({1e3 * longest:.0f} ms)",
            )
        )
        browser.close()
    return rows


def on_server(folder: Path, chromium: str, size: Size, times: int) -> list[Row]:
    """The pages of a shop of years whose tables are on a PostgreSQL server of its own."""
    from tests.helpers.postgres import PostgresServer

    fill_many(folder, size)
    server = PostgresServer()
    try:
        Workbench.use_server(folder, server.new_database())
        return pages(folder, chromium, times, every=True)
    finally:
        server.stop()


def live(folder: Path, chromium: str, hours: float, faster: float) -> list[Row]:
    """The page beside the machine over a compressed stretch of drilling."""
    with (
        served(folder) as (address, process),
        drilling(folder, hours=hours, faster=faster) as done,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=chromium, args=list(ARGUMENTS))
        found = watch.watched(browser, address, process.pid, done)
        browser.close()
    return [
        (
            f"live: {hours:g} h of drilling in {found['seconds']:.0f} s",
            "4 frames/s",
            f"{found['frames_per_s']:.2f} frames/s drawn, {found['frames']} frames",
        ),
        (
            "live: the browser's memory, grown from the second to the last quarter",
            "flat",
            f"{found['heap_grown_mib']:+.1f} MiB of {found['heap_mib']:.0f} MiB",
        ),
        (
            "live: the server's memory, grown from the second to the last quarter",
            "flat",
            f"{found['server_grown_mib']:+.1f} MiB of {found['server_mib']:.0f} MiB",
        ),
    ]


def many(folder: Path, number: int, seconds: float) -> list[Row]:
    """Many who watch the same machine at once."""
    with served(folder) as (address, _), drilling(folder, hours=1, faster=6.0):
        time.sleep(3)
        # In a process of their own: what they need is not the server's.
        with ProcessPoolExecutor(1, get_context("spawn")) as pool:
            found = pool.submit(watch.viewers, address, number, seconds, TICK_MS / 1000).result()
    return [
        (
            f"{number} viewers on the live page for {seconds:.0f} s, half of all answers",
            "", f"{1e3 * found['p50_s']:.0f} ms",
        ),
        (
            f"{number} viewers, 95 % of all answers", "≤ 500 ms",
            (f"{1e3 * found['p95_s']:.0f} ms (longest {1e3 * found['longest_s']:.0f} ms, "
            f"{found['answers']:.0f} answers, {found['answers_per_s'] / number:.1f} a second each, "
            f"{found['failed']:.0f} failed)"),
        ),
    ]  # fmt: skip


def used_by_others(seconds: float = 2.0) -> float:
    """Share of all cores that is busy while this measures nothing."""

    def now() -> tuple[int, int]:
        ticks = [int(one) for one in Path("/proc/stat").read_text("utf-8").split()[1:9]]
        return sum(ticks) - ticks[3] - ticks[4], sum(ticks)

    busy, all_ticks = now()
    time.sleep(seconds)
    busy_then, all_then = now()
    return (busy_then - busy) / max(1, all_then - all_ticks)


def main() -> None:
    told = argparse.ArgumentParser(prog="python -m tests.benchmarks.dashboard", description=__doc__)
    told.add_argument("--quick", action="store_true", help="small sizes, half a minute")
    told.add_argument("--only", choices=PARTS, help="one part alone")
    told.add_argument("--server", action="store_true", help="every page, a large shop on a server")
    told.add_argument("--write", type=Path, help="put the table between the marks of this file; "
                      "rows of other parts stay")  # fmt: skip
    asked = told.parse_args()
    chromium = find_browser() or "chromium"
    size = QUICK if asked.quick else Size()
    parts: dict[str, list[Row]] = {}
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "shop"
        folder.mkdir()
        if asked.server:
            size = FEW if asked.quick else MANY
            rows = on_server(folder, chromium, size, 1 if asked.quick else 5)
            put(table(HEAD, rows), asked.write, "pages")
            return
        began = time.perf_counter()
        fill(folder, size if asked.only in (None, "pages") else QUICK)
        print(f"{size} filled in {time.perf_counter() - began:.0f} s")
        for part in PARTS if asked.only is None else (asked.only,):
            before = used_by_others()
            if part == "pages":
                rows = pages(folder, chromium, 2 if asked.quick else 5)
            elif part == "live":
                rows = live(folder, chromium, *((0.06, 12.0) if asked.quick else (1.0, 12.0)))
            else:
                rows = many(folder, 20, 5.0 if asked.quick else 60.0)
            others = f"{100 * before:.0f} % and {100 * used_by_others():.0f} %"
            parts[part] = [
                *rows,
                (f"{part}: what other programs used before and after", "", others),
            ]
            print(table(HEAD, parts[part]))
    rows = [row for part in PARTS for row in parts.get(part) or kept_rows(asked.write, part)]
    put(table(HEAD, rows), asked.write)


def kept_rows(page: Path | None, part: str) -> list[Row]:
    """What the table of a page holds of a part that was not measured this time."""
    text = "" if page is None else between_marks(page)
    found = [line.strip("| ").split(" | ") for line in text.splitlines() if line.startswith("| ")]
    rows = [(row[0], row[1] if len(row) == 3 else "", row[-1]) for row in found[2:]]
    return [row for row in rows if row[0].startswith(STARTS[part])]


if __name__ == "__main__":
    main()

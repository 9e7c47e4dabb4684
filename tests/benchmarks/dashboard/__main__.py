"""``python -m tests.benchmarks.dashboard``: the dashboard's figures on a large invented shop.

50 trials, 200 runs and a trace of a million samples; then an hour of drilling in five minutes with
the live page open, and 20 who watch it. It prints a table, or with ``--write FILE`` puts it between
the marks in that file. ``--quick`` does the same small, in half a minute; ``--only`` does a part.
"""

from __future__ import annotations

import argparse
import os
import platform
import shutil
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

from playwright.sync_api import sync_playwright

from dashboard import links, texts
from dashboard.pages.live import TICK_MS
from tests.benchmarks.dashboard import watch
from tests.benchmarks.dashboard.shop import LARGE, QUICK, Size, drilling, fill
from tests.browser.conftest import ARGUMENTS, served

Row = tuple[str, str, str]
PARTS = ("pages", "live", "viewers")
# How the rows of each part begin.
STARTS = {
    "pages": ("pages:", "first paint:", "page change:", "zoom"),
    "live": ("live:",),
    "viewers": ("viewers:", "20 viewers"),
}
MARKS = ("<!-- figures -->\n", "<!-- end of figures -->")


def pages(folder: Path, chromium: str, times: int) -> list[Row]:
    """First paint, page change and zoom."""
    rows: list[Row] = []
    with served(folder) as (address, _), sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=list(ARGUMENTS))
        for name, path, stands in (
            ("the shop's trials", links.HOME, "trials"),
            ("the large trial", links.trial(LARGE), "trial"),
            ("its holes, the long trace", links.holes(LARGE), "holes"),
            ("at the machine, the long trace", links.live(LARGE), "live"),
            ("its wear and life", links.wear(LARGE), "wear"),
        ):
            middle, longest = watch.first_paint(browser, address, path, watch.STANDS[stands], times)
            rows.append((f"first paint: {name}", "≤ 2 s", f"{middle:.2f} s ({longest:.2f} s)"))
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


def table(rows: list[Row]) -> str:
    lines = ["| what | to reach | seen: middle (longest) |", "| --- | --- | --- |"]
    return "\n".join([*lines, *(f"| {' | '.join(row)} |" for row in rows)]) + "\n"


def main() -> None:
    told = argparse.ArgumentParser(prog="python -m tests.benchmarks.dashboard", description=__doc__)
    told.add_argument("--quick", action="store_true", help="small sizes, half a minute")
    told.add_argument("--only", choices=PARTS, help="one part alone")
    told.add_argument("--write", type=Path, help="put the table between the marks of this file; "
                      "rows of other parts stay")  # fmt: skip
    asked = told.parse_args()
    chromium = os.environ.get("HOLEWISE_CHROMIUM") or shutil.which("chromium") or "chromium"
    size = QUICK if asked.quick else Size()
    parts: dict[str, list[Row]] = {}
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "shop"
        folder.mkdir()
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
            print(table(parts[part]))
    if asked.write is not None:
        where = f"{platform.system()}, {os.cpu_count()} cores, Python {platform.python_version()}"
        page = asked.write.read_text("utf-8")
        before_text, rest = page.split(MARKS[0])
        held, after_text = rest.split(MARKS[1])
        rows = [row for part in PARTS for row in parts.get(part) or kept_rows(held, part)]
        text = f"Measured on: {where}.\n\n{table(rows)}"
        asked.write.write_text(f"{before_text}{MARKS[0]}{text}{MARKS[1]}{after_text}", "utf-8")


def kept_rows(text: str, part: str) -> list[Row]:
    """What a table holds of a part that was not measured this time."""
    found = [line.strip("| ").split(" | ") for line in text.splitlines() if line.startswith("| ")]
    rows = [(row[0], row[1] if len(row) == 3 else "", row[-1]) for row in found[2:]]
    return [row for row in rows if row[0].startswith(STARTS[part])]


if __name__ == "__main__":
    main()

"""An invented shop in which every page has something to show, and the addresses of its pages."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from dashboard import links
from dashboard.pages import PAGES
from tests.helpers.crawler import Crawler
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream
from trials.model import Drill, Economics, WearReading
from trials.workbench import Workbench

ENDED, OPEN = "Bracket", "Flange"
# Amounts that are found nowhere by chance.
PRICES = (83.17, 21.53, 127.91, 61.73, 1.2347)
MONEY = {
    "drills": (
        Drill("plain", 8.5, price=PRICES[0], regrinds=3, regrind_cost=PRICES[1]),
        Drill("coated", 8.5, coating="TiAlN", price=PRICES[2]),
    ),
    "economics": Economics(
        machine_rate_per_min=PRICES[4], tool_change_min=2.0, breakage_cost=PRICES[3],
        currency="CHF",
    ),
}  # fmt: skip


def fill_shop(bench: Workbench, folder: Path) -> None:
    """Two trials: one with ended runs alone, one with a run that is drilled and not ended."""
    trace = folder / "trace.csv"
    trace.write_bytes(stream(12))
    for name in (ENDED, OPEN):
        bench.new_trial(example_trial(name, holes_to_make=20_000, **MONEY))
        for number, (end, speed) in enumerate(
            (("worn", 80.0), ("broken", 95.0), ("worn", 70.0)), start=1
        ):
            data = replace(START, speed_m_per_min=speed)
            bench.plan_run(name, data, drill="coated" if number == 3 else "plain")
            if number == 1:
                bench.import_trace(name, number, trace)
            holes = 12 if number == 1 else 100 * number
            for share in (1, 2, 3):
                reading = WearReading(holes * share // 3, vb_maximum_mm=0.1 * share)
                bench.add_wear(name, number, reading)
            bench.end_run(name, number, end, holes=holes)  # type: ignore[arg-type]  # a loop
    bench.plan_run(OPEN, START)
    bench.import_trace(OPEN, 4, trace)
    bench.add_wear(OPEN, 4, WearReading(6, vb_maximum_mm=0.05))


def addresses() -> list[str]:
    """Every page, of each trial where it is of one; a page that is new is among them."""
    alone = [links.HOME, links.start(), links.settings(), links.health(), links.take_in()]
    of_trials = sorted(set(PAGES) - {links.read(path)[0] for path in alone})
    return alone + [f"/trial/{ENDED}"] + [f"/{page}/{OPEN}" for page in of_trials]


def crawl(crawler: Crawler) -> Iterator[str]:
    """Open every page and call every callback of it; yields each address when it is done."""
    for path in addresses():
        crawler.open(path)
        crawler.everything()
        yield path

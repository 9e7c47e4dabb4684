"""``python -m tests.faults.full``: the whole reliability table, printed row by row.

The naive way (`readline` from the link, `open(path, "ab")`) is measured in the same run, so that
figures can be read as ratios on any computer. ``--quick`` takes the sizes of the continuous
integration, ``--only NAME`` one part. It ends with status 1 when a row did not hold.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable

from tests.benchmarks import logger_speed
from tests.faults import clocks, damage, disk_full, kills, links, rubbish, soak
from tests.faults.row import HEAD, Row

PARTS: dict[str, tuple[Callable[[], list[Row]], Callable[[], list[Row]]]] = {
    "damage": (lambda: damage.run(20, 17, 100), lambda: damage.run(60, 1, 5000)),
    "disk_full": (lambda: disk_full.run(0.5), lambda: disk_full.run(10.0)),
    "links": (lambda: links.run(3, 1), lambda: links.run(100, 20)),
    "rubbish": (lambda: rubbish.run(10_000_000), lambda: rubbish.run(1_000_000_000)),
    "clocks": (clocks.run, clocks.run),
    "soak": (lambda: soak.run(200_000, 1 << 20), lambda: soak.run(8_640_000, 16 << 20)),
    "speed": (
        lambda: logger_speed.run(50_000, 1.5, ("tcp",), judged=False),
        lambda: logger_speed.run(2_000_000, 60.0),
    ),
    "kills": (lambda: kills.run(4, 2), lambda: kills.run(1000, 100)),
}


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--quick", action="store_true", help="small sizes")
    words.add_argument("--only", choices=tuple(PARTS), help="one part")
    asked = words.parse_args()
    print(HEAD, flush=True)
    failed = False
    for name, (quick, full) in PARTS.items():
        if asked.only in (None, name):
            for row in (quick if asked.quick else full)():
                print(row, flush=True)
                failed = failed or row.held is False
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()

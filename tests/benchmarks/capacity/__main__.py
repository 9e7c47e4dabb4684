"""For how many machines each part is enough: unit costs measured here, the rest computed.

python -m tests.benchmarks.capacity                        # measures and prints, 3 minutes
python -m tests.benchmarks.capacity --write docs/scale.md  # between its marks there
python -m tests.benchmarks.capacity --hole-every-s 30      # a shop of one's own
"""

from __future__ import annotations

import argparse
import dataclasses
import os
import platform
from pathlib import Path

from tests.benchmarks.capacity.costs import measure
from tests.benchmarks.capacity.model import Work
from tests.benchmarks.capacity.table import markdown

BEGIN, END = "<!-- capacity -->", "<!-- /capacity -->"


def main() -> None:
    """Measure, compute, print, and write where it is asked for."""
    asked = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    asked.add_argument("--write", type=Path, help="file with the marks that the table stands in")
    asked.add_argument("--seconds", type=float, default=30.0, help="for each rate of the logger")
    for one in dataclasses.fields(Work):
        asked.add_argument(f"--{one.name.replace('_', '-')}", type=type(one.default),
                           default=one.default)  # fmt: skip
    given = vars(asked.parse_args())
    write, seconds = given.pop("write"), given.pop("seconds")
    busy = os.getloadavg()[0]
    computer = (
        f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}, "
        f"load average {busy:.1f} when it began"
    )
    text = markdown(measure(seconds), Work(**given), computer)
    print(text)
    if write is not None:
        before, mark, rest = write.read_text("utf-8").partition(BEGIN)
        _, end, after = rest.partition(END)
        if not (mark and end):
            raise SystemExit(f"{write} has no {BEGIN} and {END}")
        write.write_text(f"{before}{BEGIN}\n{text}\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()

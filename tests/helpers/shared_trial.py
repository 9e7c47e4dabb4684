"""An invented trial with everything that a package holds, in a small shop."""

from __future__ import annotations

from pathlib import Path

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream, written
from tests.helpers.pictures import picture, with_place
from trials.model import WearReading
from trials.workbench import Workbench

NAME = "bracket"


def fill_shop(shop: Path, scratch: Path, *, holes: int = 6) -> None:
    """Two recorded runs, the first mended and ended, the second ended early; a planned third."""
    with Workbench.open(shop) as bench:
        bench.new_trial(example_trial(NAME, note="=ask before the next batch"))
        bench.plan_run(NAME, START, note='first, "sharp"\r\nof the box', batch="heat 7")
        bench.import_trace(NAME, 1, written(scratch, stream(holes)))
        bench.merge_holes(NAME, 1, 2, 3, who="anna")
        bench.add_wear(NAME, 1, WearReading(3, 0.1, 0.14, note="- even"))
        bench.add_wear(NAME, 1, WearReading(5, 0.31, 0.36))
        photo = picture(exif=with_place(), comment=b"SECRET-COMMENT")
        bench.add_photo(NAME, 1, 5, photo, mm_per_pixel=0.01, note="=corner", who="carla")
        bench.end_run(NAME, 1, "worn")
        bench.plan_run(NAME, START, drill="coated", regrinds_done=1)
        bench.import_trace(NAME, 2, written(scratch, stream(holes, seed=2)))
        bench.end_run(NAME, 2, "stopped")
        bench.plan_run(NAME, START)

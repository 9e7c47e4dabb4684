"""The traces of many runs as parts of one table."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from trials.model import LikeJobs
from trials.store import read_trace
from trials.workbench._shop import Shop


def traces(shop: Shop, like: LikeJobs, rpm: bool) -> Iterator[pd.DataFrame]:
    """See `trials.workbench.Workbench.traces`."""
    names = {row.plain["name"] for row in shop.store.jobs(like, ended=False)}
    for found in shop.store.finished_recordings():
        if found.trial not in names:
            continue
        samples = read_trace(shop.trace_file(found), found.trace_sha256)
        columns = ("time_s", "load_pct", "rpm", "depth_mm") if rpm else ("time_s", "load_pct")
        parts = {name: samples.get(name, np.nan) for name in columns}
        drill = shop.store.run(found.trial, found.run).run.drill
        yield pd.DataFrame(
            {"trial": found.trial, "run": found.run, "drill": drill, **parts}, index=samples.index
        )

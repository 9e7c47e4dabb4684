"""Found holes against labels: a table over all kinds of labelled traces, with two peers.

Run it: ``python -m tests.benchmarks.holes_table``. Options: ``--seeds 5``, ``--first 101``,
``--kinds part of a name``, ``--jobs 2``. Asserts nothing. The traces are invented
(`tests/helpers`); every kind is drawn with each seed and read with and without the cutting data.
The finder was mended on seeds 1 to 14, which flatter it; the default begins beyond them.
"""

from __future__ import annotations

import argparse
from concurrent.futures import ProcessPoolExecutor

import pandas as pd

from tests.helpers import trace_kinds, wide_trace_kinds  # noqa: F401 - fill KINDS
from tests.helpers.hole_scores import PEERS, Score, score, together
from tests.helpers.traces import KINDS, make

WAYS = ("with", "without", *PEERS)


def scores(kind: str, seeds: range) -> dict[str, list[Score]]:
    out: dict[str, list[Score]] = {way: [] for way in WAYS}
    for seed in seeds:
        trace = make(kind, seed)
        for way in WAYS:
            out[way].append(score(trace, way))
    return out


def row(name: str, found: dict[str, list[Score]]) -> dict[str, object]:
    out: dict[str, object] = {"kind": name}
    for way in WAYS:
        all_of = together(found[way])
        out[f"F1 {way}"] = all_of.f1
        if way in ("with", "without"):
            out[f"pecks {way}"] = all_of.pecks
            out[f"edge p95 {way}"] = all_of.edge_p95
            out[f"peak {way}"] = all_of.peak_median
            out[f"broken {way}"] = f"{all_of.broken_right}/{all_of.broken} +{all_of.broken_false}"
    return out


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--first", type=int, default=101, help="the first seed")
    parser.add_argument("--kinds", default="")
    parser.add_argument("--jobs", type=int, default=2)
    given = parser.parse_args()
    kinds = [kind for kind in sorted(KINDS) if given.kinds in kind]
    with ProcessPoolExecutor(given.jobs) as pool:
        found = list(
            pool.map(scores, kinds, [range(given.first, given.first + given.seeds)] * len(kinds))
        )
    rows = [row(kind, each) for kind, each in zip(kinds, found, strict=True)]
    for name, part in (("first set", False), ("wide set", True), ("ALL", None)):
        mine = [
            each for kind, each in zip(kinds, found, strict=True)
            if part is None or kind.startswith("wide_") == part
        ]  # fmt: skip
        if mine:
            rows.append(row(name, {way: [s for each in mine for s in each[way]] for way in WAYS}))
    table = pd.DataFrame(rows)
    print(table.to_string(index=False, float_format=lambda value: f"{value:.3f}"))
    for way in ("with", "without"):
        sure = [pair for each in found for score in each[way] for pair in score.sure]
        print(f"holes found {way} cutting data that are right (place and pecks), by confidence:")
        for low, high in ((0.0, 0.3), (0.3, 0.6), (0.6, 0.9), (0.9, 1.01)):
            right = [good for value, good in sure if low <= value < high]
            share = sum(right) / len(right) if right else float("nan")
            print(f"  {low:.1f} to {min(high, 1.0):.1f}: {share:.3f} of {len(right)}")


if __name__ == "__main__":
    main()

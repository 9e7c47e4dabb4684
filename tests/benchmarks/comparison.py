"""Are the probabilities of a comparison right? Simulated pairs of drills whose truth is known.

``python tests/benchmarks/comparison.py`` draws 3,000 pairs (some minutes); ``--quick`` draws 400.
A pair has prices, lives, scatter, breakages, stopped runs and batches that differ from case to
case; lives are Weibull or lognormal, breakages cut them short, and the cost that counts as true
uses the mean life, so that the model of the program is not the model of the truth.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from trials.economics import compare, cost_per_hole
from trials.model import CuttingData, Economics, End, Run

DATA = CuttingData(80.0, 0.15)
BROKEN_LASTS = (0.3, 1.0)  # share of its life that an edge drills before it breaks
FULL, QUICK = 3000, 400


@dataclass(frozen=True)
class TrueDrill:
    """What nobody at the machine knows."""

    economics: Economics
    middle: float
    scatter: float
    weibull: bool
    broken: float
    cycle_min: float

    def lives(self, count: int, rng: np.random.Generator) -> np.ndarray:
        if self.weibull:  # the standard deviation of log life is π/√6 over the shape
            shape = math.pi / math.sqrt(6.0) / self.scatter
            scale = self.middle / math.log(2.0) ** (1.0 / shape)
            return scale * rng.weibull(shape, count)
        return self.middle * np.exp(self.scatter * rng.standard_normal(count))

    def true_cost(self) -> float:
        if self.weibull:
            shape = math.pi / math.sqrt(6.0) / self.scatter
            mean = self.middle / math.log(2.0) ** (1.0 / shape) * math.gamma(1.0 + 1.0 / shape)
        else:
            mean = self.middle * math.exp(self.scatter**2 / 2.0)
        mean *= 1.0 - self.broken * (1.0 - sum(BROKEN_LASTS) / 2.0)
        return cost_per_hole(
            self.economics, self.cycle_min, mean, self.broken, beyond_regrind_share=self.broken
        ).total


@dataclass(frozen=True)
class Case:
    """What was said of one pair, and how it was in truth."""

    said: float
    right: bool
    difference_inside: bool
    costs_inside: tuple[bool, bool]
    tie: bool


def true_pair(rng: np.random.Generator) -> tuple[TrueDrill, TrueDrill]:
    rate, change = rng.uniform(0.6, 1.8), rng.uniform(0.5, 4.0)
    price, life = math.exp(rng.uniform(2.5, 5.0)), math.exp(rng.uniform(4.2, 6.6))
    cycle, breakage = math.exp(rng.uniform(-3.2, -1.2)), rng.uniform(0, 150)
    dearer = rng.normal(0.0, 0.6)
    found = []
    for ratio in (0.0, dearer):
        economics = Economics(
            rate, change, price * math.exp(ratio), int(rng.integers(0, 4)),
            price * math.exp(ratio) * 0.25, breakage,
        )  # fmt: skip
        found.append(
            TrueDrill(
                economics,
                life * math.exp(0.8 * ratio + rng.normal(0.0, 0.35)),
                rng.uniform(0.2, 0.5),
                bool(rng.integers(0, 2)),
                float(rng.beta(0.3, 6.0)),
                cycle * math.exp(rng.normal(0.0, 0.1)),
            )
        )
    return found[0], found[1]


def runs_of(
    drill: TrueDrill, count: int, stop: float, batches: np.ndarray, rng: np.random.Generator
) -> list[Run]:
    """Runs that a shop would have: some break, some are stopped, some are of a hard batch."""
    while True:
        runs = []
        for number, life in enumerate(drill.lives(count, rng), start=1):
            batch = int(rng.integers(0, len(batches))) if len(batches) else None
            life *= 1.0 if batch is None else math.exp(batches[batch])
            end: End = "worn"
            if rng.uniform() < drill.broken:
                life, end = life * rng.uniform(*BROKEN_LASTS), "broken"
            if life > stop:
                life, end = stop, "stopped"
            runs.append(
                Run(
                    number, "x", DATA, state="ended", end=end, holes=max(1, round(life)),
                    cycle_min=drill.cycle_min * math.exp(rng.normal(0.0, 0.03)),
                    batch="" if batch is None else f"heat {batch}",
                )
            )  # fmt: skip
        if any(run.end != "stopped" for run in runs):
            return runs


def cases(count: int, seed: int, tell: Callable[[float], None]) -> Iterator[Case]:
    """Simulate pairs and compare them."""
    rng = np.random.default_rng(seed)
    for number in range(count):
        pair = true_pair(rng)
        batches = rng.normal(0.0, 0.2, size=3) if rng.uniform() < 0.5 else np.empty(0)
        stop = float(np.mean([one.middle for one in pair])) * rng.uniform(0.9, 3.0)
        names = ("a", "b")
        runs = {
            name: runs_of(one, int(rng.integers(1, 7)), stop, batches, rng)
            for name, one in zip(names, pair, strict=True)
        }
        truth = {name: one.true_cost() for name, one in zip(names, pair, strict=True)}
        money = {name: one.economics for name, one in zip(names, pair, strict=True)}
        found = compare(runs, money, draws=1000, seed=number)
        (gap,) = found.differences
        true_gap = truth[gap.dearer] - truth[gap.cheaper]
        inside = [
            one.low is not None and one.high is not None and one.low <= truth[one.drill] <= one.high
            for one in found.drills
        ]
        yield Case(
            gap.p_cheaper, true_gap > 0, gap.low <= true_gap <= gap.high, (inside[0], inside[1]),
            gap.tie,
        )  # fmt: skip
        tell((number + 1) / count)


@dataclass(frozen=True)
class Row:
    """Cases that were said to be about this sure."""

    low: float
    high: float
    cases: int
    said: float
    right: float


def table(found: list[Case]) -> list[Row]:
    """How often the drill that was called cheaper was, by how sure it was called."""
    edges = (0.5, 0.6, 0.7, 0.75, 0.85, 0.9, 0.95, 1.0 + 1e-9)
    rows = []
    for low, high in pairwise(edges):
        these = [case for case in found if low <= case.said < high]
        if these:
            said, right = (
                float(np.mean([getattr(case, name) for case in these]))
                for name in ("said", "right")
            )
            rows.append(Row(low, min(high, 1.0), len(these), said, right))
    return rows


def main() -> None:
    """Print the tables of the study."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--quick", action="store_true")
    options.add_argument("--seed", type=int, default=1)
    chosen = options.parse_args()
    count = QUICK if chosen.quick else FULL

    def tell(share: float) -> None:
        if sys.stderr.isatty() or round(share * count) % 500 == 0:
            print(f"\r{share:4.0%}", end="", file=sys.stderr, flush=True)

    found = list(cases(count, chosen.seed, tell))
    print(f"\n{count} pairs, seed {chosen.seed}\n")
    print("| called cheaper with | cases | said on average | right |\n| --- | --- | --- | --- |")
    for row in table(found):
        print(
            f"| {row.low:.0%} to {row.high:.0%} | {row.cases} | {row.said:.1%} | {row.right:.1%} |"
        )
    covered = float(np.mean([case.difference_inside for case in found]))
    costs = float(np.mean([case.costs_inside for case in found]))
    decided = [case for case in found if not case.tie]
    right = float(np.mean([case.right for case in decided])) if decided else math.nan
    print(f"\n90 % intervals: difference covers {covered:.1%}, cost of a drill {costs:.1%}")
    print(f"Called no tie: {len(decided)} of {len(found)}, right {right:.1%}")


if __name__ == "__main__":
    main()

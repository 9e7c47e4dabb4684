"""How often the trend of a run's features cries out for nothing, and how late it sees wear.

``python tests/benchmarks/trend.py [--runs N]`` prints a table as Markdown: features of invented
runs, every run looked at after every hole, as it is at the machine.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable

import numpy as np

from trials.holes import feature_trend

Rng = np.random.Generator
HOLES, CHANGE_AT = 100, 51  # a change begins at this hole


def scatter(rng: Rng, size: float = 0.015) -> np.ndarray:
    return rng.normal(0.0, size, HOLES)


def correlated(rng: Rng) -> np.ndarray:
    out = np.zeros(HOLES)
    shocks = rng.normal(0.0, 0.015 * np.sqrt(1 - 0.4**2), HOLES)
    for i in range(HOLES):
        out[i] = 0.4 * out[i - 1] + shocks[i] if i else shocks[i]
    return out


def odd_holes(rng: Rng) -> np.ndarray:
    out = scatter(rng)
    odd = rng.random(HOLES) < 0.05
    return np.where(odd, rng.choice([-0.3, 0.3, 0.8], HOLES), out)


I = np.arange(1, HOLES + 1)  # noqa: E741 - hole numbers
STEADY: dict[str, Callable[[Rng], np.ndarray]] = {
    "even, scatter 1.5 %": scatter,
    "even, scatter 5 %": lambda rng: scatter(rng, 0.05),
    "slow even wear, +20 % in 100 holes": lambda rng: 0.002 * I + scatter(rng),
    "neighbours alike (0.4)": correlated,
    "one hole in twenty odd by 30 to 80 %": odd_holes,
    "heavy tails (t, 3 degrees)": lambda rng: 0.012 * rng.standard_t(3, HOLES),
    "whole percent of 40 %": lambda rng: np.round(40 * (1 + scatter(rng, 0.01))) / 40 - 1,
    "runs in over 5 holes, -6 %": lambda rng: 0.06 * np.exp(-(I - 1) / 2) + scatter(rng),
}
WORN: dict[str, tuple[str, Callable[[Rng], np.ndarray]]] = {
    "step +10 %, scatter 1.5 %": (
        "sudden step", lambda rng: 0.10 * (I >= CHANGE_AT) + scatter(rng)),
    "step +6 %, scatter 1.5 %": (
        "sudden step", lambda rng: 0.06 * (I >= CHANGE_AT) + scatter(rng)),
    "step +25 %, scatter 5 %": (
        "sudden step", lambda rng: 0.25 * (I >= CHANGE_AT) + scatter(rng, 0.05)),
    "bend to +1 % a hole, scatter 1.5 %": (
        "rising fast", lambda rng: 0.01 * np.maximum(0, I - CHANGE_AT + 1) + scatter(rng)),
    "bend to +3 % a hole, scatter 1.5 %": (
        "rising fast", lambda rng: 0.03 * np.maximum(0, I - CHANGE_AT + 1) + scatter(rng)),
    "bend to +1 % a hole, slow wear before, odd holes": (
        "rising fast",
        lambda rng: 0.002 * I + 0.01 * np.maximum(0, I - CHANGE_AT + 1) + odd_holes(rng)),
}  # fmt: skip


def first_alarm(values: np.ndarray, start: int = 1) -> tuple[int, str, int] | None:
    """Hole after which a change is told first, its kind, and since which hole it is said to be."""
    for count in range(start, len(values) + 1):
        found = feature_trend(I[:count], values[:count])
        if found.newest is not None:
            return count, found.verdict, found.newest.since_hole
    return None


def false_alarms(runs: int) -> list[str]:
    rows = ["| steady runs of 100 holes | alarms in any look | alarms at the end |",
            "| --- | --- | --- |"]  # fmt: skip
    for name, draw in STEADY.items():
        rng = np.random.default_rng([1, *name.encode()])
        ever = last = 0
        for _ in range(runs):
            values = 40.0 * (1.0 + draw(rng))
            ever += first_alarm(values) is not None
            last += feature_trend(I, values).newest is not None
        rows.append(f"| {name} | {100 * ever / runs:.1f} % | {100 * last / runs:.1f} % |")
    return rows


def delays(runs: int) -> list[str]:
    heads = ("change at hole 51", "seen", "holes late: median, 90 %", "kind right at hole 80",
             "first hole off by: median, 90 %")  # fmt: skip
    rows = [f"| {' | '.join(heads)} |", "| --- | --- | --- | --- | --- |"]
    for name, (kind, draw) in WORN.items():
        rng = np.random.default_rng([2, *name.encode()])
        late, off, right = [], [], 0
        for _ in range(runs):
            values = 40.0 * (1.0 + draw(rng))
            seen = first_alarm(values, CHANGE_AT)
            if seen is not None:
                late.append(seen[0] - CHANGE_AT + 1)
            end = feature_trend(I[:80], values[:80])
            right += end.verdict == kind
            if end.newest is not None:
                off.append(abs(end.newest.since_hole - CHANGE_AT))
        rows.append(
            f"| {name} | {100 * len(late) / runs:.0f} % | {np.median(late):.0f}, "
            f"{np.quantile(late, 0.9):.0f} | {100 * right / runs:.0f} % | "
            f"{np.median(off):.0f}, {np.quantile(off, 0.9):.0f} |"
        )
    return rows


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--runs", type=int, default=300)
    found = options.parse_args()
    print("\n".join([*false_alarms(found.runs), "", *delays(found.runs)]))


if __name__ == "__main__":
    main()

"""One trial of the benchmark: a peer looks for cheap holes on a process, test after test."""

from __future__ import annotations

import time
import zlib
from dataclasses import asdict, dataclass, replace

import numpy as np

from tests.benchmarks.optimizer.peers.peer import Answer, Peer
from tests.benchmarks.optimizer.process import Process
from trials.optimizer import Problem, RunResult

# Holes still to make, in turn over the seeds; None is a job that keeps coming back, which counts
# as ten thousand holes.
JOBS = (None, 1000, 5000, 30_000)
RECURRING = 10_000


@dataclass(frozen=True)
class Step:
    """One test and the recommendation after it.

    ``above`` is the true cost of the recommendation over the lowest there is, minus 1; ``unsafe``
    says that half of its worn drills are over the limit; ``base_break`` is how often a drill would
    have broken in this test where nothing is wrong. ``life``, ``load`` and ``cost`` are true shares
    of edges inside the 90 % ranges that were said of the test (None when nothing was said);
    ``stop`` is what was said before the test.
    """

    speed_m_per_min: float
    feed_mm_per_rev: float
    peck_mode: str
    peck_depth_xd: float
    end: str
    holes: int
    over_limit: bool
    broken: bool
    p_break: float
    base_break: float
    money: float
    seconds: float
    above: float
    cost: float
    unsafe: bool
    stop: bool | None
    life: float | None
    load: float | None
    cost_range: float | None


def run_trial(process: Process, peer: Peer, seed: int, tests: int) -> list[dict]:
    """All steps of one trial as plain values; the scatter is the same for every peer."""
    scatter = np.random.default_rng([seed, *process.name.encode()])
    problem = _with_job(process.problem, seed)
    lowest, _ = process.optimum
    runs: list[RunResult] = []
    steps = []
    # A peer's own seed differs from process to process too.
    own_seed = zlib.crc32(f"{process.name} {seed}".encode()) % 100_000
    for _ in range(tests):
        began = time.process_time()
        wall = time.perf_counter()
        asked = peer.suggest(problem, runs, own_seed)
        used = time.process_time() - began
        # What runs in another process does not show in this one's time.
        seconds = used if used > 0.005 else time.perf_counter() - wall
        test = process.drill(asked.data, scatter)
        runs.append(test.shown)
        best = peer.recommend(problem, runs, own_seed).data
        cost = process.cost(best)
        life, load, cost_range = _covers(process, asked)
        data = asked.data
        step = Step(
            data.speed_m_per_min, data.feed_mm_per_rev, data.peck_mode, data.peck_depth_xd,
            test.shown.end, test.shown.holes, test.over_limit, test.shown.end == "broken",
            process.p_break(data), test.base_break, test.money, seconds, cost / lowest - 1,
            cost, process.worn_pct(best) >= problem.load_limit_pct,
            None if asked.said is None else asked.said.stop, life, load, cost_range,
        )  # fmt: skip
        steps.append(asdict(step))
    return steps


def holes_of_job(seed: int) -> int:
    """Holes that count for stopping."""
    return JOBS[seed % len(JOBS)] or RECURRING


def _with_job(problem: Problem, seed: int) -> Problem:
    return replace(problem, holes_to_make=JOBS[seed % len(JOBS)])


def _covers(process: Process, asked: Answer) -> tuple[float | None, float | None, float | None]:
    said = asked.said
    if said is None:
        return None, None, None
    return (
        process.p_life_between(asked.data, said.holes.low, said.holes.high),
        process.p_worn_between(asked.data, said.load_worn_pct.low, said.load_worn_pct.high),
        process.p_cost_between(asked.data, said.cost_per_hole.low, said.cost_per_hole.high),
    )

"""Peers that live in an environment of their own and are asked over a pipe, a JSON line each."""

from __future__ import annotations

import json
import math
import subprocess
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType

from tests.benchmarks.optimizer.peers.peer import (
    Answer,
    best_seen,
    from_cube,
    load_share,
    observed_cost,
    to_cube,
    was_good,
)
from trials.optimizer import Problem, RunResult


class Outside:
    """A script beside this file, run by the Python of another environment."""

    def __init__(self, name: str, python: Path, script: str, *, says_best: bool) -> None:
        self.name = name
        self._says_best = says_best
        self._process = subprocess.Popen(
            [str(python), str(Path(__file__).with_name(script))],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        )  # fmt: skip

    def __enter__(self) -> Outside:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        self._process.terminate()
        self._process.wait(10)
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                pipe.close()

    def suggest(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:
        if not runs:
            return Answer(problem.start)
        return Answer(from_cube(problem, self._ask(problem, runs, seed)["point"]))

    def recommend(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:
        best = None
        if self._says_best and runs:
            best = self._ask(problem, runs, seed, only_best=True)["best"]
        return Answer(best_seen(problem, runs) if best is None else runs[best].cutting_data)

    def _ask(
        self, problem: Problem, runs: Sequence[RunResult], seed: int, *, only_best: bool = False
    ) -> dict:
        asked = {
            "points": [to_cube(problem, run.cutting_data) for run in runs],
            "costs": [math.log(observed_cost(problem, run)) for run in runs],
            # A broken or chipped edge counts as too much load: the peer is told to keep away.
            "loads": [
                max(math.log(load_share(problem, run)), -1.0 if was_good(problem, run) else 0.05)
                for run in runs
            ],
            "choices": len(problem.peck_modes),
            "seed": seed * 100 + len(runs),
            "only_best": only_best,
        }
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps(asked) + "\n")
        self._process.stdin.flush()
        line = self._process.stdout.readline()
        if not line:
            raise RuntimeError(f"the environment of {self.name} gave no answer: is it installed?")
        answer: dict = json.loads(line)
        return answer

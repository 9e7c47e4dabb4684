"""Peers that need nothing but what the project itself needs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from skopt import Optimizer

from tests.benchmarks.optimizer.peers.peer import (
    Answer,
    best_seen,
    from_cube,
    load_share,
    observed_cost,
    to_cube,
    was_good,
    within_the_machine,
)
from trials.model import CuttingData
from trials.optimizer import Problem, RunResult, recommend, suggest


class Holewise:
    """The project's own."""

    name = "holewise"

    def suggest(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:
        found = suggest(problem, runs, seed)
        return Answer(found.cutting_data, found)

    def recommend(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:
        found = recommend(problem, runs, seed)
        return Answer(found.cutting_data, found)


class _BestSeen:
    """Recommends the cheapest run that was good."""

    def recommend(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:  # noqa: ARG002
        return Answer(best_seen(problem, runs))


class RandomWithin(_BestSeen):
    """Anywhere within the limits, evenly in logarithms."""

    name = "random"

    def suggest(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:
        if not runs:
            return Answer(problem.start)
        random = np.random.default_rng((seed, len(runs)))
        return Answer(from_cube(problem, random.random(4).tolist()))


class OneAtATime(_BestSeen):
    """As shops do it: more speed until it no longer pays, then more feed, then pecks, then finer.

    Common practice, no source. A step that broke, chipped, got too hot or dearer is taken back and
    the next one tried; after a round without gain the steps are halved.
    """

    name = "one factor at a time"

    def suggest(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:  # noqa: ARG002
        best, best_cost = problem.start, math.inf
        steps = self._steps(problem)
        move, size, gained, proposal = 0, 0.2, False, problem.start
        for run in runs:
            good = was_good(problem, run)
            cost = observed_cost(problem, run)
            if good and cost < best_cost:
                best, best_cost, gained = run.cutting_data, cost, run.cutting_data != problem.start
            elif run is not runs[0]:
                move += 1
                if move == len(steps):
                    move, size, gained = 0, size if gained else size / 2, False
            proposal = self._moved(problem, best, steps[move], size)
            for _ in range(2 * len(steps)):
                if proposal != best:
                    break
                move = (move + 1) % len(steps)
                proposal = self._moved(problem, best, steps[move], size)
        return Answer(proposal)

    @staticmethod
    def _steps(problem: Problem) -> list[tuple[str, float]]:
        steps = [("speed", 1.0), ("feed", 1.0), ("speed", -1.0), ("feed", -1.0)]
        if set(problem.peck_modes) != {"none"}:
            steps += [("peck", 1.0), ("peck", -1.0)]
        return steps + [(mode, 0.0) for mode in problem.peck_modes if len(problem.peck_modes) > 1]

    @staticmethod
    def _moved(
        problem: Problem, data: CuttingData, step: tuple[str, float], size: float
    ) -> CuttingData:
        what, sign = step
        factor = math.exp(sign * size)

        def clip(value: float, bounds: tuple[float, float]) -> float:
            return min(max(value, bounds[0]), bounds[1])

        if what == "speed":
            speed = clip(data.speed_m_per_min * factor, problem.speed_m_per_min)
            data = replace(data, speed_m_per_min=speed)
        elif what == "feed":
            feed = clip(data.feed_mm_per_rev * factor, problem.feed_mm_per_rev)
            data = replace(data, feed_mm_per_rev=feed)
        elif what == "peck":
            depth = clip(data.peck_depth_xd * factor, problem.peck_depth_xd)
            data = replace(data, peck_depth_xd=depth) if data.peck_mode != "none" else data
        else:
            data = replace(data, peck_mode=what)  # type: ignore[arg-type]  # one of the modes
        return within_the_machine(problem, data)


class CentralComposite(_BestSeen):
    """A central composite around the start, then the best of quadratic fits of cost and load.

    Fits are in logarithms of speed and feed (and peck depth); corners at 0.3, axes at 0.42, which
    is rotatable for two factors. Other peck modes are tried once each after the design.
    """

    name = "central composite"

    def suggest(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:  # noqa: ARG002
        plan = self._design(problem)
        if len(runs) < len(plan):
            return Answer(plan[len(runs)])
        return Answer(self._best_of_fit(problem, runs) or best_seen(problem, runs))

    def recommend(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:
        return super().recommend(problem, runs, seed)

    @staticmethod
    def _design(problem: Problem) -> list[CuttingData]:
        corners = [(a * 0.3, b * 0.3) for a, b in itertools.product((-1, 1), repeat=2)]
        axes = [(-0.42, 0.0), (0.42, 0.0), (0.0, -0.42), (0.0, 0.42)]
        plan = [problem.start]
        for a, b in [*corners, *axes]:
            plan.append(OneAtATime._moved(
                problem, OneAtATime._moved(problem, problem.start, ("speed", 1.0), a),
                ("feed", 1.0), b,
            ))  # fmt: skip
        if problem.start.peck_mode != "none":
            plan += [
                OneAtATime._moved(problem, problem.start, ("peck", s), 0.42) for s in (-1.0, 1.0)
            ]
        others = [mode for mode in problem.peck_modes if mode != problem.start.peck_mode]
        return plan + [replace(problem.start, peck_mode=mode) for mode in others]

    def _best_of_fit(self, problem: Problem, runs: Sequence[RunResult]) -> CuttingData | None:
        mode = best_seen(problem, runs).peck_mode
        used = [run for run in runs if run.cutting_data.peck_mode == mode]
        deep = mode != "none"
        x = self._quadratic(np.asarray([to_cube(problem, run.cutting_data) for run in used]), deep)
        if len(used) < x.shape[1]:
            return None
        cost = np.log([observed_cost(problem, run) for run in used])
        load = np.log([load_share(problem, run) for run in used])
        at = np.asarray([to_cube(problem, run.cutting_data) for run in used])
        random = np.random.default_rng(len(runs))
        low, high = at.min(axis=0), at.max(axis=0)
        drawn = low + (high - low) * random.random((4000, 4))
        design = self._quadratic(drawn, deep)
        fits = [np.linalg.lstsq(x, y, rcond=None)[0] for y in (cost, load)]
        predicted, hot = (design @ fit for fit in fits)
        if not (hot < 0).any():
            return None
        index = int(np.argmin(np.where(hot < 0, predicted, np.inf)))
        found = from_cube(problem, drawn[index].tolist())
        return replace(found, peck_mode=mode)

    @staticmethod
    def _quadratic(x: np.ndarray, deep: bool) -> np.ndarray:
        columns = [x[:, 0], x[:, 1]] + ([x[:, 2]] if deep else [])
        terms = [np.ones(len(x)), *columns]
        terms += [a * b for a, b in itertools.combinations_with_replacement(columns, 2)]
        return np.column_stack(terms)


class PlainSkopt(_BestSeen):
    """scikit-optimize's plain Optimizer: a Gaussian process and its default acquisition.

    Too much load, breaking and chipping are a penalty on the logarithm of the cost.
    """

    name = "scikit-optimize"

    def suggest(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:
        if not runs:
            return Answer(problem.start)
        modes = problem.peck_modes
        optimizer = Optimizer(
            [
                (*problem.speed_m_per_min, "log-uniform"),
                (*problem.feed_mm_per_rev, "log-uniform"),
                (*problem.peck_depth_xd, "log-uniform"),
                list(modes) if len(modes) > 1 else [modes[0], ""],
            ],
            n_initial_points=4, random_state=seed,
        )  # fmt: skip
        for run in runs:
            data = run.cutting_data
            point = [
                min(max(data.speed_m_per_min, problem.speed_m_per_min[0]),
                    problem.speed_m_per_min[1]),
                min(max(data.feed_mm_per_rev, problem.feed_mm_per_rev[0]),
                    problem.feed_mm_per_rev[1]),
                min(max(data.peck_depth_xd, problem.peck_depth_xd[0]), problem.peck_depth_xd[1]),
                data.peck_mode,
            ]  # fmt: skip
            value = math.log(observed_cost(problem, run))
            value += 2.0 * max(0.0, load_share(problem, run) - 1.0) + (
                0.0 if was_good(problem, run) else 1.0
            )
            optimizer.tell(point, value, fit=run is runs[-1])
        speed, feed, depth, mode = optimizer.ask()
        data = CuttingData(float(speed), float(feed), str(mode) or modes[0], float(depth))  # type: ignore[arg-type]  # one of the modes
        return Answer(within_the_machine(problem, data))


PLAIN = (Holewise(), RandomWithin(), OneAtATime(), CentralComposite(), PlainSkopt())

"""What the runs so far say about any cutting data: life, load, time and the risk of breaking."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trials.model import CuttingData
from trials.optimizer import physics
from trials.optimizer.gaussian import Floats, LogProcess, observations
from trials.optimizer.heat import shown_load_pct
from trials.optimizer.problem import Problem, RunResult, in_canonical_order

# Ends at which an edge had truly come to the end of its useful life. A run that met the load
# limit was cut short: its wear life is only known to be longer.
_LIFE_ENDED = ("worn", "out_of_tolerance")
_FAILED = ("chipped", "broken")

# Risk of an edge chipping or breaking before it is worn: belief at the start before any run, how it
# grows with speed, feed and chip column (in logarithms), and how many runs it counts for; all from
# memory. Evidence reaches over these changes of speed, feed and chip column.
_CHIP_OR_BREAK, _BREAK, _RISK_RUNS = 0.05, 0.02, 6.0
_RISK_SLOPES = (0.5, 1.5, 1.0)
_RISK_FEATURES = (0, 1, 3)
_RISK_REACH = (0.25, 0.25, 0.4)
# Extra doubt about a growth of load that was carried on from part of a life, for each missing part.
_CARRIED_ON_SD = 0.12


@dataclass(frozen=True, slots=True)
class Log:
    """A logarithmic quantity at many cutting data: mean, how well the mean is known, scatter."""

    mean: Floats
    known_sd: Floats
    scatter_sd: float

    @property
    def outcome_sd(self) -> Floats:
        """Standard deviation of what one more run would show."""
        return np.hypot(self.known_sd, self.scatter_sd)


@dataclass(frozen=True, slots=True)
class Outlook:
    """Expectations at many cutting data, arrays of the same length.

    ``shown_pct`` is not expected but seen: the highest load that runs have shown there.
    """

    life: Log
    fresh: Log
    worn: Log
    cycle: Log
    p_fail: Floats
    p_break: Floats
    shown_pct: Floats


class Belief:
    """Life, load, cycle time and risk at any cutting data, given runs in any order."""

    def __init__(self, problem: Problem, runs: Sequence[RunResult]) -> None:
        self.problem = problem
        self.runs = in_canonical_order(runs)
        self._x = physics.features(problem, [run.cutting_data for run in self.runs])
        self._life = self._learn_life()
        self._fresh = self._learn_fresh()
        self._growth = self._learn_growth()
        self._cycle = self._learn_cycle()

    def at(self, data: Sequence[CuttingData]) -> Outlook:
        """The outlook at each of these cutting data."""
        x = physics.features(self.problem, data)
        life = self._life_at(x)
        fresh_mean, fresh_sd, fresh_scatter = self._fresh.at(x)
        fresh_mean = fresh_mean + physics.load_mean(self.problem, data, x)
        growth_mean, growth_sd, growth_scatter = self._growth.at(x)
        growth_mean = np.maximum(growth_mean + physics.GROWTH_MIDDLE, 0.0)
        cycle_mean, cycle_sd, cycle_scatter = self._cycle.at(x)
        p_fail, p_break = self._risk(x)
        return Outlook(
            life=life,
            fresh=Log(fresh_mean, fresh_sd, fresh_scatter),
            worn=Log(
                fresh_mean + growth_mean,
                np.hypot(fresh_sd, growth_sd),
                math.hypot(fresh_scatter, growth_scatter),
            ),
            cycle=Log(cycle_mean + physics.cycle_mean(self.problem, data), cycle_sd, cycle_scatter),
            p_fail=p_fail,
            p_break=p_break,
            shown_pct=shown_load_pct(data, self.runs),
        )

    def _life_at(self, x: Floats) -> Log:
        mean, sd, scatter = self._life.at(x)
        return Log(mean + physics.life_mean(self.problem, x), sd, scatter)

    def _learn_life(self) -> LogProcess:
        logs = np.log([max(run.holes, 0.5) for run in self.runs])
        prior_mean = physics.life_mean(self.problem, self._x)
        return LogProcess(
            physics.LIFE,
            observations(
                list(self._x),
                list(logs - prior_mean),
                is_bound=[run.end not in _LIFE_ENDED for run in self.runs],
                robust=True,
                features=len(physics.FEATURES),
            ),
        )

    def _learn_fresh(self) -> LogProcess:
        mean = physics.load_mean(self.problem, [r.cutting_data for r in self.runs], self._x)
        seen = [
            (x, math.log(run.load_fresh_pct) - m)
            for x, m, run in zip(self._x, mean, self.runs, strict=True)
            if run.load_fresh_pct
        ]
        return LogProcess(
            physics.load_prior(self.problem),
            observations(
                [x for x, _ in seen], [y for _, y in seen], features=len(physics.FEATURES)
            ),
        )

    def _learn_growth(self) -> LogProcess:
        """Growth of load to the worn state; a run stopped early is carried on in proportion."""
        life = self._life_at(self._x)
        seen = []
        for x, log_life, run in zip(self._x, life.mean, self.runs, strict=True):
            if not run.load_fresh_pct or not run.load_worn_pct or run.end in _FAILED:
                continue  # a chipped edge shows the load of chipping, not of wear
            growth = math.log(run.load_worn_pct / run.load_fresh_pct)
            share = 1.0
            if run.end not in _LIFE_ENDED:
                share = min(1.0, max(run.holes, 0.5) / math.exp(log_life))
            if share < 0.1:
                continue
            doubt = _CARRIED_ON_SD * (1.0 / share - 1.0)
            seen.append((x, max(growth, 0.0) / share - physics.GROWTH_MIDDLE, doubt))
        return LogProcess(
            physics.GROWTH,
            observations(
                [x for x, _, _ in seen],
                [y for _, y, _ in seen],
                extra_sd=[doubt for _, _, doubt in seen],
                features=len(physics.FEATURES),
            ),
        )

    def _learn_cycle(self) -> LogProcess:
        timed = [
            (x, run) for x, run in zip(self._x, self.runs, strict=True) if run.cycle_min is not None
        ]
        mean = physics.cycle_mean(self.problem, [run.cutting_data for _, run in timed])
        logs = [math.log(run.cycle_min or 1.0) for _, run in timed]
        return LogProcess(
            physics.CYCLE,
            observations(
                [x for x, _ in timed], list(np.asarray(logs) - mean), features=len(physics.FEATURES)
            ),
        )

    def _risk(self, x: Floats) -> tuple[Floats, Floats]:
        """Shares of edges that fail (chip or break) and that break.

        Counts with a prior. A failure counts in full wherever it is at least as harsh and less
        where it is gentler; an edge that came through counts in full where it is at least as
        gentle, and less where it is harsher.
        """
        harshness = np.exp(x[:, _RISK_FEATURES] @ np.asarray(_RISK_SLOPES))
        failed = _RISK_RUNS * np.minimum(_CHIP_OR_BREAK * harshness, 0.5)
        broken = _RISK_RUNS * np.minimum(_BREAK * harshness, 0.5)
        total = np.full(len(x), _RISK_RUNS)
        for run_x, run in zip(self._x, self.runs, strict=True):
            harsher = (x - run_x)[:, _RISK_FEATURES] / np.asarray(_RISK_REACH)
            distance = -harsher if run.end in _FAILED else harsher
            weight = np.exp(-0.5 * (np.maximum(distance, 0.0) ** 2).sum(axis=1))
            total += weight
            if run.end in _FAILED:
                failed += weight
            if run.end == "broken":
                broken += weight
        return failed / total, broken / total

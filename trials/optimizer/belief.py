"""What the runs so far say about any cutting data: life, load, time and the risk of breaking."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trials.life import kept_holes_to_wear
from trials.model import CuttingData
from trials.optimizer import physics
from trials.optimizer.earlier import Earlier, in_common, marked, own
from trials.optimizer.gaussian import Floats, Joint, LogProcess, Observations, Prior, observations
from trials.optimizer.heat import shown_load_pct
from trials.optimizer.problem import Problem, RunResult, in_canonical_order
from trials.optimizer.risk import FAILED, AfterATest, Failing, Risk

# Ends at which an edge had truly come to the end of its useful life. A run that met the load
# limit was cut short: its wear life is only known to be longer.
_LIFE_ENDED = ("worn", "out_of_tolerance")

# The peak load grows with this power of the share of the life that is drilled, and the doubt of the
# power: wear goes steadily, and fast in the end. From memory.
_GROWTH_POWER, _GROWTH_POWER_SD = 1.25, 0.3


# Features of earlier trials have no reach; a 90 % range is this many standard deviations wide.
_ENDLESS, _RANGE_IN_SD = 1e3, 3.29


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
    failing: Failing
    shown_pct: Floats


class Belief:
    """Life, load, cycle time and risk at any cutting data, given runs in any order."""

    def __init__(
        self, problem: Problem, runs: Sequence[RunResult], earlier: Sequence[Earlier] = ()
    ) -> None:
        self.problem = problem
        self.earlier = [one for one in earlier if one.runs]
        self.runs = in_canonical_order(runs)
        self._x = physics.features(problem, [run.cutting_data for run in self.runs])
        self._life = self._learn_life()
        self._fresh = self._learn_fresh()
        self._growth = self._learn_growth()
        self._cycle = self._learn_cycle()
        self._risk = Risk(self._x, self.runs, np.exp(self._life_at(self._x).mean))

    def at(self, data: Sequence[CuttingData]) -> Outlook:
        """The outlook at each of these cutting data."""
        x = physics.features(self.problem, data)
        wide = own(x, len(self.earlier))
        life = self._life_at(x)
        fresh_mean, fresh_sd, fresh_scatter = self._fresh.at(wide)
        fresh_mean = fresh_mean + physics.load_mean(self.problem, data, x)
        growth_mean, growth_sd, growth_scatter = self._growth.at(wide)
        growth_mean = np.maximum(growth_mean + physics.GROWTH_MIDDLE, 0.0)
        cycle_mean, cycle_sd, cycle_scatter = self._cycle.at(x)
        return Outlook(
            life=life,
            fresh=Log(fresh_mean, fresh_sd, fresh_scatter),
            worn=Log(
                fresh_mean + growth_mean,
                np.hypot(fresh_sd, growth_sd),
                math.hypot(fresh_scatter, growth_scatter),
            ),
            cycle=Log(cycle_mean + physics.cycle_mean(self.problem, data), cycle_sd, cycle_scatter),
            failing=self._risk.at(x),
            shown_pct=shown_load_pct(data, self.runs),
        )

    def failing_after(
        self,
        data: Sequence[CuttingData],
        tests: Sequence[CuttingData],
        shares: Floats,
        times: Sequence[int],
    ) -> list[AfterATest]:
        """What failing does at ``data`` once each test, drilled so often, came through or not."""
        x, y = (physics.features(self.problem, one) for one in (data, tests))
        return self._risk.after(x, y, shares, times)

    def life_explanations(
        self, data: Sequence[CuttingData], others: Sequence[CuttingData]
    ) -> list[Joint]:
        """What each explanation of the lives expects of log life at ``data`` and at ``others``."""
        count = len(self.earlier)
        x, y = (physics.features(self.problem, one) for one in (data, others))
        return [
            replace(
                one,
                mean=one.mean + physics.life_mean(self.problem, x),
                others_mean=one.others_mean + physics.life_mean(self.problem, y),
            )
            for one in self._life.explanations(own(x, count), own(y, count))
        ]

    def exponents(self, centre: CuttingData) -> dict[str, tuple[float, float]]:
        """Expected exponents and their doubt: holes to wear in speed and feed, load in feed.

        Between a quarter less and a quarter more around ``centre``, so bends count as they are.
        """
        around = {}
        for what, column, process, prior in (
            ("life speed", 0, self._life, "life"),
            ("life feed", 1, self._life, "life"),
            ("load feed", 1, self._fresh, "load"),
        ):
            name = "speed_m_per_min" if column == 0 else "feed_mm_per_rev"
            value = getattr(centre, name)
            ends = [replace(centre, **{name: value * factor}) for factor in (1.25, 0.75)]
            x = physics.features(self.problem, ends)
            mean = (
                physics.life_mean(self.problem, x)
                if prior == "life"
                else physics.load_mean(self.problem, ends, x)
            )
            wide = own(x, len(self.earlier))
            change, doubt = process.difference(wide[:1], wide[1:])
            step = math.log(1.25 / 0.75)
            around[what] = (float(mean[0] - mean[1] + change) / step, doubt / step)
        return around

    def _life_at(self, x: Floats) -> Log:
        mean, sd, scatter = self._life.at(own(x, len(self.earlier)))
        return Log(mean + physics.life_mean(self.problem, x), sd, scatter)

    def _learn_life(self) -> LogProcess:
        seen = _Seen(len(self.earlier))
        for where, x, runs, problem, one in self._all_runs():
            mean = physics.life_mean(self.problem, x)
            for row, prior, run in zip(where, mean.tolist(), runs, strict=True):
                life = _life_shown(problem, run)
                holes = life.holes if one is None else one.holes_here(self.problem, life.holes)
                doubt = life.doubt if one is None else math.hypot(life.doubt, one.run_sd("life"))
                seen.add(row, math.log(holes) - prior, doubt, is_bound=life.is_bound)
        return LogProcess(
            _with_earlier(physics.LIFE, self.earlier, "life"), seen.observations(robust=True)
        )

    def _learn_fresh(self) -> LogProcess:
        seen = _Seen(len(self.earlier))
        own_runs: list[float] = []
        for where, x, runs, problem, one in self._all_runs():
            if one is not None:
                x = physics.features(problem, [run.cutting_data for run in runs])
            mean = physics.load_mean(problem, [run.cutting_data for run in runs], x)
            for row, prior, run in zip(where, mean.tolist(), runs, strict=True):
                if run.load_fresh_pct:
                    deviation = math.log(run.load_fresh_pct) - prior
                    seen.add(row, deviation, 0.0 if one is None else one.run_sd("fresh"))
                    if one is None:
                        own_runs.append(deviation)
        start = [self.problem.start]
        log_start = physics.load_mean(self.problem, start, physics.features(self.problem, start))
        carried_over = sum(own_runs) / len(own_runs) if own_runs else 0.0
        prior_of_load = physics.load_prior(self.problem, math.exp(log_start[0] + carried_over))
        return LogProcess(
            _with_earlier(prior_of_load, self.earlier, "fresh"), seen.observations()
        )  # fmt: skip

    def _learn_growth(self) -> LogProcess:
        """Growth of load to the worn state; a run stopped early is carried on.

        How far it had come is only as sure as the life: a small growth may mean that the edge was
        far from worn.
        """
        seen = _Seen(len(self.earlier))
        for where, x, runs, _, one in self._all_runs():
            life = self._life_at(x)
            lives = zip(life.mean.tolist(), life.outcome_sd.tolist(), strict=True)
            for row, (log_life, life_sd), run in zip(where, lives, runs, strict=True):
                if not run.load_fresh_pct or not run.load_worn_pct or run.end in FAILED:
                    continue  # a chipped edge shows the load of chipping, not of wear
                growth = math.log(run.load_worn_pct / run.load_fresh_pct)
                share, doubt = 1.0, 0.0
                if run.end not in _LIFE_ENDED:
                    holes = max(run.holes, 0.5)
                    holes = holes if one is None else one.holes_here(self.problem, holes)
                    share = min(1.0, holes / math.exp(log_life))
                    power = math.hypot(_GROWTH_POWER * life_sd, _GROWTH_POWER_SD * math.log(share))
                    growth /= share**_GROWTH_POWER
                    doubt = power * max(growth, physics.GROWTH_MIDDLE)
                if share < 0.1:
                    continue
                if one is not None:
                    doubt = math.hypot(doubt, one.run_sd("growth"))
                seen.add(row, max(growth, 0.0) - physics.GROWTH_MIDDLE, doubt)
        return LogProcess(
            _with_earlier(physics.GROWTH, self.earlier, "growth"), seen.observations()
        )  # fmt: skip

    def _learn_cycle(self) -> LogProcess:
        timed = [
            (x, run) for x, run in zip(self._x, self.runs, strict=True) if run.cycle_min is not None
        ]
        mean = physics.cycle_mean(self.problem, [run.cutting_data for _, run in timed])
        seen = _Seen(0)
        for (x, run), prior in zip(timed, mean.tolist(), strict=True):
            seen.add(x, math.log(run.cycle_min or 1.0) - prior)
        return LogProcess(physics.CYCLE, seen.observations())

    def _all_runs(
        self,
    ) -> Iterator[tuple[Floats, Floats, Sequence[RunResult], Problem, Earlier | None]]:
        """Own runs and those of each earlier trial: marked features, features, runs and whose."""
        count = len(self.earlier)
        yield own(self._x, count), self._x, self.runs, self.problem, None
        for index, one in enumerate(self.earlier):
            x = one.features(self.problem)
            yield marked(x, index, count), x, one.runs, one.problem, one


class _Seen:
    """Observations as they are gathered."""

    def __init__(self, earlier: int) -> None:
        self._features = len(physics.FEATURES) + earlier
        self._x: list[Floats] = []
        self._y: list[float] = []
        self._doubt: list[float] = []
        self._is_bound: list[bool] = []

    def add(self, x: Floats, y: float, doubt: float = 0.0, *, is_bound: bool = False) -> None:
        self._x.append(x)
        self._y.append(y)
        self._doubt.append(doubt)
        self._is_bound.append(is_bound)

    def observations(self, *, robust: bool = False) -> Observations:
        return observations(
            self._x, self._y, is_bound=self._is_bound, extra_sd=self._doubt, robust=robust,
            features=self._features,
        )  # fmt: skip


def _with_earlier(prior: Prior, earlier: Sequence[Earlier], what: str) -> Prior:
    return replace(
        prior,
        slopes_sd=prior.slopes_sd + in_common(earlier, what),
        reach=prior.reach + (_ENDLESS,) * len(earlier),
    )


@dataclass(frozen=True, slots=True)
class _LifeShown:
    holes: float
    doubt: float
    is_bound: bool


def _life_shown(problem: Problem, run: RunResult) -> _LifeShown:
    """What a run shows of the life: a value, a value with doubt, or a lower bound."""
    limit = problem.wear_limits or problem.wear_limit_mm
    if run.wear and limit is not None and run.end in ("worn", "stopped"):
        told = kept_holes_to_wear(run.wear, limit, run.end, run.holes)
        if told.holes is not None and told.kind != "censored":
            low, high = told.low or told.holes, told.high or told.holes
            doubt = math.log(max(high, 1.0) / max(low, 1.0)) / _RANGE_IN_SD
            return _LifeShown(max(told.holes, 0.5), doubt, is_bound=False)
    return _LifeShown(max(run.holes, 0.5), 0.0, is_bound=run.end not in _LIFE_ENDED)

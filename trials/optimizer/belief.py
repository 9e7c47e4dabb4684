"""What the runs so far say about any cutting data: life, load, time and the risk of breaking."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trials.model import CuttingData
from trials.optimizer import physics
from trials.optimizer.earlier import Earlier, in_common, marked, own
from trials.optimizer.gaussian import Floats, Joint, LogProcess, Prior
from trials.optimizer.heat import shown_load_pct
from trials.optimizer.problem import Problem, RunResult, in_canonical_order
from trials.optimizer.risk import AfterATest, Failing, Risk
from trials.optimizer.shown import LIFE_ENDED, LifeShown, Seen, growth_shown, life_shown
from trials.optimizer.told import GROWTH_POWER, GROWTH_POWER_SD, LEAST_GROWTH, to_go

# The load of an edge that was stopped before this share of its life is not carried on.
_LEAST_SHARE = 0.1
# Features of earlier trials, and doubt that runs share, have no reach. The latter holds in each run
# how much of the doubt is in it, in standard deviations.
_ENDLESS, _SHARED = 1e3, 1.0
_FEATURES = len(physics.FEATURES)


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

    ``growth`` is that of the load from fresh to worn; ``loads_tell`` says that runs record it.
    ``shown_pct`` is not expected but seen: the highest load that runs have shown there.
    """

    life: Log
    fresh: Log
    growth: Log
    worn: Log
    cycle: Log
    failing: Failing
    shown_pct: Floats
    loads_tell: bool


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
        self._growth = self._learn_growth(None)
        self._likely_life = self._life
        every_run = [*self.runs, *(run for one in self.earlier for run in one.runs)]
        self._loads_tell = any(run.load_fresh_pct and run.load_worn_pct for run in every_run)
        if any(map(_is_carried_on, every_run)):
            self._likely_life = self._learn_life(by_load=True)
            self._growth = self._learn_growth(self._likely_life)
        self._cycle = self._learn_cycle()
        self._risk = Risk(
            self._x, self.runs, np.exp(self._life_at(self._x, self._likely_life).mean),
            retracts=problem.start.peck_mode == "full_retract",
            maker_feed=physics.log_maker_feed(problem),
        )  # fmt: skip

    def at(self, data: Sequence[CuttingData]) -> Outlook:
        """The outlook at each of these cutting data, as it is said.

        A stopped run never lowers the life that is expected: its holes are a lower bound.
        """
        return self._outlook(data, self._life)

    def likely(self, data: Sequence[CuttingData]) -> Outlook:
        """The same to choose by: loads of stopped edges tell their lives as well.

        They may call back lives that lower bounds alone have pushed too high.
        """
        return self._outlook(data, self._likely_life)

    def _outlook(self, data: Sequence[CuttingData], lives: LogProcess) -> Outlook:
        x = physics.features(self.problem, data)
        wide = own(x, len(self.earlier))
        life = self._life_at(x, lives)
        fresh_mean, fresh_sd, fresh_scatter = self._fresh.at(wide)
        fresh_mean = fresh_mean + physics.load_mean(self.problem, data, x)
        growth_mean, growth_sd, growth_scatter = self._growth.at(own(wide, 1))
        growth_mean = np.maximum(growth_mean + physics.GROWTH_MIDDLE, 0.0)
        cycle_mean, cycle_sd, cycle_scatter = self._cycle.at(x)
        return Outlook(
            life=life,
            fresh=Log(fresh_mean, fresh_sd, fresh_scatter),
            growth=Log(growth_mean, growth_sd, growth_scatter),
            worn=Log(
                fresh_mean + growth_mean,
                np.hypot(fresh_sd, growth_sd),
                math.hypot(fresh_scatter, growth_scatter),
            ),
            cycle=Log(cycle_mean + physics.cycle_mean(self.problem, data), cycle_sd, cycle_scatter),
            failing=self._risk.at(x),
            shown_pct=shown_load_pct(data, self.runs),
            loads_tell=self._loads_tell,
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
        """What each explanation of likely lives expects of log life at ``data`` and ``others``."""
        count = len(self.earlier) + 1
        x, y = (physics.features(self.problem, one) for one in (data, others))
        return [
            replace(
                one,
                mean=one.mean + physics.life_mean(self.problem, x),
                others_mean=one.others_mean + physics.life_mean(self.problem, y),
            )
            for one in self._likely_life.explanations(own(x, count), own(y, count))
        ]

    def exponents(self, centre: CuttingData) -> dict[str, tuple[float, float]]:
        """Expected exponents and their doubt: holes to wear in speed and feed, load in feed.

        Between a quarter less and a quarter more around ``centre``, so bends count as they are.
        """
        around = {}
        for what, column, process, prior in (
            ("life speed", 0, self._likely_life, "life"),
            ("life feed", 1, self._likely_life, "life"),
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
            wide = own(x, len(self.earlier) + (prior == "life"))
            change, doubt = process.difference(wide[:1], wide[1:])
            step = math.log(1.25 / 0.75)
            around[what] = (float(mean[0] - mean[1] + change) / step, doubt / step)
        return around

    def _life_at(self, x: Floats, lives: LogProcess) -> Log:
        mean, sd, scatter = lives.at(own(x, len(self.earlier) + 1))
        return Log(mean + physics.life_mean(self.problem, x), sd, scatter)

    def _learn_life(self, *, by_load: bool = False) -> LogProcess:
        """Holes to wear; ``by_load``, a stopped edge is as far worn as its load has grown.

        All stopped edges then share the doubt about the growth of worn ones, which is a further
        feature.
        """
        seen = Seen(_FEATURES + len(self.earlier) + 1)
        for where, x, runs, problem, one in self._all_runs():
            means = physics.life_mean(self.problem, x).tolist()
            grown = self._to_go(where, runs) if by_load else [None] * len(runs)
            for row, prior, run, told in zip(where, means, runs, grown, strict=True):
                life = self._life_here(problem, run, one)
                y = math.log(life.holes) - prior
                if told is None or not life.is_bound:
                    seen.add(np.append(row, 0.0), y, life.doubt, is_bound=life.is_bound)
                    continue
                further, doubt, common = told
                seen.add(np.append(row, common), y + further, math.hypot(life.doubt, doubt))
        sds = (*in_common(self.earlier, "life"), _SHARED)
        return LogProcess(_with_further(physics.LIFE, sds), seen.observations(robust=True))

    def _to_go(
        self, where: Floats, runs: Sequence[RunResult]
    ) -> list[tuple[float, float, float] | None]:
        """As `told.to_go` of each run by the growth of its load; None where that tells nothing."""
        deviation, known_sd, scatter = self._growth.at(own(where, 1))
        worn = np.maximum(deviation + physics.GROWTH_MIDDLE, LEAST_GROWTH)
        shown = np.asarray([growth_shown(run) or 0.0 for run in runs])
        answers = to_go(worn, known_sd, np.maximum(shown, LEAST_GROWTH), scatter)
        each = zip(*(one.tolist() for one in answers), strict=True)
        return [
            one if grown >= LEAST_GROWTH else None
            for one, grown in zip(each, shown.tolist(), strict=True)
        ]

    def _life_here(self, problem: Problem, run: RunResult, one: Earlier | None) -> LifeShown:
        """What a run of this or of an earlier trial shows of the life here."""
        life = life_shown(problem, run)
        if one is None:
            return life
        return replace(
            life,
            holes=one.holes_here(self.problem, life.holes),
            doubt=math.hypot(life.doubt, one.run_sd("life")),
        )

    def _learn_fresh(self) -> LogProcess:
        seen = Seen(_FEATURES + len(self.earlier))
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
        prior_of_load = _with_further(prior_of_load, in_common(self.earlier, "fresh"))
        return LogProcess(prior_of_load, seen.observations())

    def _learn_growth(self, told: LogProcess | None) -> LogProcess:
        """Growth of load to the worn state; one stopped early is carried on by lives ``told``.

        Without them worn edges count alone. How far an edge had come is only as sure as its life
        was before its load spoke: a small growth may mean that it was far from worn.
        """
        seen = Seen(_FEATURES + len(self.earlier) + 1)
        for where, x, runs, _, one in self._all_runs():
            life, log_lives = self._life_at(x, self._life), physics.life_mean(self.problem, x)
            if told is not None:
                log_lives = log_lives + told.at(own(where, 1))[0]
            lives = zip(log_lives.tolist(), life.known_sd.tolist(), strict=True)
            for row, (log_life, known_sd), run in zip(where, lives, runs, strict=True):
                growth = growth_shown(run)
                is_worn = run.end in LIFE_ENDED
                if growth is None or (told is None and not is_worn):
                    continue
                doubt, common = 0.0, 0.0
                if not is_worn:
                    holes = max(run.holes, 0.5)
                    holes = holes if one is None else one.holes_here(self.problem, holes)
                    share = min(1.0, holes / math.exp(log_life))
                    if share < _LEAST_SHARE:
                        continue
                    growth /= share**GROWTH_POWER
                    size = max(growth, physics.GROWTH_MIDDLE)
                    doubt = size * GROWTH_POWER * life.scatter_sd
                    common = size * math.hypot(
                        GROWTH_POWER * known_sd, GROWTH_POWER_SD * math.log(share)
                    )
                if one is not None:
                    doubt = math.hypot(doubt, one.run_sd("growth"))
                deviation = max(growth, 0.0) - physics.GROWTH_MIDDLE
                seen.add(np.append(row, common), deviation, doubt)
        sds = (*in_common(self.earlier, "growth"), _SHARED)
        return LogProcess(_with_further(physics.GROWTH, sds), seen.observations())

    def _learn_cycle(self) -> LogProcess:
        timed = [
            (x, run) for x, run in zip(self._x, self.runs, strict=True) if run.cycle_min is not None
        ]
        mean = physics.cycle_mean(self.problem, [run.cutting_data for _, run in timed])
        seen = Seen(_FEATURES)
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


def _is_carried_on(run: RunResult) -> bool:
    """Whether its load is carried on: it was seen to grow, and the edge was not yet worn."""
    return run.end not in LIFE_ENDED and growth_shown(run) is not None


def _with_further(prior: Prior, slopes_sd: tuple[float, ...]) -> Prior:
    """With further features that do not fade with distance, such as a doubt that runs share."""
    return replace(
        prior,
        slopes_sd=prior.slopes_sd + slopes_sd,
        reach=prior.reach + (_ENDLESS,) * len(slopes_sd),
    )

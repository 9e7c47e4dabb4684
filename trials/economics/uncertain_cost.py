"""Cost per hole with what is not known of it: life, cycle time, and how edges will end."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from trials.economics import _formula
from trials.economics.cost import CostPerHole, cost_per_hole
from trials.economics.lives import (
    SCATTER,
    Edges,
    Floats,
    OnProgress,
    draw_lives,
    middle_of_log_life,
)
from trials.errors import InputError, require
from trials.model import CuttingData, Economics, Run, WearLimits

DRAWS = 4000
USUAL_LIMITS = WearLimits()
LEVEL = 0.9
# Before any edge has shown otherwise one in twenty ends in a given bad way, and that belief counts
# as much as two edges: from memory, editable nowhere, small beside a handful of runs.
_BAD_SHARE = 0.05
_BAD_EDGES = 2.0
# Cycle times of runs at one cutting data differ by about so much: override, wear of the feed ramp.
_CYCLE_SCATTER = 0.03
_CYCLE_RUNS = 4.0


@dataclass(frozen=True, slots=True)
class DrillEvidence:
    """The ended runs of one drill at one cutting data, as far as its cost needs them.

    Args:
        drill: name of the drill.
        cutting_data: what all of these runs were driven with.
        economics: money with this drill's price and regrinds.
        edges: lives, in lives of a new edge.
        cycle_min: machine time of one hole in each run.
        broken, beyond_regrind, out_of_tolerance: how many edges ended so.
        tried: cutting data of this drill that have runs; this is the best of so many.
    """

    drill: str
    cutting_data: CuttingData
    economics: Economics
    edges: Edges
    cycle_min: tuple[float, ...]
    broken: int
    beyond_regrind: int
    out_of_tolerance: int
    tried: int = 1

    @property
    def runs(self) -> int:
        """How many runs."""
        return len(self.edges.holes)

    @property
    def ended(self) -> int:
        """How many of them came to their end."""
        return sum(not stopped for stopped in self.edges.stopped)

    @property
    def life(self) -> float:
        """Holes that half of the edges reach, as far as can be said."""
        return math.exp(middle_of_log_life(self.edges.holes, self.edges.stopped))

    @property
    def cycle(self) -> float:
        """Mean machine time of a hole, min."""
        return sum(self.cycle_min) / len(self.cycle_min)

    def cost(self) -> CostPerHole:
        """The cost at the middle of what is known; shares of edges as they were seen."""
        return cost_per_hole(
            self.economics, self.cycle, self.life, self.broken / self.runs,
            beyond_regrind_share=self.beyond_regrind / self.runs,
            out_of_tolerance_share=self.out_of_tolerance / self.runs,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class CostDraws:
    """Drawn costs of one drill: every array has one value a draw.

    Args:
        total, parts: money a hole, and its parts by the names of `CostPerHole.parts`.
        life: holes of an edge in the middle; middle, scatter: of log life; cycle_min: of a hole.
    """

    total: Floats
    parts: Mapping[str, Floats]
    life: Floats
    middle: Floats
    scatter: Floats
    cycle_min: Floats


@dataclass(frozen=True, slots=True)
class CostRange:
    """Cost per hole with its 90 % interval.

    Args:
        cost: at the middle of what is known, in parts that add up; None without a life.
        low, high: 5 % and 95 % points of what is drawn, never inside ``cost``.
        parts: the same for every part.
        holes: middle life of an edge with its interval (low, middle, high).
        runs, ended: runs that it rests on, and those of them that came to their end.
        verdict: empty, or why there is no cost.
        note: what to keep in mind.
    """

    cost: CostPerHole | None
    low: float | None
    high: float | None
    parts: Mapping[str, tuple[float, float]]
    holes: tuple[float, float, float] | None
    runs: int
    ended: int
    verdict: str = ""
    note: str = ""

    @property
    def ok(self) -> bool:
        """Whether there is a cost."""
        return not self.verdict


def beyond_regrind(run: Run, limits: WearLimits = USUAL_LIMITS) -> bool:
    """Whether the edge of a run cannot be reground: broken, or chipped at the margin.

    A chipped edge without a reading that shows only its corner chipped counts as margin damage.
    Source: a chipped margin cannot be reground: common practice, no source. Wear beyond what is
    reground does not count here: production changes the edge at its limit, before that.

    Args:
        run: which.
        limits: ``regrind_margin_mm`` says how much margin chipping is reground all the same.
    """
    chipped = [reading.margin_chipping_mm or 0.0 for reading in run.wear]
    if run.end == "broken" or max(chipped, default=0.0) > limits.regrind_margin_mm:
        return True
    if 0.0 < max(chipped, default=0.0):
        return False
    corner = any((reading.corner_chipping_mm or 0) > 0 for reading in run.wear)
    return run.end == "chipped" and not corner


def evidence_of(
    drill: str, runs: Sequence[Run], economics: Economics, limits: WearLimits = USUAL_LIMITS
) -> list[DrillEvidence]:
    """The ended runs of a drill by cutting data, those with the lowest cost first.

    Runs without a hole, without a cycle time or without an end are left out, and so are cutting
    data at which every edge was stopped: nothing bounds their life.
    """
    by_data: dict[CuttingData, list[Run]] = {}
    for run in runs:
        if run.state == "ended" and run.holes > 0 and run.cycle_min is not None:
            by_data.setdefault(run.cutting_data, []).append(run)
    found = [
        _evidence(drill, data, of_data, economics, len(by_data), limits)
        for data, of_data in by_data.items()
        if any(run.end != "stopped" for run in of_data)
    ]
    return sorted(found, key=lambda one: (one.cost().total, str(one.cutting_data)))


def _evidence(
    drill: str, data: CuttingData, runs: Sequence[Run], economics: Economics, tried: int,
    limits: WearLimits,
) -> DrillEvidence:  # fmt: skip
    lasts = 1.0 - economics.life_lost_per_regrind
    edges = Edges(
        drill,
        tuple(run.holes / lasts**run.regrinds_done for run in runs),
        tuple(run.end == "stopped" for run in runs),
        tuple(
            " on ".join(filter(None, (run.batch.casefold(), run.machine.casefold())))
            for run in runs
        ),
    )
    return DrillEvidence(
        drill, data, economics, edges,
        tuple(run.cycle_min for run in runs if run.cycle_min is not None),
        sum(run.end == "broken" for run in runs),
        sum(beyond_regrind(run, limits) for run in runs),
        sum(run.end == "out_of_tolerance" for run in runs),
        tried,
    )  # fmt: skip


def draw_costs(
    drills: Sequence[DrillEvidence], *, draws: int = DRAWS, seed: int = 0,
    on_progress: OnProgress | None = None,
) -> list[CostDraws]:  # fmt: skip
    """Draw costs per hole of drills together: what they share is the same in every draw.

    Args:
        drills: what is known of each.
        draws, seed: how many, and which ones; the same seed gives the same numbers.
        on_progress: told the share that is done.
    """
    rng = np.random.default_rng(seed)
    lives = draw_lives([one.edges for one in drills], draws, rng, on_progress)
    return [_costs(one, lives.middle[at], lives.scatter[at], rng) for at, one in enumerate(drills)]


def costs_from_lives(
    one: DrillEvidence, middle: Floats, scatter: Floats, *, seed: int = 0
) -> CostDraws:
    """Costs for lives that were drawn elsewhere, such as from the runs of many trials.

    Args:
        one: what else is known of the drill.
        middle, scatter: draws of the middle of log life and of the scatter of edges about it.
        seed: of the chance of cycle times and of how edges will end.
    """
    return _costs(one, middle, scatter, np.random.default_rng(seed))


def _costs(
    one: DrillEvidence, middle: Floats, scatter: Floats, rng: np.random.Generator
) -> CostDraws:
    def share(seen: int) -> Floats:
        bad, good = _BAD_SHARE * _BAD_EDGES, (1.0 - _BAD_SHARE) * _BAD_EDGES
        return rng.beta(bad + seen, good + one.runs - seen, size=len(middle))

    broken = share(one.broken)
    beyond = broken + (1.0 - broken) * share(one.beyond_regrind - one.broken)
    cycle = _draw_cycle(np.log(one.cycle_min), len(middle), rng)
    life = np.exp(middle)
    parts = {
        name: np.broadcast_to(np.asarray(part, float), middle.shape)
        for name, part in _formula.money_of_a_hole(
            one.economics, cycle, life, broken, beyond, share(one.out_of_tolerance)
        ).items()
    }
    return CostDraws(sum(parts.values(), np.zeros_like(life)), parts, life, middle, scatter, cycle)


def _draw_cycle(logs: Floats, draws: int, rng: np.random.Generator) -> Floats:
    square = float(((logs - logs.mean()) ** 2).sum())
    freedom = _CYCLE_RUNS + len(logs) - 1.0
    variance = (_CYCLE_RUNS * _CYCLE_SCATTER**2 + square) / rng.chisquare(freedom, size=draws)
    drawn: Floats = np.exp(logs.mean() + np.sqrt(variance / len(logs)) * rng.standard_normal(draws))
    return drawn


def cost_range(
    drill: str, runs: Sequence[Run], economics: Economics, *,
    cutting_data: CuttingData | None = None, limits: WearLimits = USUAL_LIMITS,
    draws: int = DRAWS, seed: int = 0, on_progress: OnProgress | None = None,
) -> CostRange:  # fmt: skip
    """Cost per hole of a drill with 90 % interval, by Monte Carlo over what is uncertain.

    Args:
        drill: its name, for the sentences.
        runs: its runs; only ended ones count.
        economics: money with its price and regrinds.
        cutting_data: where; None takes those that did best so far.
        limits: what is still reground.
        draws, seed, on_progress: see `draw_costs`.

    Returns:
        A cost, or a verdict when no edge at the cutting data has come to its end.
    """
    found = evidence_of(drill, runs, economics, limits)
    if cutting_data is not None:
        found = [one for one in found if one.cutting_data == cutting_data]
    if not found:
        ended = [run for run in runs if run.state == "ended" and run.holes > 0]
        why = (
            f"{drill}: every edge was stopped early, so its life has no upper end; let one wear out"
            if ended
            else f"{drill}: no ended run with holes yet"
        )
        return CostRange(None, None, None, {}, None, len(ended), 0, f"No cost: {why}.")
    best = found[0]
    (drawn,) = draw_costs([best], draws=draws, seed=seed, on_progress=on_progress)
    return range_of(best, drawn)


def range_of(one: DrillEvidence, drawn: CostDraws) -> CostRange:
    """The cost in the middle, with what was drawn as its range."""
    cost = one.cost()
    low, high = interval(drawn.total, around=cost.total)
    lives = interval(drawn.life, around=one.life)
    return CostRange(
        cost, low, high,
        {name: interval(part, around=cost.parts[name]) for name, part in drawn.parts.items()},
        (lives[0], one.life, lives[1]), one.runs, one.ended, note=note(one),
    )  # fmt: skip


def note(one: DrillEvidence) -> str:
    """What to keep in mind when the cost rests on little, or on the best of many."""
    said = []
    if one.ended < 3:
        edges = "one edge" if one.ended == 1 else f"{one.ended} edges"
        said.append(
            f"Only {edges} came to an end there, so the scatter between edges is mostly assumed "
            f"(about {SCATTER:.0%})."
        )
    if one.tried > 2 and one.runs < 3:
        said.append(
            f"It is the best of {one.tried} cutting data, so it looks better than it is; a second "
            "edge at the same data would show."
        )
    return " ".join(said)


def interval(drawn: Floats, around: float | None = None) -> tuple[float, float]:
    """5 % and 95 % points; widened to hold ``around`` where the middle lies outside them."""
    low, high = (float(value) for value in np.quantile(drawn, (0.5 - LEVEL / 2, 0.5 + LEVEL / 2)))
    return (low, high) if around is None else (min(low, around), max(high, around))


def check_currencies(economics: Mapping[str, Economics]) -> str:
    """The one currency of all of them.

    Raises:
        InputError: there are several, or no drill at all.
    """
    require(len(economics) > 0, "drills compared", 0, "1 or more")
    currencies = sorted({one.currency for one in economics.values()})
    if len(currencies) > 1:
        raise InputError("currencies of the drills compared", got=", ".join(currencies),
                         allowed="one", do="Write all prices in the same currency.")  # fmt: skip
    return currencies[0]

"""Questions over all trials: from rows of many trials to which drill did best, and how sure."""

from __future__ import annotations

import math
import uuid
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

import numpy as np

from trials import mechanics
from trials.model import CuttingData, Economics, LikeJobs, Run, WearLimits, WearReading
from trials.workbench._costs import run_as_evidence
from trials.workbench._history_values import (
    DrillRecord,
    DrillsOverTrials,
    History,
    LifeScatter,
)
from trials.workbench._kept import kept
from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.economics import CostDraws, DrillEvidence
    from trials.life import Pooled

MOST_DRILLS = 12  # worked out; the rest is named
MOST_EDGES = 1000  # the newest that are pooled, so that an answer comes at once
_COMPARED = 4
_NINE_IN_TEN = 1.2816  # standard normal: one edge in ten lies further below


@dataclass(frozen=True, slots=True)
class Job:
    """What of a trial the questions need."""

    key: uuid.UUID
    name: str
    machine: str
    diameter_mm: float
    depth_mm: float
    through: bool
    rapid_mm_per_min: float
    limits: WearLimits
    shared: dict[str, Any]
    drills: dict[str, dict[str, Any]]
    currency: str

    def economics(self, drill: str) -> Economics:
        """Money with price and regrinds of a drill."""
        own = self.drills.get(drill, {})
        return Economics(**self.shared | {
            "drill_price": own.get("price", 0.0), "regrinds": own.get("regrinds", 0),
            "regrind_cost": own.get("regrind_cost", 0.0),
            "life_lost_per_regrind": own.get("life_lost_per_regrind", 0.0),
        })  # fmt: skip

    def kind(self, drill: str) -> str:
        """Substrate and coating of a drill, in words."""
        own = self.drills.get(drill, {})
        return f"{own.get('substrate', 'carbide')}, {own.get('coating', 'bright')}"


@dataclass(frozen=True, slots=True)
class Edge:
    """One ended run with what its readings show.

    Args:
        job: its trial; run: as evidence, with a cycle time; raw: with its own holes and end.
        ended_utc: when it was ended.
    """

    job: Job
    run: Run
    raw: Run
    ended_utc: datetime

    @property
    def machine(self) -> str:
        """Where it was drilled."""
        return self.raw.machine or self.job.machine


def history(shop: Shop, like: LikeJobs) -> History:
    """See `trials.workbench.Workbench.history`."""
    version = (str(shop.folder.path), shop.store.place, shop.store.history_version())
    return kept("history", (version, like), lambda: _history(shop, like))


def _history(shop: Shop, like: LikeJobs) -> History:
    from trials.workbench._history_trend import cost_trend

    edges = edges_like(shop, like)
    ended = sum(edge.run.end != "stopped" for edge in edges)
    trials = len({edge.job.key for edge in edges})
    if not edges:
        return History(like, 0, 0, 0)
    paid = Counter(edge.job.currency for edge in edges)
    currency = like.currency or min(paid, key=lambda code: (-paid[code], code))
    others = tuple(sorted((code, n) for code, n in paid.items() if code != currency))
    in_it = [edge for edge in edges if edge.job.currency == currency]
    return History(
        replace(like, currency=currency), trials, len(edges), ended,
        best_drills(in_it, currency, others), life_scatter(edges), cost_trend(in_it, currency),
    )  # fmt: skip


def edges_like(shop: Shop, like: LikeJobs, but: str | None = None) -> list[Edge]:
    """Ended runs of the trials that count, in the order in which they ended.

    Args:
        shop: where; like: which.
        but: a trial that is left out.
    """
    jobs = {row.uuid: _job(row.uuid, row.plain, like) for row in shop.store.jobs(like)}
    rows = [row for row in shop.store.edges(like) if row.trial_uuid in jobs]
    wear = shop.store.wear_of_edges(like)
    found = [_edge(jobs[row.trial_uuid], row, wear.get(row.uuid, ()), like) for row in rows]
    return [edge for edge in found if edge.job.name != but]


def _job(key: uuid.UUID, plain: Any, like: LikeJobs) -> Job:
    machine, hole = plain["machine"], plain["hole"]
    usual = 20_000.0
    limits = WearLimits(**plain.get("wear_limits", {})).filled(plain.get("wear_limit_mm", 0.3))
    if like.wear_limit_mm is not None:
        regrind = {"regrind_mm": limits.regrind_mm, "regrind_margin_mm": limits.regrind_margin_mm}
        limits = WearLimits(**regrind).filled(like.wear_limit_mm)
    return Job(
        key, plain["name"], machine.get("name", ""), hole["diameter_mm"], hole["depth_mm"],
        bool(hole.get("through", False)), machine.get("rapid_mm_per_min", usual), limits,
        plain["economics"], {drill["name"]: drill for drill in plain["drills"]},
        plain["economics"].get("currency", "EUR"),
    )  # fmt: skip


def _edge(job: Job, row: Any, wear: tuple[WearReading, ...], like: LikeJobs) -> Edge:
    data = CuttingData(
        row.speed_m_per_min, row.feed_mm_per_rev, row.peck_mode, row.peck_depth_xd,
        row.breakthrough_feed_factor, row.breakthrough_mm,
    )  # fmt: skip
    end = row.end
    if like.wear_limit_mm is not None and end == "worn":
        most = max((one.largest_mm or 0.0 for one in wear), default=0.0)
        end = "worn" if most >= like.wear_limit_mm else "stopped"  # worn by another limit
    raw = Run(
        row.number, row.drill, data, "ended", end, row.holes, cycle_min=row.cycle_min,
        wear=wear, batch=row.batch, machine=row.machine, regrinds_done=row.regrinds_done,
    )  # fmt: skip
    cycle = row.cycle_min
    if cycle is None:
        own = job.drills.get(row.drill, {})
        cycle = mechanics.hole_time(
            data, job.diameter_mm, job.depth_mm, point_angle_deg=own.get("point_angle_deg", 140.0),
            through=job.through, rapid_mm_per_min=job.rapid_mm_per_min,
        ).cycle_min  # fmt: skip
    known = run_as_evidence(raw, job.limits)
    return Edge(job, replace(known, cycle_min=cycle, wear=wear), raw, row.ended_utc)


def best_drills(
    edges: Sequence[Edge], currency: str, others: tuple[tuple[str, int], ...]
) -> DrillsOverTrials | None:
    """Drills side by side, each where it did best in each trial, for holes of one depth."""
    if not edges:
        return None
    depths = sorted(edge.job.depth_mm for edge in edges)
    depth = depths[len(depths) // 2]
    by_drill: dict[str, list[Edge]] = defaultdict(list)
    for edge in edges:
        by_drill[edge.run.drill].append(edge)
    names = sorted(by_drill, key=lambda name: (-len(by_drill[name]), name))
    chosen = {name: _where_best(name, by_drill[name]) for name in names[:MOST_DRILLS]}
    pooled = _pooled([edge for found in chosen.values() for edge in found], depth)
    costs = _costs(chosen, edges, depth, pooled)
    records = [_record(name, chosen[name], pooled, costs.get(name)) for name in chosen]
    records.sort(key=lambda one: (one.cost is None, one.cost[1] if one.cost else 0.0, one.drill))
    records = _sureness(records, costs)
    left = len(names) - len(chosen)
    return DrillsOverTrials(
        tuple(records), depth, currency, others, left, _said_of(records, others, left)
    )


def _where_best(name: str, edges: Sequence[Edge]) -> list[Edge]:
    """Of each trial the edges at the cutting data with the lowest cost; else all its edges."""
    from trials.economics import evidence_of

    of_job: dict[uuid.UUID, list[Edge]] = defaultdict(list)
    for edge in edges:
        of_job[edge.job.key].append(edge)
    best: list[Edge] = []
    for of_trial in of_job.values():
        job = of_trial[0].job
        found = evidence_of(name, [one.run for one in of_trial], job.economics(name), job.limits)
        if found:
            best += [one for one in of_trial if one.run.cutting_data == found[0].cutting_data]
        else:
            best += of_trial
    return best


def _holes(edge: Edge, depth: float) -> float:
    """Holes of this depth that the same way of cutting would have been."""
    return edge.run.holes * edge.job.depth_mm / depth


def _pooled(edges: Sequence[Edge], depth: float, *, exponents: bool = False) -> Pooled:
    from trials.life import fit_pooled

    newest = sorted(edges, key=lambda edge: edge.ended_utc)[-MOST_EDGES:]
    return fit_pooled([point_of(edge, edge.run.drill, depth) for edge in newest],
                      exponents=exponents)  # fmt: skip


def point_of(edge: Edge, kind: str, depth: float) -> Any:
    """An edge as the pooled fit takes it; lives of reground edges in lives of a new one."""
    from trials.life import PooledPoint, ended_at, stopped_at

    lost = edge.job.drills.get(edge.run.drill, {}).get("life_lost_per_regrind", 0.0)
    holes = _holes(edge, depth) / (1.0 - lost) ** edge.run.regrinds_done
    life = stopped_at(holes) if edge.run.end == "stopped" else ended_at(holes)
    return PooledPoint(
        life, kind, edge.job.name, edge.run.batch, edge.machine,
        edge.run.cutting_data.speed_m_per_min,
        edge.run.cutting_data.feed_mm_per_rev / edge.job.diameter_mm,
    )  # fmt: skip


def _costs(
    chosen: dict[str, list[Edge]], edges: Sequence[Edge], depth: float, pooled: Pooled
) -> dict[str, tuple[DrillEvidence, CostDraws]]:
    """Costs of drills at one machine's money, the newest trial's, and each one's newest price."""
    from trials.economics import DrillEvidence, Edges, beyond_regrind, costs_from_lives

    newest = max(edges, key=lambda edge: edge.ended_utc).job
    found = {}
    for place, (name, own) in enumerate(chosen.items()):
        if name not in pooled.drills:
            continue
        last = max(own, key=lambda edge: edge.ended_utc)
        price = last.job.economics(name)
        economics = replace(
            newest.economics(name), drill_price=price.drill_price, regrinds=price.regrinds,
            regrind_cost=price.regrind_cost, life_lost_per_regrind=price.life_lost_per_regrind,
        )  # fmt: skip
        evidence = DrillEvidence(
            name, last.run.cutting_data, economics,
            Edges(
                name,
                tuple(point_of(edge, name, depth).life.low for edge in own),
                tuple(edge.run.end == "stopped" for edge in own),
                tuple(edge.run.batch.casefold() or edge.job.name for edge in own),
            ),
            tuple((edge.run.cycle_min or 0.0) * depth / edge.job.depth_mm for edge in own),
            sum(edge.run.end == "broken" for edge in own),
            sum(beyond_regrind(edge.run, edge.job.limits) for edge in own),
            sum(edge.run.end == "out_of_tolerance" for edge in own),
        )  # fmt: skip
        found[name] = (
            evidence,
            costs_from_lives(evidence, pooled.level_of(name), pooled.edge, seed=place),
        )
    return found


def _record(
    name: str, own: Sequence[Edge], pooled: Pooled, cost: tuple[DrillEvidence, CostDraws] | None
) -> DrillRecord:
    from trials.life import span_of

    ended = sum(edge.run.end != "stopped" for edge in own)
    record = DrillRecord(name, len({edge.job.key for edge in own}), len(own), ended)
    if cost is None:
        why = (
            "no edge came to its end, so nothing bounds its life"
            if not ended else f"too little: {pooled.verdict}"
        )  # fmt: skip
        return replace(record, verdict=why)
    evidence, drawn = cost
    data = evidence.cutting_data
    pecks = "" if data.peck_mode == "none" else (
        f", {data.peck_mode.replace('_', ' ')} every {data.peck_depth_xd:g} × D"
    )  # fmt: skip
    return replace(
        record, life=span_of(drawn.life), cost=span_of(drawn.total),
        nine_in_ten=span_of(np.exp(drawn.middle - _NINE_IN_TEN * drawn.scatter)),
        cutting_data=f"{data.speed_m_per_min:.1f} m/min, {data.feed_mm_per_rev:.3f} mm/rev{pecks}",
    )  # fmt: skip


def _sureness(
    records: list[DrillRecord], costs: dict[str, tuple[DrillEvidence, CostDraws]]
) -> list[DrillRecord]:
    """How sure the others cost more than the first, for the next few of them."""
    from trials.economics import difference

    if not records or records[0].cost is None:
        return records
    first, rest = records[0], []
    for place, one in enumerate(records[1:]):
        if one.cost is None or place >= _COMPARED:
            rest.append(one)
            continue
        pair = difference(costs[first.drill], costs[one.drill])
        p = pair.p_cheaper if pair.cheaper == first.drill else 1.0 - pair.p_cheaper
        rest.append(replace(one, p_dearer=p))
    return [first, *rest]


def _said_of(
    records: Sequence[DrillRecord], others: tuple[tuple[str, int], ...], left: int
) -> tuple[str, ...]:
    from trials.economics import sureness

    said = []
    known = [one for one in records if one.cost is not None]
    if not known:
        ended = sum(one.ended for one in records)
        said.append(
            f"No drill has a cost: {ended} edge{'s' * (ended != 1)} came to the end; 3 or more "
            "are needed."
        )
    elif len(known) == 1:
        said.append(f"{known[0].drill} is the only drill with an edge that came to its end.")
    else:
        best, second = known[0], known[1]
        assert second.p_dearer is not None  # noqa: S101 - the next one is always compared
        how = f"{sureness(second.p_dearer)} sure"
        said.append(
            f"{best.drill} did best, {how} against {second.drill}."
            if second.p_dearer >= 0.9
            else f"{best.drill} has the lowest cost so far, but only {how} against "
            f"{second.drill}: the two cannot be told apart."
        )
    thin = [one.drill for one in known if one.ended < 3]
    if thin:
        said.append(f"Fewer than three ended edges: {', '.join(thin)}; their ranges are mostly "
                    "assumed.")  # fmt: skip
    if left:
        said.append(f"{left} drills with fewer edges are not shown; narrow the question.")
    for code, edges in others:
        said.append(f"{edges} edges are paid in {code} and stand for themselves; ask for {code} "
                    "to see them.")  # fmt: skip
    return tuple(said)


def life_scatter(edges: Sequence[Edge]) -> LifeScatter:
    """How life scatters by batch, machine and trial once drill, speed and feed are allowed for."""
    from trials.life import SHARES, span_of

    depths = sorted(edge.job.depth_mm for edge in edges)
    pooled = _pooled(edges, depths[len(depths) // 2], exponents=True)
    if not pooled.ok:
        return LifeScatter(None, (), (), None, (f"Scatter of life: {pooled.verdict}",))
    low, middle, high = span_of(pooled.edge)
    factor = f"{math.exp(middle):.2f} ({math.exp(low):.2f} to {math.exp(high):.2f})"
    alike = "Two edges in three of one drill, under the same conditions, lie within a factor of "
    said = [f"{alike}{factor} of the middle one."]
    words = {"trial": "trial", "batch": "workpiece batch", "machine": "machine"}
    for one in pooled.scatters:
        if one.middle is None or one.low is None or one.high is None:
            said.append(f"From one {words[one.share]} to another: {one.verdict}")
        else:
            said.append(
                f"From one {words[one.share]} to another lives differ by a further factor of "
                f"{math.exp(one.middle):.2f} ({math.exp(one.low):.2f} to "
                f"{math.exp(one.high):.2f}), from {one.groups} with two edges or more."
            )
    told = {one.share for one in pooled.scatters if not one.verdict}
    effects = tuple(
        (share, tuple(sorted(((name, math.exp(value)) for name, value in
                              pooled.effects[share].items()), key=lambda pair: pair[1])))
        for share in SHARES if share in told
    )  # fmt: skip
    return LifeScatter(
        (low, middle, high), pooled.scatters, effects,
        (span_of(pooled.exponents[0]), span_of(pooled.exponents[1])), tuple(said),
    )  # fmt: skip

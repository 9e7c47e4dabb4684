"""What a shop's own earlier trials say of the life of a drill, before it was tested here."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from trials.mechanics import RoughLife
from trials.model import CuttingData, Drill, LikeJobs, Trial
from trials.workbench._history import MOST_EDGES, Edge, edges_like, point_of
from trials.workbench._kept import kept
from trials.workbench._shop import Shop

_FEWEST_ENDED = 3
_FEWEST_TRIALS = 2


def own_life(shop: Shop, trial: Trial, drill: Drill, start: CuttingData) -> RoughLife | None:
    """Life expected from like jobs of this shop; None where they say too little.

    Edges of this drill by its name where enough of them ended, else of its substrate and coating.
    The range holds what differs from trial to trial, batch to batch and machine to machine, so it
    is that of a trial to come.
    """
    like = replace(LikeJobs.to(trial), currency=None)
    version = (str(shop.folder.path), shop.store.place, shop.store.history_version())
    return kept(
        "own life", (version, like, trial, drill, start),
        lambda: _own_life(edges_like(shop, like, but=trial.name), trial, drill, start),
    )  # fmt: skip


def _own_life(
    edges: Sequence[Edge], trial: Trial, drill: Drill, start: CuttingData
) -> RoughLife | None:
    kind = f"{drill.substrate}, {drill.coating}"
    same = [edge for edge in edges if edge.run.drill.casefold() == drill.name.casefold()]
    alike = [edge for edge in edges if edge.job.kind(edge.run.drill) == kind]
    for chosen, called in ((same, drill.name), (alike, f"drills of {kind}")):
        ended = sum(edge.run.end != "stopped" for edge in chosen)
        trials = len({edge.job.key for edge in chosen})
        if ended >= _FEWEST_ENDED and trials >= _FEWEST_TRIALS:
            return _pooled(chosen, called, ended, trials, trial, drill, start)
    return None


def _pooled(
    chosen: Sequence[Edge], called: str, ended: int, trials: int, trial: Trial, drill: Drill,
    start: CuttingData,
) -> RoughLife:  # fmt: skip
    from trials.life import fit_pooled, span_of

    newest = sorted(chosen, key=lambda edge: edge.ended_utc)[-MOST_EDGES:]
    found = fit_pooled([point_of(edge, called, trial.hole.depth_mm) for edge in newest])
    drawn = found.next_trial(
        called, start.speed_m_per_min, start.feed_mm_per_rev / drill.diameter_mm
    )
    low, middle, high = span_of(drawn)
    factor = math.sqrt(high / low)
    return RoughLife(
        middle / factor, middle, middle * factor, factor,
        f"own trials: {ended} ended edges of {called} in {trials} like trials",
    )  # fmt: skip

"""Lives without a model: share of edges still cutting, and which end comes how often by when."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from trials.errors import require
from trials.life.lives import Life
from trials.model import End


@dataclass(frozen=True, slots=True)
class SurvivalStep:
    """Share of edges still cutting from this hole on.

    Args:
        holes: hole at which edges ended.
        at_risk: edges that were still cutting just before.
        ended: edges that ended there.
        share: share still cutting from there on, 0 to 1.
        low, high: interval of the share.
    """

    holes: float
    at_risk: int
    ended: int
    share: float
    low: float
    high: float


def kaplan_meier(lives: Sequence[Life], level: float = 0.9) -> tuple[SurvivalStep, ...]:
    """Product-limit estimate of the share of edges still cutting; no steps when none ended.

    An edge stopped at a hole where another ended was still cutting there. Intervals by Greenwood's
    variance of log(−log share), which stay within 0 and 1 (where the share is 0 or 1 they are not
    defined, and the widest that can be said is given). Source: Kaplan and Meier, J. Am. Stat.
    Assoc. 53, 1958; Kalbfleisch and Prentice, The Statistical Analysis of Failure Time Data, 2002,
    section 1.4.

    Raises:
        InputError: a life is only known between two looks (use `fit_lives`).
    """
    _require_exact(lives)
    z = NormalDist().inv_cdf((1.0 + level) / 2.0)
    steps: list[SurvivalStep] = []
    share, greenwood = 1.0, 0.0
    for holes in sorted({life.low for life in lives if life.ended}):
        at_risk = sum(life.low >= holes for life in lives)
        ended = sum(life.ended and life.low == holes for life in lives)
        share *= 1.0 - ended / at_risk
        low, high = 0.0, 1.0
        if share > 0:
            greenwood += ended / (at_risk * (at_risk - ended))
            wide = z * math.sqrt(greenwood) / abs(math.log(share))
            low, high = share ** math.exp(wide), share ** math.exp(-wide)
        else:
            high = steps[-1].high if steps else 1.0
        steps.append(SurvivalStep(holes, at_risk, ended, share, low, high))
    return tuple(steps)


def share_lasting(steps: Sequence[SurvivalStep], holes: float) -> float:
    """Share of edges still cutting after so many holes, by the product-limit steps."""
    return next((step.share for step in reversed(steps) if step.holes <= holes), 1.0)


@dataclass(frozen=True, slots=True)
class IncidenceStep:
    """Share of edges that this mode has ended by this hole, 0 to 1."""

    holes: float
    share: float


def cumulative_incidence(lives: Sequence[Life]) -> dict[End, tuple[IncidenceStep, ...]]:
    """Share of edges that each mode has ended by when, with all modes at work together.

    One minus a Kaplan–Meier of one mode, with the others taken as stopped, is too high: an edge
    that broke can no longer wear out. Source: Aalen and Johansen, Scand. J. Statist. 5, 1978;
    Kalbfleisch and Prentice 2002, section 8.2.

    Returns:
        For each mode that ended an edge its steps; the last shares of all modes and the share
        still cutting add up to 1.

    Raises:
        InputError: a life is only known between two looks, or an ended one names no mode.
    """
    _require_exact(lives)
    for number, life in enumerate(lives, start=1):
        require(not life.ended or life.mode is not None, f"life {number}",
                f"ended at {life.low:g} holes without a mode",
                "what ended it (worn, chipped, broken, out_of_tolerance, load_limit)"
                )  # fmt: skip
    modes = sorted({life.mode for life in lives if life.mode is not None})
    found: dict[End, list[IncidenceStep]] = {mode: [] for mode in modes}
    sums = dict.fromkeys(modes, 0.0)
    cutting = 1.0
    for holes in sorted({life.low for life in lives if life.ended}):
        at_risk = sum(life.low >= holes for life in lives)
        here = [life.mode for life in lives if life.ended and life.low == holes]
        for mode in modes:
            count = here.count(mode)
            if count:
                sums[mode] += cutting * count / at_risk
                found[mode].append(IncidenceStep(holes, sums[mode]))
        cutting *= 1.0 - len(here) / at_risk
    return {mode: tuple(steps) for mode, steps in found.items()}


def _require_exact(lives: Sequence[Life]) -> None:
    for number, life in enumerate(lives, start=1):
        require(life.exact or not life.ended, f"life {number}",
                f"between {life.low:g} and {life.high:g} holes", "a known hole, or a stopped edge",
                "Lives between two looks go into a fit, not into a count.")  # fmt: skip

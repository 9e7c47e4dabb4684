"""Change interval: after how many holes production changes the drill, before it fails by itself.

Age replacement: an edge is changed at T holes, or when it fails if that comes first. With a cost
cp of a planned change, cf of a failure (scrap, stop and the change), R the share still cutting,
the long-run cost per hole is C(T) = [cp·R(T) + cf·(1 − R(T))] / ∫₀ᵀ R(t) dt. Source: Barlow and
Proschan, Mathematical Theory of Reliability, 1965, chapter 4.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from trials.errors import require
from trials.life._likelihood import Floats, LifeModel, log_survival
from trials.life.fit import LifeFit

_DRAWS = 800
_POINTS = 241
_LEAST_SAVING = 0.01  # a saving below a hundredth is not worth the rule
_PAYS_IN = 0.5  # and must be there in at least this share of what the lives allow


@dataclass(frozen=True, slots=True)
class AgeReplacement:
    """The cheapest interval for a life that is known.

    Args:
        holes: T of the lowest cost; None when no planned change pays.
        cost_per_hole: C(T) there, or of running to failure.
        run_to_failure_per_hole: cf over the mean life.
    """

    holes: float | None
    cost_per_hole: float
    run_to_failure_per_hole: float


@dataclass(frozen=True, slots=True)
class ChangeInterval:
    """The interval that a fitted life carries, with what it leaves open.

    Args:
        holes: change after so many holes; None when no planned change pays and no risk is capped,
            or there is a ``verdict``.
        limited_by: ``cost`` (the cheapest), ``risk`` (the cap comes before it, or no interval keeps
            to it) or None.
        low, high: 90 % range of the cheapest interval over what the lives allow; infinite where
            running to failure may be cheapest, None without numbers.
        chance_pays: share of what the lives allow in which a planned change pays at all.
        fails_before: share of drills expected to fail before the interval, and its 90 % range
            (low, middle, high).
        cost_per_hole, run_to_failure_per_hole: expected cost of changes and failures per hole, of
            this interval and without planned changes.
        risk_holes: holes by which the capped share of drills is expected to have failed; None
            without a cap.
        verdict: why there are no numbers, from the fit.
        why: one or two sentences.
    """

    holes: float | None
    limited_by: str | None
    low: float | None
    high: float | None
    chance_pays: float | None
    fails_before: tuple[float, float, float] | None
    cost_per_hole: float | None
    run_to_failure_per_hole: float | None
    risk_holes: float | None
    verdict: str
    why: str

    @property
    def ok(self) -> bool:
        """Whether the lives carried an answer (which may be: no planned change)."""
        return not self.verdict


def replacement_cost_per_hole(
    holes: Floats | float, shape: Floats | float, scale: Floats | float, planned_cost: float,
    failure_cost: float, model: LifeModel = "weibull",
) -> Floats:  # fmt: skip
    """C(T) for a known life; arrays are broadcast."""
    holes, shape, scale = (np.asarray(value, dtype=float) for value in (holes, shape, scale))
    lasting = np.exp(_log_lasting(holes, shape, scale, model))
    cost = planned_cost * lasting + failure_cost * (1.0 - lasting)
    with np.errstate(divide="ignore", over="ignore"):
        return np.asarray(cost / _holes_run(holes, shape, scale, model))


def age_replacement(
    shape: float, scale: float, planned_cost: float, failure_cost: float,
    model: LifeModel = "weibull",
) -> AgeReplacement:  # fmt: skip
    """The cheapest change interval of a life with this shape and scale.

    None when no planned change pays: a failure costs no more than a planned change, or edges that
    have lasted do not become likelier to fail (Weibull shape 1 or less).

    Raises:
        InputError: a number is not above 0.
    """
    _require_costs(planned_cost, failure_cost)
    require(0 < shape < math.inf and 0 < scale < math.inf, "shape and scale of a life",
            f"{shape:g} and {scale:g}", "numbers above 0")  # fmt: skip
    from scipy.optimize import minimize_scalar

    never = failure_cost / float(_mean(np.array(shape), np.array(scale), model))
    if failure_cost <= planned_cost or (model == "weibull" and shape <= 1):
        return AgeReplacement(None, never, never)

    def cost(log_holes: float) -> float:
        return float(
            replacement_cost_per_hole(
                math.exp(log_holes), shape, scale, planned_cost, failure_cost, model
            )
        )

    points = _log_grid(shape, scale, model)
    heights = [cost(point) for point in points.tolist()]
    lowest = int(np.argmin(heights))
    near = points[max(lowest - 1, 0)], points[min(lowest + 1, len(points) - 1)]
    best = minimize_scalar(cost, bounds=near, method="bounded", options={"xatol": 1e-12})
    if float(best.fun) >= never * (1.0 - 1e-9):
        return AgeReplacement(None, never, never)
    return AgeReplacement(math.exp(float(best.x)), float(best.fun), never)


def change_interval(
    fit: LifeFit, planned_cost: float, failure_cost: float, *, risk_cap: float | None = None,
    seed: int = 0,
) -> ChangeInterval:  # fmt: skip
    """The change interval that a fitted life carries.

    The interval has the lowest cost on average over every life that the data allow, not for the
    best one alone; with few lives that is earlier or later than the best one says. With a risk
    cap, no more than that share of drills is expected to fail before the change, again over every
    life that the data allow, so that few lives give an early change.

    Args:
        fit: life of the edges until they fail or are worn out.
        planned_cost: money for one planned change, the edge's own money included.
        failure_cost: money for one failure, everything included.
        risk_cap: for example 0.01 for "no more than 1 in 100 fails before"; None for no cap.
        seed: the same fit gives the same interval.

    Raises:
        InputError: a cost is not above 0, or the cap is not between 0 and 1.
    """
    _require_costs(planned_cost, failure_cost)
    require(risk_cap is None or 0 < risk_cap < 1, "share of drills that may fail before the change",
            risk_cap, "between 0 and 1, or left out")  # fmt: skip
    if not fit.ok or fit.shape is None or fit.scale is None:
        return ChangeInterval(
            None, None, None, None, None, None, None, None, None, fit.verdict,
            f"No change interval: {fit.verdict}",
        )  # fmt: skip
    shape, scale = fit.draws(_DRAWS, seed)
    points = _log_grid(fit.shape, fit.scale, fit.model)
    widest = max(float(points[-1]), float(np.log(scale).max()) + 2.0)
    holes = np.exp(np.linspace(float(points[0]), widest, _POINTS))
    costs = replacement_cost_per_hole(
        holes[:, None], shape, scale, planned_cost, failure_cost, fit.model
    )
    never = failure_cost / _mean(shape, scale, fit.model)
    # Where every drawn edge has failed, cost is that of running to failure to the last digit.
    pays = costs.min(axis=0) < never * (1.0 - _LEAST_SAVING)
    cheapest = np.where(pays, holes[np.argmin(costs, axis=0)], math.inf)
    low, high = (float(v) for v in np.quantile(cheapest, [0.05, 0.95], method="inverted_cdf"))
    chance = float(pays.mean())
    mean_cost, mean_never = costs.mean(axis=1), float(never.mean())
    place = int(np.argmin(mean_cost))
    saves = float(mean_cost[place]) < mean_never * (1.0 - _LEAST_SAVING) and chance >= _PAYS_IN
    best = float(holes[place]) if saves else None
    risk_holes = None if risk_cap is None else _risk_holes(shape, scale, fit.model, risk_cap)
    if risk_holes is not None and risk_holes < 1.0:
        return ChangeInterval(
            None, "risk", low, high, chance, None, None, mean_never, risk_holes, "",
            f"No interval keeps failures to {100 * (risk_cap or 0):g} %: these lives allow that a "
            "drill fails on its first hole. Let more edges wear out, or accept a larger share.",
        )  # fmt: skip
    chosen, limited = best, None if best is None else "cost"
    if risk_holes is not None and (best is None or risk_holes < best):
        chosen, limited = risk_holes, "risk"
    failing, cost_there = None, mean_never
    if chosen is not None:
        each = -np.expm1(_log_lasting(np.array(chosen), shape, scale, fit.model))
        tails = np.quantile(each, [0.05, 0.95])
        failing = (float(tails[0]), float(each.mean()), float(tails[1]))
        cost_there = float(np.interp(math.log(chosen), np.log(holes), mean_cost))
    return ChangeInterval(
        chosen, limited, low, high, chance, failing, cost_there, mean_never, risk_holes, "",
        _words(chosen, limited, fit, failing, cost_there, mean_never, chance, risk_cap),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class RoundedInterval:
    """A change interval that a shift can keep, never longer than the one it came from.

    Args:
        holes, parts: between two changes.
        shifts: whole shifts between changes, when it is one or more.
        changes_per_shift: changes in a shift, when the interval is shorter than one.
        text: as a person says it.
    """

    holes: int
    parts: int | None
    shifts: int | None
    changes_per_shift: int | None
    text: str


def round_interval(
    holes: float, holes_per_part: int = 1, parts_per_shift: int | None = None
) -> RoundedInterval:
    """Round a change interval down to whole parts, and to shifts or equal shares of one.

    Raises:
        InputError: less than one part, or a number below 1.
    """
    require(holes_per_part >= 1, "holes in a part", holes_per_part, "1 or more")
    require(parts_per_shift is None or parts_per_shift >= 1, "parts in a shift", parts_per_shift,
            "1 or more, or left out")  # fmt: skip
    require(math.isfinite(holes) and holes >= holes_per_part, "change interval", holes,
            f"at least the {holes_per_part} holes of one part",
            "The drill does not last a part: change the cutting data, or share the part's holes "
            "between drills.")  # fmt: skip
    parts = int(holes // holes_per_part)
    if parts_per_shift is None:
        total = parts * holes_per_part
        text = f"every {total} holes" + (f" ({parts} parts)" if holes_per_part > 1 else "")
        return RoundedInterval(total, parts, None, None, text)
    if parts >= parts_per_shift:
        shifts = parts // parts_per_shift
        parts = shifts * parts_per_shift
        text = "every shift" if shifts == 1 else f"every {shifts} shifts"
        return RoundedInterval(parts * holes_per_part, parts, shifts, None,
                               f"{text} ({parts} parts, {parts * holes_per_part} holes)"
                               )  # fmt: skip
    changes = math.ceil(parts_per_shift / parts)
    parts = math.ceil(parts_per_shift / changes)
    return RoundedInterval(
        parts * holes_per_part, parts, None, changes,
        f"{changes} times a shift (every {parts} parts, {parts * holes_per_part} holes)",
    )  # fmt: skip


def _words(
    chosen: float | None, limited: str | None, fit: LifeFit,
    failing: tuple[float, float, float] | None, cost: float, never: float, chance: float,
    risk_cap: float | None,
) -> str:  # fmt: skip
    few = f" The lives allow a planned change to pay in {100 * chance:.0f} % of cases."
    if chosen is None or failing is None:
        reason = (
            "edges that have lasted do not become likelier to fail"
            if fit.model == "weibull" and (fit.shape or 0.0) <= 1
            else "a failure costs too little more than a planned change for how lives scatter"
        )
        return f"No planned change pays: {reason}.{few}"
    share = f"{100 * failing[1]:.2g} % of drills are expected to fail before"
    if limited == "cost":
        return (
            f"Change after {chosen:.0f} holes: {share}, and changes and failures cost "
            f"{100 * (1 - cost / never):.0f} % less than running to failure.{few}"
        )
    more = "more" if cost >= never else "less"
    return (
        f"Change after {chosen:.0f} holes to keep failures to {100 * (risk_cap or 0):g} %: changes "
        f"and failures then cost {100 * abs(1 - cost / never):.0f} % {more} than running to "
        f"failure.{few}"
    )


def _risk_holes(shape: Floats, scale: Floats, model: LifeModel, cap: float) -> float:
    """Holes by which ``cap`` of the drills is expected to have failed, over all draws."""
    low, high = -50.0, float(np.log(scale).max()) + 5.0
    for _ in range(60):
        middle = (low + high) / 2.0
        at = np.array(math.exp(middle))
        failed = float(-np.expm1(_log_lasting(at, shape, scale, model)).mean())
        low, high = (middle, high) if failed <= cap else (low, middle)
    return math.exp(low)


def _log_grid(shape: float, scale: float, model: LifeModel) -> Floats:
    """Log holes from where hardly an edge has failed to where hardly one is left."""
    sigma = 1.0 / shape if model == "weibull" else shape
    low, high = (-16.0, 3.0) if model == "weibull" else (-6.0, 6.0)
    return np.linspace(math.log(scale) + low * sigma, math.log(scale) + high * sigma, _POINTS)


def _log_lasting(holes: Floats, shape: Floats, scale: Floats, model: LifeModel) -> Floats:
    sigma = 1.0 / shape if model == "weibull" else shape
    return log_survival((np.log(holes) - np.log(scale)) / sigma, model)


def _mean(shape: Floats, scale: Floats, model: LifeModel) -> Floats:
    from scipy.special import gammaln

    log = gammaln(1.0 + 1.0 / shape) if model == "weibull" else shape**2 / 2.0
    return np.asarray(np.exp(np.minimum(np.log(scale) + log, 700.0)))


def _holes_run(holes: Floats, shape: Floats, scale: Floats, model: LifeModel) -> Floats:
    """∫₀ᵀ R(t) dt: mean holes of an edge that is changed at T."""
    from scipy.special import gammainc, ndtr

    with np.errstate(under="ignore"):
        if model == "weibull":
            reached = np.exp(np.minimum(shape * (np.log(holes) - np.log(scale)), 600.0))
            return np.asarray(_mean(shape, scale, model) * gammainc(1.0 / shape, reached))
        z = (np.log(holes) - np.log(scale)) / shape
        return np.asarray(holes * ndtr(-z) + _mean(shape, scale, model) * ndtr(z - shape))


def _require_costs(planned_cost: float, failure_cost: float) -> None:
    require(0 < planned_cost < math.inf, "cost of a planned change", planned_cost, "more than 0")
    require(0 < failure_cost < math.inf, "cost of a failure", failure_cost, "more than 0")

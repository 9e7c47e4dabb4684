"""Stop a run now, or drill on; and what the spindle load says of its wear."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from trials.errors import require
from trials.model import Run, Trial
from trials.workbench import _costs
from trials.workbench._money_values import DrillOnAdvice, MoreHoles, SecondWitness
from trials.workbench._shop import Shop

if TYPE_CHECKING:
    from trials.life import LoadWitness

    Told = Callable[[float], None]

_LOOKS = (1, 2, 4)


def drill_on(
    trial: Trial, runs: list[Run], run: Run, *, more_holes: int | None, looks: int | None,
    on_progress: Told | None = None,
) -> DrillOnAdvice:  # fmt: skip
    """Weigh more holes of an open run against stopping now.

    Left out, ``more_holes`` and ``looks`` become one, two and four looks more, as far apart as
    before, within the longest test of the trial.
    """
    from trials.economics import drill_on as weigh
    from trials.life import look_ahead

    require(more_holes is None or more_holes >= 1, "more holes", more_holes, "1 or more")
    require(looks is None or looks >= 1, "looks at the drill", looks, "1 or more")
    last = run.wear[-1].hole if run.wear else 0
    holes = max(run.holes, last)
    currency = trial.economics.currency

    def none(verdict: str) -> DrillOnAdvice:
        return DrillOnAdvice(run.number, holes, (), None, verdict, verdict, currency)

    if run.end is not None:
        return none("The run has ended.")
    worn = _costs.holes_to_wear(trial, run)
    if holes == 0:
        return none("No hole was drilled yet.")
    if worn.kind != "censored":
        return none("The wear limit is reached: end the run as worn.")
    plans = _plans(trial, run, holes, more_holes, looks)
    if not plans:
        return none(
            f"The longest test that this trial allows, {trial.max_test_holes} holes, is reached: "
            "stop here, and its wear is projected where the readings carry that."
        )
    rival = best_other(trial, runs, run)
    choices = []
    for place, (more, often) in enumerate(plans):

        def told(done: int, of: int, place: int = place) -> None:
            if on_progress is not None:
                on_progress((place + done / of) / len(plans))

        look = look_ahead(run.wear, trial.limits, holes, more, often, on_progress=told)
        if look.verdict:
            return none(look.verdict)
        money = weigh(
            trial.economics_of(run.drill), _costs.cycle_min(trial, run), life_low=look.low,
            life_high=look.high, width_then=look.width_then,
            holes_expected=look.holes_expected or 0.0, looks_expected=look.looks_expected or 0.0,
            rival=rival, holes_to_make=trial.holes_to_make,
        )  # fmt: skip
        choices.append(MoreHoles(look, money))
    paying = [one for one in choices if one.money.pays]
    best = max(paying, key=_gain) if paying else None
    return DrillOnAdvice(
        run.number, holes, tuple(choices), best, "",
        _why(choices, best, trial.holes_to_make, currency), currency,
    )  # fmt: skip


def _plans(
    trial: Trial, run: Run, holes: int, more_holes: int | None, looks: int | None
) -> list[tuple[int, int]]:
    if more_holes is not None:
        return [(more_holes, min(looks or 1, more_holes))]
    apart = max(1, round(holes / max(len({one.hole for one in run.wear if one.hole > 0}), 1)))
    room = trial.max_test_holes - holes
    found: list[tuple[int, int]] = []
    for count in _LOOKS if looks is None else (looks,):
        more = min(apart * count, room)
        often = min(count, more)
        if more >= 1 and more not in [plan[0] for plan in found]:
            found.append((more, often))
    return found


def best_other(trial: Trial, runs: list[Run], run: Run) -> float | None:
    """Lowest cost per hole of any other drill or cutting data of the trial; None without one.

    Where edges came to their end their cost counts, elsewhere that of a projection.
    """
    from trials.economics import evidence_of

    mine = (run.drill, run.cutting_data)
    by_drill = _costs.by_drill(trial, runs)
    known = {
        (drill, one.cutting_data): one.cost().total
        for drill, of_drill in by_drill.items()
        for one in evidence_of(drill, of_drill, trial.economics_of(drill), trial.limits)
    }
    for other in runs:
        place = (other.drill, other.cutting_data)
        if other.end != "stopped" or place in known:
            continue
        if _costs.holes_to_wear(trial, other).kind == "projected":
            mark = _costs.run_mark(trial, other)
            if mark.cost is not None:
                known[place] = mark.cost
    return min((cost for place, cost in known.items() if place != mine), default=None)


def _gain(one: MoreHoles) -> float:
    return (one.money.worth or 0.0) - one.money.price


def _why(
    choices: list[MoreHoles], best: MoreHoles | None, holes_to_make: int | None, currency: str
) -> str:
    shown = best or max(choices, key=_gain)
    look, money = shown.look, shown.money
    looks = "one look" if look.looks == 1 else f"{look.looks} looks"
    plan = f"{look.more_holes} more holes with {looks} cost about {money.price:.2f} {currency}"
    if math.isinf(look.width_now):
        return (
            "Stopped now, the readings carry no projection: all that is known is that the edge "
            f"lasts longer. {plan}, and carry one after that in {100 * look.narrowing:.0f} % of "
            "cases. Drill on if this run is to count."
        )
    now = f"Carried on, its wear reaches the limit between hole {look.low:.0f} and {look.high:.0f}."
    narrow = (
        f"{plan} and narrow that from a factor of {look.width_now:.2g} to {look.width_then:.2g}"
    )
    if money.worth is None:
        return (
            f"{now} {narrow}. No other cutting data have a cost yet, so what that is worth cannot "
            "be said in money."
        )
    over = "10,000 holes (the job keeps coming back)" if holes_to_make is None else \
        f"{holes_to_make:,} holes"  # fmt: skip
    worth = f"knowing it is worth about {money.worth:.2f} {currency} over {over}"
    if best is None:
        return f"Stop now and project. {now} {narrow}; {worth}, which is less than it costs."
    return f"Drill on. {now} {narrow}; {worth}."


def second_witness(shop: Shop, trial: Trial, runs: list[Run], run: Run) -> SecondWitness:
    """Hold load against wear in the runs at the same cutting data, and ask it for this run."""
    from trials.life import load_witness

    alike = [
        one
        for one in runs
        if (one.drill, one.cutting_data) == (run.drill, run.cutting_data) and one.wear
    ]
    peaks = {one.number: _peaks(shop, trial.name, one) for one in alike}
    found = load_witness([(one.wear, peaks[one.number]) for one in alike], trial.limits)
    if not found.tracks:
        return SecondWitness(found, None, found.why)
    return _with_load(trial, run, found, peaks.get(run.number, []))


def _with_load(
    trial: Trial, run: Run, found: LoadWitness, peaks: list[float]
) -> SecondWitness:  # fmt: skip
    from trials.life import holes_to_wear

    alone = _costs.holes_to_wear(trial, run)
    points = found.points(peaks)
    last = run.wear[-1].hole if run.wear else 0
    if alone.kind != "projected":
        return SecondWitness(found, None, found.why)
    if not any(point.hole > last for point in points):
        said = "It adds nothing here: the drill was looked at after the last hole."
        return SecondWitness(found, None, f"{found.why} {said}")
    together = holes_to_wear(run.wear, trial.limits, run.end, max(run.holes, last), witness=points)
    if together.holes is None or together.high is None:
        return SecondWitness(found, None, f"{found.why} With it nothing can be projected.")
    return SecondWitness(
        found, together,
        f"{found.why} With it the limit is expected near hole {together.holes:.0f}, between "
        f"{together.low:.0f} and {together.high:.0f}.",
    )  # fmt: skip


def _peaks(shop: Shop, trial: str, run: Run) -> list[float]:
    from trials.workbench._edits import mended_holes

    holes = mended_holes(shop, trial, run.number)
    return [] if holes.empty else [float(peak) for peak in holes["peak_pct"]]

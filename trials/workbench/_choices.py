"""Which drill for this run of parts, and whether to regrind."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from trials.model import Run, Trial, WearReading
from trials.workbench import _costs
from trials.workbench._kept import kept
from trials.workbench._money_values import RunSizeAdvice

if TYPE_CHECKING:
    from trials.economics import DiallingIn, DrillEvidence, RegrindAdvice


def run_size(
    trial: Trial, runs: list[Run], *, holes: int | None, count_tests: bool,
    on_progress: Callable[[float], None] | None = None,
) -> RunSizeAdvice:  # fmt: skip
    """Cost of the job against its size for each drill, the price of its tests inside or not."""
    return kept(
        "run size", (trial, tuple(runs), holes, count_tests),
        lambda: _run_size(trial, runs, holes, count_tests, on_progress or _nobody),
    )  # fmt: skip


def _nobody(_: float) -> None:
    """Nobody wants to know how far it is."""


def _run_size(
    trial: Trial, runs: list[Run], holes: int | None, count_tests: bool,
    told: Callable[[float], None],
) -> RunSizeAdvice:  # fmt: skip
    from trials.economics import Offer, evidence_of
    from trials.economics import run_size as against_size

    by_drill = _costs.by_drill(trial, runs)
    offers, without, dialled = [], [], []
    for place, drill in enumerate(trial.drills):
        told(0.7 * place / len(trial.drills))
        name = drill.name
        found = evidence_of(name, by_drill[name], trial.economics_of(name), trial.limits)
        if not found:
            known = [run for run in by_drill[name] if run.holes > 0]
            why = "every edge was stopped early" if known else "no run has ended"
            without.append(f"{name}: {why}, so its holes have no cost yet.")
            continue
        tests = sum(money.total for money in _costs.money_of_runs(trial, runs, name))
        offers.append(Offer(found[0], tests if count_tests else 0.0))
        paid = _dialling_in(found, by_drill[name], tests, holes)
        if paid is not None:
            dialled.append(paid)
    return RunSizeAdvice(
        against_size(offers, holes, on_progress=lambda share: told(0.7 + 0.3 * share))
        if offers else None, tuple(dialled), tuple(without),
        count_tests,
    )  # fmt: skip


def _dialling_in(
    found: list[DrillEvidence], runs: list[Run], tests: float, holes: int | None
) -> DiallingIn | None:
    """The first cutting data of a drill against its best; None when they are the same."""
    from trials.economics import dialling_in

    known = {one.cutting_data: one for one in found}
    first = next((run.cutting_data for run in runs if run.cutting_data in known), None)
    if first is None or len(known) < 2:
        return None
    return dialling_in(known[first], found[0], tests, holes)


def regrind_advice(trial: Trial, runs: list[Run], run: Run) -> RegrindAdvice:
    """What to do with the edge of a run, from its last reading and what it costs."""
    from trials.economics import evidence_of
    from trials.economics import regrind_advice as advice

    economics = trial.economics_of(run.drill)
    found = evidence_of(run.drill, _costs.by_drill(trial, runs)[run.drill], economics, trial.limits)
    here = next((one for one in found if one.cutting_data == run.cutting_data), None)
    return advice(
        economics,
        _as_it_stands(run),
        end=run.end, regrinds_done=run.regrinds_done,
        holes_per_edge=None if here is None else here.life, wear_limit_mm=trial.limits,
    )  # fmt: skip


def _as_it_stands(run: Run) -> WearReading | None:
    """The newest value of every kind of wear in one reading; a blank one has not gone.

    None when nothing was measured.
    """
    newest: dict[str, float] = {}
    for reading in run.wear:
        for kind in ("vb_average_mm", "vb_maximum_mm", "corner_chipping_mm", "margin_chipping_mm"):
            value = getattr(reading, kind)
            if value is not None:
                newest[kind] = value
    if not newest:
        return None
    average, maximum = newest.get("vb_average_mm"), newest.get("vb_maximum_mm")
    if average is not None and maximum is not None:
        maximum = max(maximum, average)  # an older maximum can lie below a newer average
    return WearReading(
        run.wear[-1].hole, average, maximum, newest.get("corner_chipping_mm"),
        newest.get("margin_chipping_mm"),
    )  # fmt: skip

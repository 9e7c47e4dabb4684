"""Which drill for this run of parts, and whether to regrind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trials.model import Run, Trial
from trials.workbench import _costs
from trials.workbench._money_values import RunSizeAdvice

if TYPE_CHECKING:
    from trials.economics import DiallingIn, DrillEvidence, RegrindAdvice


def run_size(
    trial: Trial, runs: list[Run], *, holes: int | None, count_tests: bool
) -> RunSizeAdvice:
    """Cost of the job against its size for each drill, the price of its tests inside or not."""
    from trials.economics import Offer, evidence_of
    from trials.economics import run_size as against_size

    by_drill = _costs.by_drill(trial, runs)
    offers, without, dialled = [], [], []
    for drill in trial.drills:
        name = drill.name
        found = evidence_of(name, by_drill[name], trial.economics_of(name))
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
        against_size(offers, holes) if offers else None, tuple(dialled), tuple(without),
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
    found = evidence_of(run.drill, _costs.by_drill(trial, runs)[run.drill], economics)
    here = next((one for one in found if one.cutting_data == run.cutting_data), None)
    return advice(
        economics,
        next((one for one in reversed(run.wear) if one.largest_mm is not None), None),
        end=run.end, regrinds_done=run.regrinds_done,
        holes_per_edge=None if here is None else here.life, wear_limit_mm=trial.wear_limit_mm,
    )  # fmt: skip

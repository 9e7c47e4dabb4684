"""Plan a run, note wear, end it."""

from __future__ import annotations

from dataclasses import replace

from trials import mechanics
from trials.errors import ConflictError, InputError, require
from trials.model import ENDS, CuttingData, Drill, End, Origin, Run, RunState, Trial, WearReading
from trials.workbench._shop import Shop


def check_machine(trial: Trial, drill: Drill, cutting_data: CuttingData) -> None:
    """Refuse cutting data that the machine cannot drive or that would overload it when sharp.

    Also what the drill's maker forbids. Speed, feed rate, power or torque (by the catalogue's
    specific cutting force, at most 100 % of the rating) and thrust, where its limit is known.

    Raises:
        InputError: names every limit that would be passed.
    """
    machine = trial.machine
    problems = mechanics.within_machine(cutting_data, drill.diameter_mm, machine)
    problems += drill.forbidden(cutting_data)
    load = mechanics.expected_load_pct(cutting_data, drill, trial.work, machine)
    if load > 100.0:
        problems.append(
            f"a sharp drill would load the spindle of {machine.name} with about {load:.0f} % of "
            "its rating, and 100 % is the most"
        )
    thrust = mechanics.expected_thrust_n(cutting_data, drill, trial.work)
    if machine.max_thrust_n is not None and thrust > machine.max_thrust_n:
        problems.append(
            f"the thrust would be about {thrust:.0f} N; {machine.name} bears at most "
            f"{machine.max_thrust_n:g} N"
        )
    if problems:
        raise InputError(
            f"cutting data beyond the machine or the drill: {'; '.join(problems)}",
            do="Lower speed or feed. Load and thrust rest on catalogue values of "
            f"{trial.work.material}: correct those, or the machine's, if they are known better.",
        )


def plan_run(
    shop: Shop,
    trial: str,
    cutting_data: CuttingData,
    *,
    drill: str | None,
    origin: Origin,
    note: str,
    only_if_none_planned: bool = False,
    batch: str = "",
    machine: str = "",
    regrinds_done: int = 0,
    test_holes: int | None = None,
) -> Run:
    """Check against the machine, then number and store."""
    stored = shop.store.trial(trial).trial
    check_machine(stored, stored.drill(drill), cutting_data)
    return shop.store.add_run(
        trial, cutting_data, drill=drill, origin=origin, note=note,
        only_if_none_planned=only_if_none_planned, batch=batch.strip(), machine=machine.strip(),
        regrinds_done=regrinds_done, test_holes=test_holes,
    ).run  # fmt: skip


def add_wear(
    shop: Shop, trial: str, number: int | None, reading: WearReading, version: int | None
) -> Run:
    """Store a wear reading, of a hole that was drilled."""
    run = shop.store.run(trial, number).run
    if run.state in ("drilled", "ended"):
        require(reading.hole <= run.holes, "hole number of the wear reading", reading.hole,
                f"at most {run.holes}, the holes of run {run.number}",
                "Did the logger miss holes? Then end the run with the number that was counted."
                )  # fmt: skip
    return shop.store.add_wear(trial, run.number, reading, version=version).run


def end_run(
    shop: Shop,
    trial: str,
    number: int | None,
    end: End,
    *,
    holes: int | None,
    note: str,
    version: int | None,
) -> Run:
    """Store how a run ended; the recording, when there is one, is finished."""
    require(end in ENDS, "end of run", end, "one of " + ", ".join(ENDS))
    require(holes is None or holes >= 0, "holes drilled", holes, "0 or more")

    def ended(run: Run) -> Run:
        if run.state == "ended":
            raise ConflictError(
                f"run {run.number} of {trial} has already ended: {run.end}",
                do="Nothing was changed.",
            )
        if run.state == "planned":
            require(holes is not None, f"holes drilled in run {run.number}", "none given",
                    "a number, because nothing was recorded",
                    "Give the number of holes that were drilled.")  # fmt: skip
        drilled = run.holes if holes is None else holes
        last = run.wear[-1].hole if run.wear else 0
        require(drilled >= last, f"holes drilled in run {run.number}", drilled,
                f"at least {last}, the hole of its last wear reading")  # fmt: skip
        return replace(run, state="ended", end=end, holes=drilled, note=note or run.note)

    return shop.store.change_run(trial, number, ended, version=version).run


def reopen_run(shop: Shop, trial: str, number: int, version: int | None) -> Run:
    """Take an end back; figures come from the holes that stand."""
    from trials.workbench._edits import mended_holes

    recording = shop.recording(trial, number)
    counted = 0 if recording is None else len(mended_holes(shop, trial, number))

    def opened(run: Run) -> Run:
        if run.state != "ended":
            raise ConflictError(
                f"run {run.number} of {trial} has not ended: it is {run.state}",
                do="Nothing was changed.",
            )
        last = run.wear[-1].hole if run.wear else 0
        state: RunState = "planned" if recording is None else "drilled"
        return replace(run, state=state, end=None, holes=max(counted, last))

    return shop.store.change_run(trial, number, opened, version=version).run

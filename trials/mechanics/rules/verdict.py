"""What a rule looks at, and what it says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, Literal, get_args

from trials.errors import InputError
from trials.mechanics.catalogue import Catalogue, Material, flute_length_mm, material_of
from trials.mechanics.start import Start, first_cutting_data
from trials.mechanics.start_limits import NoStartError
from trials.mechanics.tolerance import HoleTolerance, read_tolerance
from trials.model import Drill, HoleFeature, Machine, Trial, Work

Outcome = Literal["fits", "fits with a condition", "does not fit"]
OUTCOMES: tuple[Outcome, ...] = get_args(Outcome)
PRACTICE = "common practice, no source"
NOT_JUDGED = "cannot be judged: there are no cutting data to begin with"
# Lengths that differ by less than this share are the same: values come from inch and back.
SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Change:
    """One change that would make a drill fit: in words, and applied to a trial."""

    text: str
    apply: Callable[[Trial], Trial]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one rule says of one drill.

    Args:
        rule: its name.
        outcome: fits, fits with a condition, or does not fit.
        reason: why; with a condition, which.
        value, limit: what was looked at, and what was asked of it.
        source: of the limit.
        changes: what would make it fit.
        overruled: who overruled it and why; empty when nobody did.
    """

    rule: str
    outcome: Outcome
    reason: str
    value: str
    limit: str
    source: str = PRACTICE
    changes: tuple[Change, ...] = field(default=(), compare=False, repr=False)
    overruled: str = ""


@dataclass(frozen=True, slots=True)
class Case:
    """One drill in one trial, with everything that rules ask for.

    Args:
        start: first cutting data; None when there are none, and then ``no_start`` says why.
    """

    trial: Trial
    drill: Drill
    catalogue: Catalogue
    material: Material
    flutes_mm: float | None
    tolerance: HoleTolerance | None
    tolerance_problem: str
    start: Start | None
    no_start: NoStartError | None

    @property
    def hole(self) -> HoleFeature:
        """The hole that is wanted."""
        return self.trial.hole

    @property
    def work(self) -> Work:
        """The work material."""
        return self.trial.work

    @property
    def machine(self) -> Machine:
        """The machine."""
        return self.trial.machine


def look_at(trial: Trial, drill: Drill, catalogue: Catalogue) -> Case:
    """Work out what the rules ask for.

    Raises:
        InputError: the catalogue has no such material.
    """
    start, no_start = None, None
    try:
        start = first_cutting_data(
            drill, trial.work, trial.hole, trial.machine, load_limit_pct=trial.load_limit_pct,
            catalogue=catalogue,
        )  # fmt: skip
    except NoStartError as error:
        no_start = error
    tolerance, problem = None, ""
    try:
        tolerance = read_tolerance(trial.hole.tolerance, trial.hole.diameter_mm)
    except InputError as error:
        problem = str(error)
    return Case(
        trial, drill, catalogue, material_of(trial.work, catalogue),
        flute_length_mm(drill, catalogue), tolerance, problem, start, no_start,
    )  # fmt: skip


def with_drill(name: str, **changed: Any) -> Callable[[Trial], Trial]:
    """The trial with some values of one drill changed."""

    def apply(trial: Trial) -> Trial:
        drills = tuple(
            replace(drill, **changed) if drill.name == name else drill for drill in trial.drills
        )
        return replace(trial, drills=drills)

    return apply


def with_machine(**changed: Any) -> Callable[[Trial], Trial]:
    """The trial on another machine."""
    return lambda trial: replace(trial, machine=replace(trial.machine, **changed))


def with_hole(**changed: Any) -> Callable[[Trial], Trial]:
    """The trial with another hole."""
    return lambda trial: replace(trial, hole=replace(trial.hole, **changed))


def both(*changes: Callable[[Trial], Trial]) -> Callable[[Trial], Trial]:
    """Several changes, one after the other."""

    def apply(trial: Trial) -> Trial:
        for change in changes:
            trial = change(trial)
        return trial

    return apply


def mm(value: float) -> str:
    """A length in a sentence, so that it can be read in inch as well."""
    return f"{round(value, 3):g} mm"

"""Does a candidate drill suit the hole? One verdict a rule, each with its reason and source."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from trials.errors import InputError
from trials.mechanics.catalogue import Catalogue, shipped_catalogue
from trials.mechanics.rules import NEVER_OVERRULED, OUTCOMES, RULES, Change, Outcome, Verdict
from trials.mechanics.rules.verdict import look_at
from trials.mechanics.start import Start
from trials.model import Drill, Overrule, Trial

RULE_NAMES = (
    "flute length", "shortest that reaches", "slenderness", "buckling", "depth", "pilot hole",
    "spot hole", "breakthrough", "substrate", "form", "coating", "point", "helix", "tolerance",
    "maker's range", "spindle speed", "feed rate", "torque and power", "thrust",
    "coolant pressure",
)  # fmt: skip
_MOST_CHANGES = 4
_MOST_LOOKS = 600


@dataclass(frozen=True, slots=True)
class Screening:
    """All verdicts on one drill.

    Args:
        drill: which.
        verdicts: one for each rule.
        start: its first cutting data; None when there are none.
    """

    drill: Drill
    verdicts: tuple[Verdict, ...]
    start: Start | None

    @property
    def outcome(self) -> Outcome:
        """The worst outcome; one that a person overruled counts as a condition."""
        found = {
            "fits with a condition"
            if verdict.overruled and verdict.outcome == "does not fit"
            else verdict.outcome
            for verdict in self.verdicts
        }
        return next(outcome for outcome in reversed(OUTCOMES) if outcome in found)

    @property
    def conditions(self) -> tuple[Verdict, ...]:
        """Verdicts with a condition, and those that were overruled."""
        return tuple(
            verdict
            for verdict in self.verdicts
            if verdict.outcome == "fits with a condition" or verdict.overruled
        )

    @property
    def against(self) -> tuple[Verdict, ...]:
        """Verdicts that speak against the drill and were not overruled."""
        return tuple(
            verdict
            for verdict in self.verdicts
            if verdict.outcome == "does not fit" and not verdict.overruled
        )


@dataclass(frozen=True, slots=True)
class WayOut:
    """Changes that together make a drill fit that does not.

    Args:
        changes: in words, as few as will do.
        trial: with those changes.
    """

    changes: tuple[str, ...]
    trial: Trial


def screen(trial: Trial, catalogue: Catalogue | None = None) -> list[Screening]:
    """Screen every drill of the trial against its hole, work and machine, best outcome first.

    Raises:
        InputError: the catalogue has no such material.
    """
    found = [screen_drill(trial, drill, catalogue) for drill in trial.drills]
    return sorted(found, key=lambda one: (OUTCOMES.index(one.outcome), len(one.against)))


def screen_drill(trial: Trial, drill: Drill, catalogue: Catalogue | None = None) -> Screening:
    """Every verdict on one drill."""
    case = look_at(trial, drill, catalogue or shipped_catalogue())
    overruled = {one.rule: one for one in trial.overruled if one.drill == drill.name}
    verdicts = []
    for rule in RULES:
        verdict = rule(case)
        by = overruled.get(verdict.rule)
        if by is not None and verdict.rule not in NEVER_OVERRULED:
            who = f"{by.by}: " if by.by else ""
            verdict = replace(verdict, overruled=f"{who}{by.why}")
        verdicts.append(verdict)
    return Screening(drill, tuple(verdicts), case.start)


def check_overrule(overrule: Overrule) -> None:
    """Refuse to overrule what is no rule, or what the machine cannot do.

    Raises:
        InputError: says which rules there are.
    """
    if overrule.rule in NEVER_OVERRULED:
        raise InputError(
            "rule to overrule", got=overrule.rule, allowed="any but "
            + ", ".join(NEVER_OVERRULED),
            do="A machine's limits stay. If they are entered wrongly, correct the machine.",
        )  # fmt: skip
    if overrule.rule not in RULE_NAMES:
        names = ", ".join(name for name in RULE_NAMES if name not in NEVER_OVERRULED)
        raise InputError("rule to overrule", got=overrule.rule, allowed=f"one of {names}")


def ways_out(
    trial: Trial, drill: Drill, catalogue: Catalogue | None = None, *, most: int = 3
) -> list[WayOut]:
    """What to change so that a drill fits: the fewest changes first, each way tried out.

    Args:
        trial, drill: what does not fit.
        catalogue: the shop's.
        most: so many ways.

    Returns:
        Ways that were screened again and fit, with or without conditions; empty when no few
        changes help. Then the verdicts say what another kind of tool or hole would be.
    """
    catalogue = catalogue or shipped_catalogue()
    waiting: list[tuple[tuple[str, ...], Trial]] = [((), trial)]
    seen: set[str] = set()
    found: list[WayOut] = []
    looks = 0
    while waiting and looks < _MOST_LOOKS:
        done, now = waiting.pop(0)
        if len(done) > _MOST_CHANGES or (found and len(done) > len(found[0].changes) + 1):
            break
        if any(set(one.changes) <= set(done) for one in found):
            continue  # more than is needed
        looks += 1
        try:
            screening = screen_drill(now, now.drill(drill.name), catalogue)
        except InputError:
            continue  # a change led to something the catalogue does not have
        if not screening.against:
            if done:
                found.append(WayOut(done, now))
            if len(found) >= most:
                return found
            continue
        for change in _changes(screening.against):
            after = _applied(change, now)
            if after is not None and repr(after) not in seen:
                seen.add(repr(after))
                waiting.append(((*done, change.text), after))
    return found


def _changes(against: Sequence[Verdict]) -> list[Change]:
    """Changes for the rule with the fewest ways to mend it: each of the others waits its turn."""
    return list(min(against, key=lambda verdict: len(verdict.changes)).changes)


def _applied(change: Change, trial: Trial) -> Trial | None:
    """The changed trial; None where the change leaves everything, or cannot be."""
    try:
        after = change.apply(trial)
    except InputError:
        return None
    return None if after == trial else after

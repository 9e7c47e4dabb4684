"""Earlier trials of the same shop that are like a trial, and how much alike they are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from trials.model import Drill, Economics, Run, Trial

# Shares of likeness from common practice, no source: a life carries over best to the same drill in
# the same material, and each thing that differs takes some of it.
OTHER_DRILL_OF_TRIAL = 0.6
_OTHER_COATING, _OTHER_COOLANT, _OTHER_WEAR_LIMIT, _UNKNOWN_HARDNESS = 0.8, 0.8, 0.8, 0.8
# Farthest ratio that still counts as like, and what is left of the likeness there.
_HARDNESS, _DIAMETER, _DEPTH = (1.25, 0.6), (1.5, 0.6), (1.6, 0.7)
_LEAST = 0.25
# Earlier runs count less with each run of one's own; fewer of them are asked then, which is faster.
_MOST_TRIALS, _MOST_RUNS, _FEWEST_RUNS = 4, 40, 12
_SAME = 0.02

# An earlier trial tells of lives and loads; what it cost is nobody's business here.
NO_PRICES = Economics(machine_rate_per_min=1.0)


def likeness(mine: Trial, drill: Drill, theirs: Trial, other: Drill) -> tuple[float, str]:
    """How much a drill's job in another trial is like this one, 0 to 1, and in which way.

    0 for another substrate or form, ISO group, a hardness more than a quarter away, a diameter more
    than half as large again, another kind of depth, or invented data beside real ones.
    """
    shares: list[float] = []
    said: list[str] = []
    if (
        mine.invented != theirs.invented
        or mine.work.group != theirs.work.group
        or (drill.substrate, drill.form) != (other.substrate, other.form)
    ):
        return 0.0, ""
    if drill.coating != other.coating:
        shares.append(_OTHER_COATING)
        said.append(f"{_words(other.coating)} instead of {_words(drill.coating)}")
    else:
        same = drill.name.casefold() == other.name.casefold()
        said.append("the same drill" if same else f"the same kind of drill ({drill.substrate})")
    shares.append(_material(mine, theirs, said))
    for (most, left), here, there, text in (
        (_DIAMETER, mine.hole.diameter_mm, theirs.hole.diameter_mm,
         f"{theirs.hole.diameter_mm:g} mm instead of {mine.hole.diameter_mm:g} mm"),
        (_DEPTH, mine.hole.depth_xd, theirs.hole.depth_xd,
         f"{theirs.hole.depth_xd:.1f} instead of {mine.hole.depth_xd:.1f} diameters deep"),
    ):  # fmt: skip
        shares.append(_share(here, there, most, left))
        if abs(math.log(there / here)) > _SAME:
            said.append(text)
    if _through_coolant(mine, drill) != _through_coolant(theirs, other):
        shares.append(_OTHER_COOLANT)
        said.append("coolant comes another way")
    if abs(math.log(theirs.wear_limit_mm / mine.wear_limit_mm)) > math.log(1.25):
        shares.append(_OTHER_WEAR_LIMIT)
        said.append(f"worn at {theirs.wear_limit_mm:g} mm instead of {mine.wear_limit_mm:g} mm")
    found = math.prod(shares)
    return (found, ", ".join(said)) if found >= _LEAST else (0.0, "")


def most_alike(
    trial: Trial, drill: Drill, others: Sequence[tuple[Trial, list[Run]]]
) -> list[tuple[float, str, Trial, Drill, list[Run]]]:
    """Jobs with ended runs that are most like this one, the most alike first; not its own runs."""
    found = []
    for theirs, runs in others:
        for other in theirs.drills:
            ended = [run for run in runs if run.drill == other.name and run.end is not None]
            if not ended:
                continue
            if theirs.name == trial.name:
                if other.name == drill.name:
                    continue
                how, why = OTHER_DRILL_OF_TRIAL, "another drill of this trial, in the same hole"
            else:
                how, why = likeness(trial, drill, theirs, other)
            if how > 0:
                found.append((how, why, theirs, other, ended))
    # One's own other drills first, then by likeness; names so that the order is always the same.
    found.sort(key=lambda one: (one[2].name != trial.name, -one[0], one[2].name, one[3].name))
    mine = [run for theirs, runs in others if theirs.name == trial.name for run in runs]
    ended_here = sum(run.drill == drill.name and run.end is not None for run in mine)
    most_runs = max(_FEWEST_RUNS, _MOST_RUNS - ended_here)
    kept: list[tuple[float, str, Trial, Drill, list[Run]]] = []
    runs_kept = others_kept = 0
    for one in found:
        own = one[2].name == trial.name
        if not own and (others_kept == _MOST_TRIALS or runs_kept + len(one[4]) > most_runs):
            continue
        kept.append(one)
        if not own:
            others_kept += 1
            runs_kept += len(one[4])
    return kept


def without_prices(trial: Trial) -> Trial:
    """The trial with neither prices nor the size of its run."""
    drills = tuple(
        replace(drill, price=0.0, regrinds=0, regrind_cost=0.0, life_lost_per_regrind=0.0)
        for drill in trial.drills
    )
    return replace(trial, economics=NO_PRICES, drills=drills, holes_to_make=None)


def _material(mine: Trial, theirs: Trial, said: list[str]) -> float:
    here, there = mine.work, theirs.work
    same = here.material.casefold().split() == there.material.casefold().split()
    share = 1.0
    if here.hardness_hb is not None and there.hardness_hb is not None:
        share = _share(here.hardness_hb, there.hardness_hb, *_HARDNESS)
        hardness = f", {there.hardness_hb:g} HB"
        if abs(math.log(there.hardness_hb / here.hardness_hb)) > _SAME:
            hardness += f" instead of {here.hardness_hb:g} HB"
    else:
        hardness = ""
        share = 1.0 if same else _UNKNOWN_HARDNESS
    said.append(("the same material" if same else there.material) + hardness)
    return share


def _share(here: float, there: float, most: float, left: float) -> float:
    """1 for the same value, ``left`` at the farthest ratio, 0 beyond it."""
    far = abs(math.log(there / here)) / math.log(most)
    return 0.0 if far > 1 + 1e-9 else 1.0 - (1.0 - left) * far


def _through_coolant(trial: Trial, drill: Drill) -> bool:
    return drill.through_coolant and trial.machine.coolant_bar > 0


def _words(name: str) -> str:
    return name.replace("_", " ")

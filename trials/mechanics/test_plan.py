"""How many test holes and runs, and when to look at the drill."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trials.errors import require
from trials.mechanics.catalogue import Catalogue, shipped_catalogue
from trials.mechanics.rough_life import RoughLife
from trials.mechanics.start import Start
from trials.model import Trial

# A start, another speed or feed, and one of them again: fewer runs cannot tell luck from the rest.
# Common practice, no source.
WANTED_RUNS = 3
_NICE = (1, 2, 5, 10, 20, 25, 50)


@dataclass(frozen=True, slots=True)
class TestPlan:
    """A test before it is drilled.

    Args:
        holes_at_hand: test holes that the work material at hand allows; None when not said.
        runs: how many runs that gives.
        holes_a_run: no run is longer.
        looks: hole numbers after which to look at the drill, first and last in it.
        look_every: holes between looks.
        life: what the interval was chosen from; None when nothing is known.
        machine_min: time of all those holes.
        why: sentences.
    """

    __test__ = False  # not a test, whatever its name begins with

    holes_at_hand: int | None
    runs: int
    holes_a_run: int
    looks: tuple[int, ...]
    look_every: int
    life: RoughLife | None
    machine_min: float
    why: tuple[str, ...]


def plan_test(
    trial: Trial,
    start: Start,
    life: RoughLife | None,
    holes_at_hand: int | None = None,
    catalogue: Catalogue | None = None,
) -> TestPlan:
    """Plan the runs of a test.

    Args:
        trial: its ``max_test_holes`` is the longest run.
        start: first cutting data of the drill.
        life: rough life of an edge; None takes the longest run for it.
        holes_at_hand: test holes that the work material allows; None leaves it open.
        catalogue: the shop's.

    Raises:
        InputError: not even one hole.
    """
    require(holes_at_hand is None or holes_at_hand >= 1, "test holes at hand", holes_at_hand,
            "1 or more")  # fmt: skip
    rules = (catalogue or shipped_catalogue()).test
    why: list[str] = []
    longest = trial.max_test_holes
    expected = longest if life is None else max(1, math.ceil(life.middle))
    a_run = min(longest, holes_at_hand or longest)
    if holes_at_hand is None:
        runs = WANTED_RUNS
        why.append(
            f"{runs} runs are planned: a start, another speed or feed, and one of them again. Say "
            "how much work material there is to see whether it is enough."
        )
    else:
        runs = max(1, holes_at_hand // min(a_run, expected))
        runs = min(runs, 12)
        why.append(_enough(runs, holes_at_hand, min(a_run, expected)))
        a_run = max(1, min(a_run, holes_at_hand // runs)) if runs >= WANTED_RUNS else a_run
    why.append(_ends(a_run, life, longest))
    every = _interval(a_run, life, rules.looks)
    looks = sorted({1, *range(every, a_run + 1, every), a_run})
    why.append(
        f"Look at the drill after hole 1 and then every {every}: about {rules.looks} looks over "
        "the life expected, and at least two before the shortest one is over."
    )
    holes = a_run * runs if holes_at_hand is None else min(a_run * runs, holes_at_hand)
    return TestPlan(holes_at_hand, runs, a_run, tuple(looks), every, life,
                    holes * start.time.cycle_min, tuple(why))  # fmt: skip


def _enough(runs: int, at_hand: int, a_run: int) -> str:
    if runs >= WANTED_RUNS:
        return f"{at_hand:,} test holes at hand allow {runs} runs of about {at_hand // runs:,}."
    lacking = WANTED_RUNS * a_run - at_hand
    word = "one run" if runs == 1 else f"{runs} runs"
    return (
        f"{at_hand:,} test holes at hand allow {word} of about {a_run:,}; three would tell more, "
        f"and take about {lacking:,} holes more. Good parts of the job can be test holes too."
    )


def _ends(a_run: int, life: RoughLife | None, longest: int) -> str:
    if life is None:
        return f"How long an edge lasts is not known; a run ends after {longest:,} holes."
    span = f"{life.low:,.0f} to {life.high:,.0f} holes ({life.source})"
    if a_run >= life.high:
        return f"An edge may last {span}: a run will probably see its end."
    if a_run >= life.middle:
        return f"An edge may last {span}: about half of the runs will see their end."
    return (
        f"An edge may last {span}: most runs will be stopped at {a_run:,} holes, before their end. "
        "A stopped run says that the edge lasts longer, not how long; wear read at each look tells "
        "more."
    )


def _interval(a_run: int, life: RoughLife | None, looks: int) -> int:
    middle = a_run if life is None else min(a_run, life.middle)
    wanted = middle / looks
    if life is not None:
        wanted = min(wanted, life.low / 2.0)
    power = 10 ** max(0, math.floor(math.log10(max(wanted, 1.0))) - 1)
    steps = [step * power for step in _NICE if step * power <= max(wanted, 1.0)]
    return max(1, min(max(steps, default=1), a_run))

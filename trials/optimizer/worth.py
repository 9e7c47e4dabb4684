"""Which test is worth most: what it saves beyond its price and what it may break."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trials.model import CuttingData
from trials.optimizer.belief import Belief, Log, Outlook
from trials.optimizer.candidates import apart, opened_by
from trials.optimizer.expectation import Money, edge_and_breakage, high_load_pct
from trials.optimizer.gaussian import Floats
from trials.optimizer.length import told
from trials.optimizer.lookahead import PlacesToProduce, PlacesToTest, expected_gain
from trials.optimizer.view import (
    HOLES_OF_A_RECURRING_JOB,
    LITTLE_RISK,
    RISK_TO_PRODUCE,
    STEP_TO_PRODUCE,
    View,
)

# Some questions are only answered by several tests at one place, such as whether a cliff that one
# edge in five would survive is near; then each of them is worth its share of what all are.
_SEVERAL_TESTS = 3
# A broken drill weighs this many times its money, which does not count that pieces may fly.
_WEIGHT_OF_RISK = 1.5
# How many candidates are weighed against each other, and how far apart in logarithms at least.
_CHOICES, _CHOICES_NOW, _CHOICES_APART = 150, 50, 0.04
# A test that hope itself puts this far above the cheapest tried tells of nothing that counts.
_TESTS_APART, _HOPELESS = 0.06, 2.0
# Nor does one that takes less than this share off the cost: what is left of its worth is how calm
# it is.
_TELLS_OF_NOTHING = 2e-4
# Tests that load the spindle differently by half of that are apart as well; and how many are looked
# at in each band of loads, of this width in logarithms.
_LOAD_APART, _BAND, _TESTS_IN_A_BAND = 2.0, 0.15, 40
# What was shown to be endlessly hot counts as this load.
_HOTTEST_PCT = 1e4


@dataclass(frozen=True, slots=True)
class Worth:
    """What tests are worth: fall of the cost of a hole, −inf where not looked; and breakages."""

    gain: Floats
    breaks: Floats

    def net(self, holes: int, loss: float) -> Floats:
        """Money saved over so many holes beyond what may break."""
        result: Floats = np.maximum(self.gain, 0.0) * holes - loss * self.breaks
        return result


def best_test(view: View) -> int:
    """The candidate whose test is worth most."""
    return best_test_believing(view, view.belief, view.outlook, view.money)


def best_test_believing(
    view: View, belief: Belief, outlook: Outlook, spending: Money,
    planned: Sequence[CuttingData] = (),
) -> int:  # fmt: skip
    """The candidate whose test is worth most beyond its price and what it may break.

    What ``planned`` tests are to open is no merit of another one.

    Where no test pays for this job, one that would for a job that comes back; where none does, its
    price weighs less, then nothing, then, while no edge has failed, what it may break a tenth.
    Where no test tells of anything, the one that tells most of those that hardly risk more than bad
    luck. A job larger than one that comes back risks no more drills: what a test may save is hoped
    for, and the more holes multiply hope, the bolder the tests get without finding the cheapest
    sooner.
    """
    once, several = worths(view, belief, outlook, spending, planned)
    gain = np.maximum(once.gain, several.gain / _SEVERAL_TESTS)
    tells = gain > _TELLS_OF_NOTHING * view.cost.min()
    economics = view.problem.economics
    loss = _WEIGHT_OF_RISK * (economics.breakage_cost + economics.drill_price)
    price = _prices(view, spending, outlook.life)
    large = HOLES_OF_A_RECURRING_JOB
    ways = [(min(view.holes, large), 1.0), (large, 1.0), (large, 0.1), (large, 0.0)]
    if not view.some_edge_failed:
        ways.append((10 * large, 0.0))
    for holes, share in ways:
        worth = np.maximum(once.net(holes, loss), several.net(holes, loss) / _SEVERAL_TESTS)
        net = np.where(tells, worth - share * price, -np.inf)
        if (net > 0).any():
            return view.first_of(net / view.cost.min())
    score = np.where(view.testable, np.maximum(gain, -1.0) / view.cost.min(), -np.inf)
    return view.calmly(score, LITTLE_RISK)


def _prices(view: View, spending: Money, life: Log) -> Floats:
    """Price of the longest test of each candidate, as `price_of_test`."""
    if view.problem.test_cost is not None:
        return np.full(len(view.candidates), float(view.problem.test_cost))
    holes = np.minimum(np.exp(life.mean), view.problem.max_test_holes)
    result: Floats = spending.per_hole * holes + spending.per_edge
    return result


def worths(
    view: View, belief: Belief, outlook: Outlook, spending: Money,
    planned: Sequence[CuttingData] = (),
) -> tuple[Worth, Worth]:  # fmt: skip
    """What one test of each candidate is worth and may break, and what several are."""
    life = outlook.life
    hopeful = spending.at(life.mean + life.known_sd) / view.cost.min()
    open_now = view.open_now
    if planned:
        open_now = open_now | opened_by(
            view.problem, view.candidates, planned, STEP_TO_PRODUCE
        ).any(axis=1)
    choices = _choices(view, outlook, spending, hopeful, open_now)
    tests = places_to_test(view, outlook, hopeful)
    count = len(view.candidates)
    once, several = (Worth(np.full(count, -np.inf), np.zeros(count)) for _ in range(2))
    if not len(tests):
        return once, several
    at_choices = [view.candidates[i] for i in choices.tolist()]
    at_tests = [view.candidates[i] for i in tests.tolist()]
    high = high_load_pct(outlook)
    tried = view.indices_of([*planned, *view.tried])
    hottest = float(high[tried].max()) if tried else 0.0
    longest = math.log(view.problem.max_test_holes)
    shares = np.exp(np.minimum(longest - life.mean[tests], 0.0))
    opened = opened_by(view.problem, at_choices, at_tests, STEP_TO_PRODUCE)
    may_follow = high[choices][:, None] <= np.maximum(high[tests], hottest)[None, :]
    told_of_life = told(outlook, view.problem.max_test_holes)[tests]
    explanations = belief.life_explanations(at_choices, at_tests)
    edge, breakage = edge_and_breakage(view.problem)

    def for_a_life(edges: Floats, breaks: Floats) -> Floats:
        return spending.weighed(edge * edges + breakage * breaks)

    counts = (1, _SEVERAL_TESTS)
    ends = belief.failing_after(at_choices, at_tests, shares, counts)
    for times, after, worth in zip(counts, ends, (once, several), strict=True):
        worth.breaks[tests] = after.breaks
        worth.gain[tests] = expected_gain(
            PlacesToTest(
                per_hole=spending.per_hole[tests],
                if_survived=for_a_life(after.own_edges_survived, after.own_breaks_survived),
                survives=after.survives,
                told=told_of_life,
            ),
            PlacesToProduce(
                per_hole=spending.per_hole[choices],
                per_edge=spending.per_edge[choices],
                if_survived=for_a_life(after.edges_survived, after.breaks_survived),
                if_failed=for_a_life(after.edges_failed, after.breaks_failed),
                open_now=open_now[choices],
                opened=opened,
                may_follow=may_follow,
            ),
            explanations,
            # Tests that are stopped tell hardly more together than one of them.
            life.scatter_sd / np.sqrt(1.0 + (times - 1) * told_of_life),
        )
    return once, several


def places_to_test(view: View, outlook: Outlook, hopeful: Floats) -> NDArray[np.int64]:
    """What may be tested: the most hopeful of each band of loads.

    Thinned before the limit is looked at: so a tighter limit only takes tests away, and what is
    too hot does not crowd out what is not.
    """
    log_load = np.log(np.minimum(high_load_pct(outlook), _HOTTEST_PCT))
    places = np.column_stack([view.features, _LOAD_APART * log_load])
    promising = hopeful <= _HOPELESS * view.cheapest_tried() / view.cost.min()
    score = np.where(view.bold_enough & promising, hopeful, np.inf)
    tests = apart(places, score, len(score), _TESTS_APART)
    band = np.floor(log_load[tests] / _BAND)
    kept = [tests[band == one][:_TESTS_IN_A_BAND] for one in np.unique(band)]
    tests = np.concatenate([*kept, tests[:0]])
    return tests[view.testable[tests]]


def _choices(
    view: View, outlook: Outlook, spending: Money, hopeful: Floats, open_now: NDArray[np.bool_]
) -> NDArray[np.int64]:
    """What may be recommended: the cheapest of what is open, and all that may come to be."""
    failing = outlook.failing
    calm = failing.p_fail <= failing.luck + RISK_TO_PRODUCE
    steps = view.within & calm
    cost = spending.expected(outlook.life) / view.cost.min()
    now = _apart(view, steps & open_now, cost, _CHOICES_NOW, _CHOICES_APART)
    later = _apart(view, steps, hopeful, _CHOICES, _CHOICES_APART)
    return np.union1d(now, later)


def _apart(
    view: View, among: NDArray[np.bool_], score: Floats, most: int, distance: float
) -> NDArray[np.int64]:
    return apart(view.features, np.where(among, score, np.inf), most, distance)

"""What must hold for lives, wear and change intervals whatever the numbers."""

from __future__ import annotations

import math
import random
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from trials.life import (
    Life,
    LifeModel,
    WearPoint,
    age_replacement,
    cumulative_incidence,
    fit_lives,
    fit_wear_curve,
    holes_to_wear,
    kaplan_meier,
    replacement_cost_per_hole,
    round_interval,
)
from trials.model import End, WearReading

# A fit takes milliseconds, on a busy computer many more.
slow = settings(deadline=None, max_examples=25)
models: st.SearchStrategy[LifeModel] = st.sampled_from(["weibull", "lognormal"])
modes: st.SearchStrategy[End] = st.sampled_from(["worn", "chipped", "broken"])


@st.composite
def lives(draw: st.DrawFn) -> Life:
    low = float(draw(st.integers(1, 3000)))
    kind = draw(st.sampled_from(["exact", "exact", "stopped", "between", "before"]))
    if kind == "exact":
        return Life(low, low, draw(modes))
    if kind == "stopped":
        return Life(low, math.inf)
    if kind == "between":
        return Life(low, low + draw(st.integers(1, 500)), draw(modes))
    return Life(0.0, low, draw(modes))


some_lives = st.lists(lives(), min_size=1, max_size=12)
counted = st.lists(lives().filter(lambda life: life.exact or not life.ended), min_size=1,
                   max_size=15)  # fmt: skip


@slow
@given(some_lives, models, st.randoms(use_true_random=False))
def test_a_fit_is_a_fit_or_a_verdict(
    some: list[Life], model: LifeModel, shuffler: random.Random
) -> None:
    fit = fit_lives(some, model)
    assert fit.ok == (fit.shape is not None) == (fit.verdict == "")
    if not fit.ok:
        assert fit.intervals == {}
        return
    for name, value in (("scale", fit.scale), ("b10", fit.b10)):
        low, high = fit.intervals[name]
        assert value is not None
        assert 0 <= low < high
    shuffled = list(some)
    shuffler.shuffle(shuffled)
    assert fit_lives(shuffled, model) == fit


@slow
@given(some_lives, models, st.sampled_from([2.0, 10.0]))
def test_lives_in_another_unit_are_the_same_lives(
    some: list[Life], model: LifeModel, factor: float
) -> None:
    one = fit_lives(some, model)
    other = fit_lives([Life(x.low * factor, x.high * factor, x.mode) for x in some], model)
    assert one.ok == other.ok
    if one.ok:
        assert other.shape == pytest.approx(one.shape, rel=1e-4)
        assert one.scale is not None
        assert other.scale == pytest.approx(one.scale * factor, rel=1e-4)


@slow
@given(some_lives, models)
def test_later_shares_come_at_later_holes(some: list[Life], model: LifeModel) -> None:
    fit = fit_lives(some, model)
    assume(fit.ok)
    shares = (0.01, 0.1, 0.5, 0.9)
    holes = [fit.holes_at(share) for share in shares]
    assert holes == sorted(holes)  # type: ignore[type-var]  # a fit has numbers
    for place in range(2):
        ends = [fit.interval_at(share)[place] for share in shares]
        assert ends == sorted(ends)


@given(counted)
def test_shares_add_up_and_only_fall(some: list[Life]) -> None:
    steps = kaplan_meier(some)
    shares = [step.share for step in steps]
    assert shares == sorted(shares, reverse=True)
    assert all(0 <= step.low <= step.share + 1e-12 for step in steps)
    assert all(step.share <= step.high + 1e-12 <= 1 + 2e-12 for step in steps)
    ended = sum(one[-1].share for one in cumulative_incidence(some).values())
    assert ended + (shares[-1] if shares else 1.0) == pytest.approx(1.0)


@st.composite
def curves(draw: st.DrawFn) -> list[tuple[int, float]]:
    count = draw(st.integers(1, 10))
    holes = sorted(draw(st.sets(st.integers(1, 2000), min_size=count, max_size=count)))
    return [(hole, draw(st.floats(0, 1).map(lambda mm: round(mm, 3)))) for hole in holes]


@slow
@given(curves(), st.sampled_from(["stopped", "worn", "broken", None]), st.integers(0, 100))
def test_holes_to_wear_lie_in_their_range(
    pairs: list[tuple[int, float]], end: End | None, more: int
) -> None:
    holes = pairs[-1][0] + more
    readings = [WearReading(hole, vb_maximum_mm=mm) for hole, mm in pairs]
    found = holes_to_wear(readings, 0.3, end, holes)
    assert found.why
    if found.kind == "censored":
        assert (found.holes, found.low, found.high) == (None, holes, None)
        return
    assert found.holes is not None
    assert found.low <= found.holes
    assert found.high is None or found.holes <= found.high
    if found.kind == "projected":
        assert end == "stopped"
        assert found.low >= holes


@slow
@given(curves())
def test_wear_curves_start_at_nothing_and_never_fall(pairs: list[tuple[int, float]]) -> None:
    curve = fit_wear_curve([WearPoint(float(hole), mm) for hole, mm in pairs])
    if curve is None:
        assert len(pairs) < 3
        return
    last = pairs[-1][0]
    heights = [curve.wear_mm(last * k / 20) for k in range(41)]
    assert heights[0] == 0
    assert all(b >= a - 1e-12 for a, b in pairwise(heights))


@slow
@given(st.floats(1.05, 8), st.floats(10, 5000), st.floats(0.1, 100), st.floats(1.2, 100))
def test_no_other_interval_is_cheaper(
    shape: float, scale: float, planned: float, ratio: float
) -> None:
    found = age_replacement(shape, scale, planned, planned * ratio)
    for share in (0.01, 0.1, 0.3, 0.6, 1.0, 1.5, 3.0):
        other = float(
            replacement_cost_per_hole(share * scale, shape, scale, planned, planned * ratio)
        )
        assert found.cost_per_hole <= other * (1 + 1e-6)


@given(st.floats(1, 1e6), st.integers(1, 50), st.none() | st.integers(1, 2000))
def test_rounding_never_lengthens(holes: float, per_part: int, per_shift: int | None) -> None:
    assume(holes >= per_part)
    found = round_interval(holes, per_part, per_shift)
    assert 0 < found.holes <= holes
    assert found.parts is not None
    assert found.holes == found.parts * per_part

"""Lives of many trials together: what was put in comes out, and too little is said to be so."""

from __future__ import annotations

import math

import numpy as np
import pytest

from trials.life import PooledPoint, ended_at, fit_pooled, span_of, stopped_at

EDGE, BATCH = 0.3, 0.4


def _points(trials: int, *, batches: int, seed: int = 3, stop: float = 1e9) -> list[PooledPoint]:
    """Invented lives: exponents 2.5 and 0.8, drill B lasting e^0.5 times as long as drill A."""
    rng = np.random.default_rng(seed)
    heats = rng.normal(0.0, BATCH, batches)
    points = []
    for trial in range(trials):
        own = rng.normal(0.0, 0.2)
        for edge in range(8):
            heat = int(rng.integers(batches))
            speed, feed = 80.0 * math.exp(rng.normal(0, 0.25)), 0.02 * math.exp(rng.normal(0, 0.25))
            logs = (
                6.0 + 0.5 * (edge % 2) - 2.5 * math.log(speed / 80) - 0.8 * math.log(feed / 0.02)
                + own + heats[heat] + rng.normal(0, EDGE)
            )  # fmt: skip
            holes = math.exp(logs)
            life = stopped_at(stop) if holes > stop else ended_at(holes, "worn")
            points.append(PooledPoint(life, "AB"[edge % 2], f"t{trial}", f"heat {heat}", "", speed,
                                      feed))  # fmt: skip
    return points


def test_what_was_put_in_comes_out_also_with_stopped_edges() -> None:
    """Own simulation; each 90 % range has its chance to miss, so wider bounds are asserted."""
    found = fit_pooled(_points(40, batches=16, stop=600.0))
    assert found.ok
    assert found.failures < found.edges == 320
    for drawn, truth, within in (
        (found.exponents[0], 2.5, 0.35), (found.exponents[1], 0.8, 0.35),
        (found.level_of("B") - found.level_of("A"), 0.5, 0.15), (found.edge, EDGE, 0.06),
        (found.shared["batch"], BATCH, 0.2),
    ):  # fmt: skip
        low, middle, high = span_of(drawn)
        assert abs(middle - truth) < within
        assert low < middle < high


def test_stopped_edges_are_not_taken_for_short_lives() -> None:
    points = _points(20, batches=12, stop=400.0)
    as_ended = [
        PooledPoint(ended_at(point.life.low), point.drill, point.trial, point.batch, "",
                    point.speed_m_per_min, point.feed_xd)
        for point in points
    ]  # fmt: skip
    assert (np.median(fit_pooled(points).level_of("B"))
            > np.median(fit_pooled(as_ended).level_of("B")) + 0.05)  # fmt: skip


def test_the_same_seed_gives_the_same_numbers() -> None:
    points = _points(5, batches=6)
    assert np.array_equal(fit_pooled(points).level, fit_pooled(points).level)


def test_a_life_to_come_is_less_sure_than_a_level() -> None:
    found = fit_pooled(_points(20, batches=12))
    speed, feed = found.reference
    low, _, high = span_of(np.log(found.next_trial("A", speed, feed)))
    level = span_of(found.level_of("A"))
    assert high - low > level[2] - level[0]
    faster = np.median(found.next_trial("A", 1.2 * speed, feed))
    assert faster < np.median(found.next_trial("A", speed, feed))


def test_too_few_ended_edges_is_a_verdict() -> None:
    points = [PooledPoint(stopped_at(100), "A"), PooledPoint(ended_at(90), "A")]
    found = fit_pooled(points)
    assert not found.ok
    assert "1 of 2" in found.verdict


@pytest.mark.parametrize("batches", [1, 2])
def test_too_few_batches_is_a_verdict(batches: int) -> None:
    scatter = {one.share: one for one in fit_pooled(_points(10, batches=batches)).scatters}
    assert scatter["batch"].middle is None
    assert "too little" in scatter["batch"].verdict
    assert scatter["machine"].groups == 0
    assert scatter["trial"].middle is not None


def test_batches_that_come_one_to_a_trial_cannot_be_told_from_it() -> None:
    points = [
        PooledPoint(point.life, point.drill, point.trial, point.trial, "", point.speed_m_per_min,
                    point.feed_xd)
        for point in _points(10, batches=6)
    ]  # fmt: skip
    batch = next(one for one in fit_pooled(points).scatters if one.share == "batch")
    assert batch.middle is None
    assert "stand by themselves" in batch.verdict

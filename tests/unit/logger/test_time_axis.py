"""Leaps of the source's clock told from silence by the arrival of the lines."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials.logger import Arrival, Batch, Decoder, LineFormat, Mapping
from trials.logger.time_axis import TimeAxis

PAIRS, MAP = LineFormat("key=value"), Mapping.parse("load=load,time=t")
Timed = list[tuple[float, float]]


def decoded(lines: Timed, *, live: bool = True, at_once: int = 1) -> Batch:
    """Lines of (source's time, our time), s."""
    decoder = Decoder(PAIRS, MAP, live=live)
    batches = []
    for first in range(0, len(lines), at_once):
        part = lines[first : first + at_once]
        chunks = [(f"t={t!r};load=5\n".encode(), Arrival(int(a * 1e9), 0)) for t, a in part]
        batches.append(decoder.feed_all(chunks))
    batches.append(decoder.finish())
    return Batch.join(batches)


STEADY: Timed = [(100 + n / 10, 50 + n / 10) for n in range(50)]


def test_a_leap_ahead_is_no_silence() -> None:
    """The source's clock is set on by an hour while values go on every 0.1 s."""
    after = [(t + 3600, a) for t, a in [(100 + n / 10, 50 + n / 10) for n in range(50, 80)]]
    batch = decoded(STEADY + after)
    np.testing.assert_allclose(np.diff(batch.time_s), 0.1, atol=1e-6)
    (gap,) = batch.gaps
    assert gap.reason == "source clock leapt ahead 3600.0 s"
    (step,) = batch.clock_steps
    assert (step.back_s, step.rebased) == (pytest.approx(-3600), True)


def test_silence_is_no_leap() -> None:
    """Nothing for a minute, by both clocks."""
    after = [(t + 60, a + 60) for t, a in [(105.0, 55.0), (105.1, 55.1)]]
    batch = decoded(STEADY + after)
    assert batch.time_s[-1] == pytest.approx(65.1)
    assert [gap.reason for gap in batch.gaps] == ["no values for 60.1 s"]
    assert not batch.clock_steps


def test_a_burst_after_a_delay_is_no_leap() -> None:
    """What a slow link held back for 20 s comes at once: late, and in its own time."""
    late = [(105 + n * 4.0, 75.0) for n in range(6)]
    batch = decoded(STEADY + late)
    assert not batch.clock_steps
    assert batch.time_s[-1] == pytest.approx(25.0)


def test_too_early_to_know_is_silence() -> None:
    batch = decoded([*STEADY[:5], (4000.0, 51.0)])
    assert not batch.clock_steps
    assert batch.gaps[0].reason.startswith("no values for")


def test_a_clock_at_another_pace_never_leaps() -> None:
    """A simulated machine whose time runs 60 times as fast, with pauses of 30 s of its time."""
    pace = [(60 * a + 30 * (n // 10), a) for n, a in enumerate(np.arange(0, 20, 0.1))]
    assert not decoded([(t, a + 7) for t, a in pace]).clock_steps


def test_a_file_knows_no_arrivals() -> None:
    after = [(t + 3600, a) for t, a in [(105.0, 55.0)]]
    batch = decoded(STEADY + after, live=False)
    assert batch.gaps[0].reason.startswith("no values for 3600")
    assert not batch.clock_steps


moves = st.lists(
    st.tuples(st.sampled_from([0.01, 0.5, 3.0, 3600.0, -0.5, -7.0]), st.floats(0, 4)), max_size=60
)


@given(moves, st.integers(1, 9))
def test_any_gulps_give_the_same(steps: list[tuple[float, float]], at_once: int) -> None:
    times = itertools.accumulate((step for step, _ in steps), initial=10_000.0)
    ours = itertools.accumulate((step for _, step in steps), initial=9.0)
    lines = list(zip(times, ours, strict=True))
    one, other = decoded(lines), decoded(lines, at_once=at_once)
    np.testing.assert_array_equal(one.time_s, other.time_s)
    assert one.gaps == other.gaps
    assert one.clock_steps == other.clock_steps
    assert (np.diff(one.time_s) >= 0).all()


def test_times_without_arrivals_are_placed_as_before() -> None:
    axis = TimeAxis(1.0)
    seconds, moved = axis.place(np.array([5.0, 6.0, 5.5, 9000.0, 3.0]))
    assert seconds.tolist() == [0.0, 1.0, 1.0, 8995.0, 8995.0]
    assert [(one.row, one.back_s, one.rebased) for one in moved] == [
        (2, 0.5, False), (4, 8997.0, True),
    ]  # fmt: skip

"""What more holes would teach."""

from __future__ import annotations

import pytest

from trials.errors import InputError
from trials.life import look_ahead
from trials.model import WearReading

STEADY = [WearReading(hole, vb_maximum_mm=hole / 1000) for hole in (40, 80, 120, 160)]


def test_drilling_on_narrows_and_may_reach_the_limit() -> None:
    short, long = (look_ahead(STEADY, 0.3, 160, more, 2) for more in (20, 160))
    assert short.low < 300
    assert 0 <= short.narrowing < long.narrowing <= 1
    assert 1 <= long.width_then < long.width_now
    assert short.chance_reached is not None
    assert long.chance_reached is not None
    assert short.chance_reached < long.chance_reached
    assert long.holes_expected is not None
    assert 20 < long.holes_expected <= 160


def test_nothing_to_look_ahead_from() -> None:
    found = look_ahead(STEADY[:2], 0.3, 80, 40)
    assert found.verdict.startswith("2 wear readings are too few")
    assert str(found) == found.verdict
    assert found.chance_reached is None


def test_early_readings_say_when_they_begin_to_carry() -> None:
    # A third of the way there is no projection yet; after twice the holes there mostly is.
    found = look_ahead(STEADY, 0.5, 160, 160, 4)
    assert found.width_now == float("inf")
    assert found.narrowing > 0.5


def test_progress_is_told() -> None:
    seen: list[tuple[int, int]] = []
    look_ahead(STEADY, 0.3, 160, 40, on_progress=lambda done, of: seen.append((done, of)))
    assert seen[-1][0] == seen[-1][1] == len(seen)


def test_same_question_same_answer() -> None:
    assert look_ahead(STEADY, 0.3, 160, 40) == look_ahead(STEADY, 0.3, 160, 40)


def test_a_run_at_its_limit_has_nothing_ahead() -> None:
    with pytest.raises(InputError, match="end it as worn"):
        look_ahead([*STEADY, WearReading(170, vb_maximum_mm=0.31)], 0.3, 170, 40)

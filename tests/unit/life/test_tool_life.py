"""What a tool-life equation says of its own data."""

from __future__ import annotations

import pytest

from trials.errors import InputError
from trials.life import ToolLifePoint, ended_at, ended_between, fit_tool_life, stopped_at


def edge(speed: float, feed: float, holes: float, ended: bool = True) -> ToolLifePoint:
    return ToolLifePoint(speed, feed, ended_at(holes) if ended else stopped_at(holes))


SPREAD = [
    edge(60, 0.1, 900), edge(60, 0.2, 610), edge(80, 0.1, 520), edge(80, 0.2, 350),
    edge(100, 0.1, 300), edge(100, 0.2, 230), edge(80, 0.15, 400),
]  # fmt: skip


def test_a_good_design_has_no_warnings() -> None:
    found = fit_tool_life(SPREAD)
    assert found.ok
    assert found.warnings == ()
    low, high = found.intervals["speed_exponent"]
    assert found.speed_exponent is not None
    assert low < found.speed_exponent < high
    assert sum(found.residuals) == pytest.approx(0, abs=1e-6)


def test_life_between_and_beyond_what_was_tried() -> None:
    found = fit_tool_life(SPREAD)
    inside, beyond = found.life_at(80, 0.15), found.life_at(150, 0.15)
    assert inside.low < inside.holes < inside.high
    assert (inside.beyond, beyond.beyond) == (False, True)
    assert beyond.high / beyond.low > inside.high / inside.low


def test_stopped_edges_raise_the_line() -> None:
    ended = fit_tool_life(SPREAD)
    stopped = fit_tool_life([*SPREAD[:-1], edge(80, 0.15, 400, ended=False)])
    assert stopped.life_at(80, 0.15).holes > ended.life_at(80, 0.15).holes


def test_lives_between_looks_give_about_the_same_line() -> None:
    looks = [
        ToolLifePoint(p.speed_m_per_min, p.feed_mm_per_rev,
                      ended_between(0.97 * p.life.low, 1.03 * p.life.low)) for p in SPREAD
    ]  # fmt: skip
    found, exact = fit_tool_life(looks), fit_tool_life(SPREAD)
    assert found.speed_exponent == pytest.approx(exact.speed_exponent, rel=0.02)


def test_feed_that_was_never_changed_has_no_exponent() -> None:
    found = fit_tool_life(
        [edge(v, 0.2, h) for v, h in [(60, 900), (80, 500), (80, 560), (100, 330)]]
    )
    assert found.feed_exponent is None
    assert "feed was never changed" in " ".join(found.warnings)
    assert set(found.intervals) == {"speed_exponent"}


def test_speed_and_feed_that_rise_together_are_called_out() -> None:
    found = fit_tool_life([
        edge(60, 0.1, 900), edge(61, 0.1, 870), edge(80, 0.14, 500), edge(81, 0.141, 480),
        edge(100, 0.18, 300), edge(99, 0.181, 310),
    ])  # fmt: skip
    assert any("cannot be told apart" in text for text in found.warnings)


def test_cutting_data_on_one_line_are_a_verdict() -> None:
    found = fit_tool_life([edge(60 * k, 0.1 * k, 900 / k) for k in (1, 1.2, 1.5, 2)])
    assert not found.ok
    assert "cannot tell 3 unknowns apart" in found.verdict
    assert found.speed_exponent is None


def test_stopped_edges_do_not_stand_for_ended_ones() -> None:
    found = fit_tool_life([edge(60, 0.1, 900, False), edge(80, 0.1, 500), edge(80, 0.2, 300)])
    assert "not enough failures: 2 of 3" in found.verdict
    with pytest.raises(InputError, match="no fit"):
        found.life_at(80, 0.1)


def test_one_cutting_data_is_a_verdict() -> None:
    assert "the same for every edge" in fit_tool_life([edge(80, 0.2, h) for h in (90, 100)]).verdict
    assert not fit_tool_life([]).ok


def test_an_odd_edge_is_named() -> None:
    found = fit_tool_life([*SPREAD, *SPREAD, edge(80, 0.15, 60)])
    assert any(text.startswith("Edge 15 lies") for text in found.warnings)


def test_a_bend_is_seen() -> None:
    # Built-up edge below, heat above: life has its best in between.
    lives = [(40, 300), (60, 600), (80, 800), (110, 500), (150, 200)]
    bent = [edge(v, 0.2, h * f) for v, h in lives for f in (0.95, 1.05)]
    assert any("bends against speed" in text for text in fit_tool_life(bent).warnings)


def test_life_that_grows_with_speed_is_doubted() -> None:
    found = fit_tool_life(
        [edge(v, 0.2, h) for v, h in [(60, 300), (80, 390), (80, 410), (100, 500)]]
    )
    assert any("against experience" in text for text in found.warnings)


@pytest.mark.parametrize(("speed", "feed"), [(0, 0.1), (80, -0.1), (float("inf"), 0.1)])
def test_impossible_cutting_data_are_refused(speed: float, feed: float) -> None:
    with pytest.raises(InputError):
        edge(speed, feed, 100)

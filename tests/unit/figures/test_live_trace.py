"""The live trace: peaks survive thinning, gaps break the line, the axis rests."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials.errors import InputError
from trials.figures import draw_live, live_trace, min_max_indices


@given(
    st.lists(st.floats(0, 300), min_size=1, max_size=2000),
    st.integers(min_value=4, max_value=300),
)
def test_thinning_keeps_extremes_ends_order_and_the_cap(values: list[float], most: int) -> None:
    kept = min_max_indices(np.array(values), most)
    assert len(kept) <= max(most, 4)
    assert list(kept) == sorted(set(kept.tolist()))
    assert kept[0] == 0
    assert kept[-1] == len(values) - 1
    thinned = [values[at] for at in kept]
    assert max(thinned) == max(values)
    assert min(thinned) == min(values)


def test_a_single_sharp_peak_in_a_million_samples_stays_where_it_was() -> None:
    load = np.full(1_000_000, 10.0)
    load[123_457] = 99.0
    kept = min_max_indices(load, 900)
    assert 123_457 in kept


def test_only_the_window_is_kept_and_time_runs_to_zero() -> None:
    data = live_trace(range(100), [5.0] * 100, limit_pct=80.0, window_s=10.0)
    assert data.before_s[0] == -10.0
    assert data.before_s[-1] == 0.0
    assert len(data.before_s) == 11


def test_a_gap_breaks_the_line_and_is_never_bridged() -> None:
    data = live_trace([0, 1, 2, 8, 9], [5.0] * 5, limit_pct=80.0, gaps=[(2.0, 8.0)])
    assert data.load_pct == (5.0, 5.0, 5.0, None, 5.0, 5.0)
    assert draw_live(data).data[0].connectgaps is False


def test_a_gap_before_the_window_is_left_out() -> None:
    data = live_trace([0, 50, 60], [5.0] * 3, limit_pct=80.0, window_s=20.0, gaps=[(1.0, 20.0)])
    assert None not in data.load_pct


def test_nothing_recorded_yet_is_an_empty_figure() -> None:
    data = live_trace([], [], limit_pct=80.0)
    assert data.before_s == ()
    assert draw_live(data).layout.yaxis.range == (0, data.top_pct)


@pytest.mark.parametrize(("peak", "limit"), [(5.0, 80.0), (150.0, 80.0), (1.0, 10.0)])
def test_the_axis_holds_limit_and_peak(peak: float, limit: float) -> None:
    data = live_trace([0.0, 1.0], [0.0, peak], limit_pct=limit)
    assert data.top_pct > max(peak, limit)
    assert data.top_pct % 20 == 0


def test_a_value_that_is_not_finite_is_refused() -> None:
    with pytest.raises(InputError, match="not finite"):
        live_trace([0.0, 1.0], [0.0, float("nan")], limit_pct=80.0)
    with pytest.raises(InputError, match="as many times as loads"):
        live_trace([0.0, 1.0], [0.0], limit_pct=80.0)


def test_the_limit_is_drawn_and_named() -> None:
    figure = draw_live(live_trace([0.0], [1.0], limit_pct=75.0))
    (line,) = figure.layout.shapes
    assert line.y0 == line.y1 == 75.0
    assert figure.layout.annotations[0].text == "limit 75 %"

"""The run's trend: peaks by hole number, their rise, and thinning of long runs."""

from __future__ import annotations

import pytest

from trials.errors import InputError
from trials.figures import draw_run_trend, run_trend


def test_the_rise_is_between_medians_of_three() -> None:
    # By hand: the medians are 41 (of 40, 41, 90) and 57 (of 57, 58, 5).
    data = run_trend(range(1, 9), [40, 41, 90, 45, 50, 57, 58, 5], limit_pct=80.0)
    assert data.change_pct == pytest.approx(57 - 41)


def test_few_holes_have_no_rise() -> None:
    assert run_trend([1, 2, 3, 4, 5], [1.0] * 5, limit_pct=80.0).change_pct is None


def test_a_long_run_is_thinned_with_its_highest_peak() -> None:
    peaks = [40.0] * 5000
    peaks[3333] = 79.0
    data = run_trend(range(1, 5001), peaks, limit_pct=80.0)
    assert len(data.numbers) <= 600
    assert dict(zip(data.numbers, data.peak_pct, strict=True))[3334] == 79.0


def test_the_drawing_shows_every_kept_hole() -> None:
    data = run_trend([1, 2, 3], [40.0, 41.0, 42.0], limit_pct=80.0)
    trace = draw_run_trend(data).data[0]
    assert list(trace.x) == [1, 2, 3]
    assert list(trace.y) == [40.0, 41.0, 42.0]


def test_numbers_and_peaks_must_match() -> None:
    with pytest.raises(InputError, match="as many numbers as peaks"):
        run_trend([1, 2], [1.0], limit_pct=80.0)

"""Convergence: the best so far counts only runs that production may copy, and all runs show."""

from __future__ import annotations

import pytest

from trials.errors import InputError
from trials.figures import (
    END_MARKS,
    LIGHT,
    NOT_ENDED,
    Convergence,
    RunMark,
    convergence,
    draw_convergence,
)
from trials.model import ENDS

RUNS = (
    RunMark(1, 0.60, 0.50, 0.70, "stopped", "70 m/min"),
    RunMark(2, 0.20, end="broken"),
    RunMark(3, 0.45, end="worn"),
    RunMark(4, 0.30, end="load_limit"),
    RunMark(5, 0.50, end="chipped"),
    RunMark(6, None),
)


def test_best_is_the_running_minimum_of_runs_that_count() -> None:
    # By hand: runs 2 and 4 are cheaper but broke the drill or reached the limit; 6 has not ended.
    data = convergence(RUNS, currency="EUR")
    assert data.best == (0.60, 0.60, 0.45, 0.45, 0.45, 0.45)
    assert data.best_run is RUNS[2]
    assert data.next_number == 7


def test_runs_in_any_order_give_the_same_figure() -> None:
    assert convergence(reversed(RUNS), currency="EUR") == convergence(RUNS, currency="EUR")


def test_before_the_first_run_that_counts_there_is_no_best() -> None:
    data = convergence([RunMark(1, 0.2, end="broken"), RunMark(2, 0.4, end="worn")], currency="EUR")
    assert data.best == (None, 0.4)


def test_an_empty_trial_is_a_figure_too() -> None:
    data = convergence([], currency="EUR", expected=(0.3, 0.4, 0.5))
    assert data.best_run is None
    assert data.next_number == 1
    names = [trace.name for trace in draw_convergence(data).data]
    assert names[0] == "next run, expected (90 %)"


def test_every_run_with_a_cost_is_drawn_once_with_the_shape_of_its_end() -> None:
    runs = [RunMark(n, 1.0 + n / 10, end=end) for n, end in enumerate((*ENDS, None), start=1)]
    drawn = draw_convergence(convergence(runs, currency="EUR"))
    marks = {
        number: (trace.marker.symbol, trace.marker.color != LIGHT.paper)
        for trace in drawn.data
        if trace.mode == "markers"
        for number in trace.x
    }
    looks = [END_MARKS[end] for end in ENDS] + [NOT_ENDED]
    assert marks == {
        n: (look.shape.removesuffix("-open"), "-open" not in look.shape)
        for n, look in enumerate(looks, start=1)
    }
    assert len(set(marks.values())) == len(looks), "two ends share a shape"
    assert len({look.sign for look in looks}) == len(looks), "two ends share a sign"
    assert len({look.word for look in looks}) == len(looks), "two ends share a word"


def test_ranges_become_error_bars_around_the_cost() -> None:
    (trace,) = (t for t in draw_convergence(convergence(RUNS[:1], currency="EUR")).data
                if t.mode == "markers")  # fmt: skip
    assert trace.error_y.array == pytest.approx([0.10])
    assert trace.error_y.arrayminus == pytest.approx([0.10])


def test_costs_far_apart_get_a_ratio_scale_and_close_ones_do_not() -> None:
    near = convergence([RunMark(1, 1.0, end="worn"), RunMark(2, 2.0, end="worn")], currency="EUR")
    far = convergence([RunMark(1, 1.0, end="worn"), RunMark(2, 20.0, end="broken")], currency="EUR")
    assert not near.log_scale
    assert far.log_scale
    assert draw_convergence(far).layout.yaxis.type == "log"


def test_markup_in_a_label_is_drawn_as_text() -> None:
    data = convergence([RunMark(1, 1.0, end="worn", label="<a href='x'>&</a>")], currency="EUR")
    (trace,) = (t for t in draw_convergence(data).data if t.mode == "markers")
    assert trace.text == ("&lt;a href='x'&gt;&amp;&lt;/a&gt;",)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: RunMark(0, 1.0), "number of the run"),
        (lambda: RunMark(1, float("nan")), "cost per hole of run 1"),
        (lambda: RunMark(1, -1.0), "cost per hole of run 1"),
        (lambda: RunMark(1, 1.0, 2.0, 0.5), "range of the cost of run 1"),
        (lambda: Convergence((RUNS[1], RUNS[0]), (None, None)), "rising order"),
        (lambda: Convergence(RUNS[:2], (0.6,)), "best cost so far"),
        (lambda: Convergence((), (), expected_low=1.0), "both ends or none"),
    ],
)
def test_bad_values_cannot_exist(make: object, says: str) -> None:
    with pytest.raises(InputError, match=says):
        make()  # type: ignore[operator]  # a lambda in a parameter list

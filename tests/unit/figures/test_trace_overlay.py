"""The overlay: no peak is lost by thinning, holes and gaps stand where they are."""

from __future__ import annotations

import io

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.helpers import trace_kinds  # noqa: F401 - fills the kinds
from tests.helpers.invented_stream import CUT_S, LEAD_S, PERIOD_S, stream
from tests.helpers.traces import make
from trials.errors import InputError
from trials.figures import TraceOverlay, draw_overlay, min_max_indices, trace_overlay
from trials.holes import find_holes

WHOLE = (0.0, LEAD_S + 10 * PERIOD_S)


@pytest.fixture(scope="module")
def samples() -> pd.DataFrame:
    return pd.read_csv(io.BytesIO(stream(10)))


@pytest.fixture(scope="module")
def holes(samples: pd.DataFrame) -> pd.DataFrame:
    return find_holes(samples)


def overlay(
    samples: pd.DataFrame,
    holes: pd.DataFrame,
    window_s: tuple[float, float] = WHOLE,
    **more: object,
) -> TraceOverlay:
    inside = samples[(samples.time_s >= window_s[0]) & (samples.time_s <= window_s[1])]
    return trace_overlay(
        inside["time_s"], inside["load_pct"], holes, window_s=window_s, whole_s=WHOLE,
        limit_pct=60.0, **more,  # type: ignore[arg-type]  # gaps and counts
    )  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(
    count=st.integers(1, 5000), points=st.integers(4, 400), seed=st.integers(0, 100),
    spikes=st.lists(st.integers(0, 4999), max_size=4),
)  # fmt: skip
def test_thinning_keeps_every_peak_of_every_pixel(
    count: int, points: int, seed: int, spikes: list[int]
) -> None:
    values = np.random.default_rng(seed).normal(0.0, 1.0, count)
    for at in spikes:
        values[at % count] = 100.0 + at
    kept = min_max_indices(values, points)
    assert len(kept) <= max(points, min(count, points))
    assert (np.diff(kept) > 0).all()
    assert values[kept].max() == values.max()
    assert values[kept].min() == values.min()
    # Twice as coarse a screen as there are bins: each of its columns keeps its own peak.
    columns = np.array_split(np.arange(count), max(1, (points - 2) // 4))
    for column in (part for part in columns[1:-1] if len(part)):
        near = kept[(kept >= column[0] - len(column)) & (kept <= column[-1] + len(column))]
        assert values[near].max() >= values[column].max()


def test_a_million_samples_become_few_and_keep_their_single_spike() -> None:
    time_s = np.arange(1_000_000) / 1000.0
    load_pct = 30 + np.sin(time_s)
    load_pct[777_777] = 151.0
    data = trace_overlay(
        time_s, load_pct, find_holes(pd.DataFrame({"time_s": [0.0, 1.0], "load_pct": [5.0, 5.0]})),
        window_s=(0.0, 1000.0), whole_s=(0.0, 1000.0), limit_pct=60.0,
    )  # fmt: skip
    assert data.highest_pct == 151.0
    assert 777.777 in data.time_s
    assert len(data.time_s) < 2500
    assert data.thinned
    assert data.axis_pct[1] >= 151


def test_holes_of_the_window_with_their_place(samples: pd.DataFrame, holes: pd.DataFrame) -> None:
    data = overlay(samples, holes)
    assert [shown.hole.number for shown in data.holes] == list(range(1, 11))
    third = data.holes[2].hole
    assert third.start_s == pytest.approx(LEAD_S + 2 * PERIOD_S, abs=0.1)
    assert third.end_s == pytest.approx(LEAD_S + 2 * PERIOD_S + CUT_S, abs=0.1)
    some = overlay(samples, holes, (third.end_s - 0.5, third.end_s + PERIOD_S))
    assert [shown.hole.number for shown in some.holes] == [3, 4]


def test_pecks_are_marked_between_the_pecks() -> None:
    trace = make("full_retract", 2)
    found = find_holes(trace.samples, trace.expected)
    end_s = float(trace.samples["time_s"].iloc[-1])
    window_s = (0.0, float(found["end_s"].iloc[3]))
    inside = trace.samples[trace.samples.time_s <= window_s[1]]
    data = trace_overlay(
        inside["time_s"], inside["load_pct"], found, window_s=window_s, whole_s=(0.0, end_s),
        limit_pct=80.0,
    )  # fmt: skip
    loads = inside.set_index("time_s")["load_pct"]
    for shown in data.holes[:3]:
        assert len(shown.marks) == shown.hole.pecks - 1 > 0
        middle = 0.5 * (shown.hole.idle_pct + shown.hole.peak_pct)
        for mark in shown.marks:  # the spindle idles between two pecks of a full retract
            assert loads[mark - 0.1 : mark + 0.1].min() < middle
    drawn = {trace.name for trace in draw_overlay(data).data}
    assert {"load", "hole", "pecks", "idle", "numbers"} <= drawn


def test_a_gap_breaks_the_line_and_is_drawn(samples: pd.DataFrame, holes: pd.DataFrame) -> None:
    kept = samples[(samples.time_s < 20) | (samples.time_s > 25)]
    data = overlay(kept, holes, gaps=[(20.0, 25.0, "link <b>lost</b>"), (900.0, 901.0, "later")])
    assert data.gaps == ((20.0, 25.0, "link <b>lost</b>"),)
    broken = [at for at, load in zip(data.time_s, data.load_pct, strict=True) if load is None]
    assert broken == [22.5]
    drawing = draw_overlay(data)
    assert {"gap", "gap, named"} <= {trace.name for trace in drawing.data}
    assert "<b>" not in drawing.to_json(), "reasons come from outside and are shown as text"


def test_a_silence_of_an_even_source_is_a_gap_of_a_changing_one_is_not(
    samples: pd.DataFrame, holes: pd.DataFrame
) -> None:
    kept = samples[(samples.time_s < 20) | (samples.time_s > 25)]
    ((start_s, end_s, _),) = overlay(kept, holes).gaps
    assert (start_s, end_s) == (pytest.approx(19.98), pytest.approx(25.02))
    changes = samples[samples["load_pct"].round(0).diff() != 0]  # whole percent, sent on change
    changes = changes[np.arange(len(changes)) % 7 != 0]
    long = float(changes["time_s"].diff().max())
    assert long > 0.1
    assert overlay(changes, holes).gaps == ()


def test_a_doubtful_hole_is_marked_and_the_chosen_one_stands_out(
    samples: pd.DataFrame, holes: pd.DataFrame
) -> None:
    doubtful = holes.copy()
    doubtful.loc[3, "flags"] = "long"
    data = overlay(samples, doubtful)
    assert [shown.hole.number for shown in data.doubtful] == [4]
    drawing = draw_overlay(data, selected=7)
    by_name = {trace.name: trace for trace in drawing.data}
    assert by_name["hole to look at"].x[0] == data.holes[3].hole.start_s
    assert by_name["hole chosen"].x[0] == data.holes[6].hole.start_s
    assert "4 ?" in by_name["numbers"].text
    assert len(by_name["hole"].x) == 8 * 6
    dark = draw_overlay(data, dark=True, selected=7)
    assert dark.layout.font.color != drawing.layout.font.color


def test_the_load_axis_rests_in_steps_and_shows_limit_and_negative_loads() -> None:
    def axis(low: float, high: float) -> tuple[float, float]:
        return TraceOverlay(
            0.0, 1.0, 0.0, 1.0, (0.1, 0.2), (low, high), 60.0, (), (), 2
        ).axis_pct  # fmt: skip

    assert axis(0, 30) == (0, 80)  # the limit of 60 with a tenth of room, in steps of 20
    assert axis(-3, 100) == (-20, 120)


def test_an_empty_stretch_is_a_figure_too(holes: pd.DataFrame) -> None:
    data = trace_overlay([], [], holes.iloc[:0], window_s=(0, 1), whole_s=(0, 1), limit_pct=60.0)
    assert (data.highest_pct, data.holes, data.thinned) == (None, (), False)
    assert draw_overlay(data).layout.xaxis.range == (0, 1)


def test_times_and_loads_must_belong_together(holes: pd.DataFrame) -> None:
    with pytest.raises(InputError, match="as many times as loads"):
        trace_overlay([1.0], [], holes, window_s=(0, 1), whole_s=(0, 1), limit_pct=60.0)
    with pytest.raises(InputError, match="a start before its end"):
        trace_overlay([], [], holes, window_s=(1, 1), whole_s=(0, 1), limit_pct=60.0)


def test_of_too_many_holes_only_those_to_look_at_are_drawn(
    samples: pd.DataFrame, holes: pd.DataFrame
) -> None:
    number = np.arange(4000)
    many = holes.iloc[number % len(holes)].copy()
    many["number"], many["start_s"], many["end_s"] = number + 1, 3.0 * number, 3.0 * number + 2.0
    many["flags"] = ""
    many.loc[number == 2000, "flags"] = "long"
    data = trace_overlay(
        samples["time_s"], samples["load_pct"], many, window_s=(0.0, 12_000.0),
        whole_s=(0.0, 12_000.0), limit_pct=60.0,
    )  # fmt: skip
    assert len(data.holes) == 4000
    assert data.crowded
    by_name = {trace.name: trace for trace in draw_overlay(data, selected=7).data}
    assert "hole" not in by_name
    assert by_name["hole to look at"].x[0] == 6000.0
    assert set(by_name["numbers"].text) == {"7", "2001 ?"}
    assert sum(len(trace.x) for trace in by_name.values()) < 3500
    some = trace_overlay(
        samples["time_s"], samples["load_pct"], many, window_s=(0.0, 300.0),
        whole_s=(0.0, 12_000.0), limit_pct=60.0,
    )  # fmt: skip
    assert not some.crowded
    assert len(some.drawn) == len(some.holes)

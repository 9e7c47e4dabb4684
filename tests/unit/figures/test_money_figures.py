"""The figures that money is decided on: what they hold, and that they can be drawn."""

from __future__ import annotations

import math

import pytest

from trials.economics import Offer, compare, cost_range, evidence_of, run_size
from trials.errors import InputError
from trials.figures import (
    DrillBar,
    comparison_figure,
    cost_breakdown,
    draw_comparison,
    draw_cost_breakdown,
    draw_life_distribution,
    draw_run_size,
    draw_wear_curve,
    life_distribution,
    run_size_figure,
    wear_curve,
)
from trials.life import choose_model, holes_to_wear, kaplan_meier, lives_of
from trials.model import CuttingData, Economics, End, Run, WearReading

SLOW, FAST = CuttingData(20, 0.12), CuttingData(80, 0.12)


def run(number: int, holes: int, data: CuttingData, cycle_min: float, end: End = "worn") -> Run:
    return Run(number, "x", data, state="ended", end=end, holes=holes, cycle_min=cycle_min)


COBALT = [run(n, holes, SLOW, 0.4) for n, holes in enumerate((90, 100, 112), start=1)]
CARBIDE = [run(n, holes, FAST, 0.1) for n, holes in enumerate((1400, 1500, 1700), start=4)]
MONEY = {
    "cobalt": Economics(1.2, tool_change_min=2, drill_price=12),
    "carbide": Economics(1.2, tool_change_min=2, drill_price=120, breakage_cost=50),
}
WEAR = tuple(
    WearReading(hole, vb_maximum_mm=wear)
    for hole, wear in ((40, 0.08), (80, 0.12), (120, 0.16), (160, 0.2), (200, 0.24))
)


def test_a_wear_curve_goes_through_its_readings_and_shows_the_limit() -> None:
    seen = Run(1, "x", FAST, state="ended", end="stopped", holes=200, wear=WEAR)
    data = wear_curve(seen, 0.3, holes_to_wear(WEAR, 0.3, "stopped", 200))
    assert [(hole, wear) for hole, wear, _ in data.readings] == [
        (reading.hole, reading.vb_maximum_mm) for reading in WEAR
    ]
    assert data.holes[-1] == 200
    assert data.middle[-1] == pytest.approx(0.24, abs=0.02)
    assert all(low <= m <= high for low, m, high in zip(data.low, data.middle, data.high,
                                                         strict=True))  # fmt: skip
    assert data.kind == "projected"
    metric = draw_wear_curve(data)
    inch = draw_wear_curve(data, dark=True, system="inch")
    assert "mm" in metric.layout.yaxis.title.text
    assert "in" in inch.layout.yaxis.title.text
    # A reading of 0.08 mm is 0.08/25.4 in (an inch is 25.4 mm by definition).
    readings = next(trace for trace in inch.data if trace.name == "reading")
    assert readings.y[0] == pytest.approx(0.08 / 25.4)


def test_one_reading_has_no_curve_and_an_odd_one_is_marked() -> None:
    one = Run(1, "x", FAST, holes=40, state="drilled", wear=WEAR[:1])
    data = wear_curve(one, 0.3, holes_to_wear(WEAR[:1], 0.3, None, 40))
    assert (data.holes, data.middle) == ((), ())
    assert draw_wear_curve(data).data
    odd = (*WEAR[:2], WearReading(100, vb_maximum_mm=0.29), *WEAR[2:])
    many = Run(1, "x", FAST, state="ended", end="stopped", holes=200, wear=odd)
    data = wear_curve(many, 0.3, holes_to_wear(odd, 0.3, "stopped", 200))
    assert [hole for hole, _, off in data.readings if off] == [100]


def test_a_life_distribution_marks_every_edge_and_has_a_verdict_for_few() -> None:
    lives = lives_of([77, 47, 81, 56, 80, 62, 60, 43, 71, 37], [True] * 5 + [False] * 5)
    steps = kaplan_meier(lives)
    data = life_distribution("x", lives, choose_model(lives), steps)
    assert len(data.marks) == 10
    assert data.ended == 5
    # Conover, Practical Nonparametric Statistics, 1999, p. 91 (in scipy's documentation).
    assert [(step[0], round(step[1], 3)) for step in data.steps[1:]] == [
        (47, 0.875), (56, 0.75), (77, 0.5), (80, 0.25), (81, 0.0)
    ]  # fmt: skip
    assert data.half is not None
    assert data.half_low is not None
    assert data.half_high is not None
    assert data.half_low < data.half < data.half_high
    assert all(0 <= share <= 1 for share in (*data.low, *data.share, *data.high))
    few = lives_of([100, 200, 300, 400, 500], [True, False, False, False, False])
    none = life_distribution("x", few, choose_model(few), kaplan_meier(few))
    assert none.half is None
    assert "not enough failures" in none.verdict
    for drawn in (draw_life_distribution(data), draw_life_distribution(none, dark=True)):
        assert {"as seen", "stopped early"} <= {trace.name for trace in drawn.data}


def test_the_breakdown_adds_up_as_it_is_shown() -> None:
    data = cost_breakdown(
        [
            ("cobalt", cost_range("cobalt", COBALT, MONEY["cobalt"])),
            ("carbide", cost_range("carbide", CARBIDE, MONEY["carbide"])),
            ("other", cost_range("other", [], MONEY["cobalt"])),
        ],
        "EUR",
    )
    assert [bar.drill for bar in data.bars] == ["carbide", "cobalt"]
    assert len(data.without) == 1
    for bar in data.bars:
        assert sum(bar.shown.values()) == pytest.approx(round(bar.total, 3), abs=1e-9)
    stacked = draw_cost_breakdown(data)
    bars = [trace for trace in stacked.data if trace.type == "bar"]
    for number, bar in enumerate(data.bars):
        assert sum(trace.x[number] for trace in bars) == pytest.approx(bar.total)
    with pytest.raises(InputError, match="together the total"):
        DrillBar("x", {"machine": 0.1}, 0.5, 0.4, 0.6, {})


def test_run_size_shows_the_break_even_and_this_run() -> None:
    offers = [
        Offer(evidence_of("cobalt", COBALT, MONEY["cobalt"])[0]),
        Offer(evidence_of("carbide", CARBIDE, MONEY["carbide"])[0], 150),
    ]
    data = run_size_figure(run_size(offers, 200))
    (even,) = data.found.break_evens
    assert 200 in data.table_sizes
    before = {line.drill: data.per_hole(line.drill, even.holes // 2)[1]
              for line in data.found.lines}  # fmt: skip
    after = {line.drill: data.per_hole(line.drill, even.holes * 2)[1] for line in data.found.lines}
    assert before["cobalt"] < before["carbide"]
    assert after["carbide"] < after["cobalt"]
    drawn = draw_run_size(data, dark=True)
    texts = {note.text: note.x for note in drawn.layout.annotations}
    assert texts["this run"] == pytest.approx(math.log10(200))
    assert f"{even.holes:,} holes" in texts


def test_the_comparison_keeps_those_without_a_cost_apart() -> None:
    found = compare(
        {"cobalt": COBALT, "carbide": CARBIDE, "new": []}, MONEY | {"new": MONEY["cobalt"]}
    )
    data = comparison_figure(found)
    assert [one.drill for one in data.drills] == ["carbide", "cobalt"]
    assert [one.drill for one in data.without] == ["new"]
    drawn = draw_comparison(data)
    assert {trace.name for trace in drawn.data} == {"cheapest", "dearer"}

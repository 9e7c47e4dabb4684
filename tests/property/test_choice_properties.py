"""Any hole, drill, machine: nothing beyond a limit, verdicts complete, units do not matter."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trials import mechanics, units
from trials.errors import InputError
from trials.mechanics import NoStartError, hole_grid, screen, shipped_catalogue, ways_out
from trials.model import (
    ISO_GROUPS,
    LENGTH_SERIES,
    Bounds,
    CuttingData,
    Drill,
    Economics,
    HoleFeature,
    Machine,
    Trial,
    Work,
)

ANY_DIAMETER = st.floats(0.3, 40)
SUBSTRATES = ("hss", "cobalt", "carbide")
COATINGS = ("bright", "black_oxide", "TiN", "TiCN", "TiAlN")
MATERIALS = [(one.group, "" if len(key) == 1 else key)
             for key, one in shipped_catalogue().materials.items()]  # fmt: skip


@st.composite
def trials(draw: Any, *, diameters: Any = ANY_DIAMETER) -> Trial:
    diameter = draw(diameters)
    depth = diameter * draw(st.floats(0.3, 40))
    group, like = draw(st.sampled_from(MATERIALS))
    maker = draw(st.booleans())
    speed = draw(st.floats(2, 300))
    feed = draw(st.floats(0.002, 0.05)) * diameter
    drill = Drill(
        "d", diameter, draw(st.sampled_from(SUBSTRATES)), draw(st.sampled_from(COATINGS)),
        draw(st.floats(90, 150)), draw(st.none() | st.floats(1, 60)), draw(st.booleans()),
        form=draw(st.sampled_from(["solid", "solid", "brazed", "indexable"])),
        helix_deg=draw(st.none() | st.floats(0, 60)),
        self_centring=draw(st.none() | st.booleans()),
        maker_speed_m_per_min=(speed, speed * 1.4) if maker else None,
        maker_feed_mm_per_rev=(feed, min(5.0, feed * 1.5)) if maker else None,
    )  # fmt: skip
    flutes = drill.flute_length_mm
    if flutes is not None:
        drill = replace(drill, flute_length_mm=flutes * diameter)
    elif 3 <= diameter <= 14 and draw(st.booleans()):
        drill = replace(drill, length=draw(st.sampled_from(LENGTH_SERIES)))
    base = draw(st.floats(100, 6000))
    machine = Machine(
        draw(st.floats(0.1, 60)), base, base * draw(st.floats(1, 12)),
        max_feed_mm_per_min=draw(st.floats(50, 30_000)),
        max_thrust_n=draw(st.none() | st.floats(100, 30_000)),
        coolant_bar=draw(st.sampled_from([0.0, 10.0, 40.0, 80.0])),
        power_curve=draw(st.sampled_from([(), ((200.0, 0.5), (2000.0, 6.0), (9000.0, 3.0))])),
    )  # fmt: skip
    hole = HoleFeature(
        diameter, depth, draw(st.booleans()),
        draw(st.sampled_from(["", "H7", "H9", "H11", "IT12", "±0.05", "+0.1/0", "rubbish"])),
    )  # fmt: skip
    hardness = draw(st.none() | st.floats(40, 700))
    return Trial(
        "t", machine, Work("work", group, hardness, like=like), hole, (drill,), Economics(1),
        Bounds((1, 1), (0.01, 0.01)), CuttingData(1, 0.01),
        load_limit_pct=draw(st.floats(5, 150)), max_test_holes=draw(st.integers(1, 2000)),
    )  # fmt: skip


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(trials())
def test_no_start_beyond_a_limit(trial: Trial) -> None:
    drill, machine = trial.drills[0], trial.machine
    try:
        start = mechanics.first_cutting_data(
            drill, trial.work, trial.hole, machine, load_limit_pct=trial.load_limit_pct
        )
    except NoStartError as refused:
        problem = refused
    else:
        problem = None
    if problem is not None:
        assert problem.do
        assert problem.limits
        return
    data, bounds = start.cutting_data, start.bounds
    assert mechanics.within_machine(data, drill.diameter_mm, machine) == []
    assert start.load_worn_pct <= trial.load_limit_pct * (1 + 1e-9)
    assert start.load_fresh_pct <= 100
    assert start.thrust_n <= start.thrust_limit_n * (1 + 1e-9)
    assert machine.max_thrust_n is None or start.thrust_n <= machine.max_thrust_n * (1 + 1e-9)
    for (low, high), value in ((bounds.speed_m_per_min, data.speed_m_per_min),
                               (bounds.feed_mm_per_rev, data.feed_mm_per_rev)):  # fmt: skip
        assert low <= value * (1 + 1e-9)
        assert value <= high * (1 + 1e-9)
    # The far corner of the bounds stays within what the machine turns and feeds, and its thrust.
    corner = replace(data, speed_m_per_min=bounds.speed_m_per_min[1],
                     feed_mm_per_rev=bounds.feed_mm_per_rev[1])  # fmt: skip
    if bounds.feed_mm_per_rev[1] > data.feed_mm_per_rev:
        assert mechanics.within_machine(corner, drill.diameter_mm, machine) == []
        thrust = mechanics.expected_thrust_n(corner, drill, trial.work)
        assert thrust <= start.thrust_limit_n * (1 + 1e-6)
    # The maker's range is never passed upwards.
    if drill.maker_speed_m_per_min is not None:
        assert data.speed_m_per_min <= drill.maker_speed_m_per_min[1]
    if drill.maker_feed_mm_per_rev is not None:
        assert data.feed_mm_per_rev <= drill.maker_feed_mm_per_rev[1]
    reasons = start.bound_reasons
    assert all(start.reasons)
    assert all((reasons.speed_low, reasons.speed_high, reasons.feed_low, reasons.feed_high))


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(trials())
def test_every_verdict_has_reason_value_limit_and_source(trial: Trial) -> None:
    [screening] = screen(trial)
    assert tuple(one.rule for one in screening.verdicts) == mechanics.RULE_NAMES
    for verdict in screening.verdicts:
        assert verdict.outcome in mechanics.OUTCOMES
        assert all((verdict.reason, verdict.value, verdict.limit, verdict.source)), verdict
        if verdict.outcome == "does not fit":
            assert verdict.changes, verdict
            assert all(change.text for change in verdict.changes)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(trials())
def test_a_way_out_is_one(trial: Trial) -> None:
    for way in ways_out(trial, trial.drills[0]):
        assert way.changes
        [screening] = screen(way.trial)
        assert not screening.against


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(trials(diameters=st.sampled_from([2.0, 3.0, 3.2, 5.0, 8.0, 8.5, 10.0, 12.0, 20.0])),
       st.sampled_from([1.0, 2.0, 3.0, 4.0, 5.0, 8.0, 10.0, 12.0]))  # fmt: skip
def test_inch_and_metric_give_the_same_verdicts(trial: Trial, depth_xd: float) -> None:
    """Every length goes to inch and back as a text, also exactly at the limits of rules."""

    def there_and_back(value_mm: float | None) -> float | None:
        if value_mm is None:
            return None
        inch = value_mm / 25.4
        return units.parse(f"{inch!r} in", to="mm")

    hole = replace(trial.hole, depth_mm=trial.hole.diameter_mm * depth_xd)
    drill = replace(trial.drills[0], flute_length_mm=hole.depth_mm + 2 * hole.diameter_mm,
                    length=None)  # fmt: skip
    metric = replace(trial, hole=hole, drills=(drill,))
    back = replace(
        metric,
        hole=replace(hole, diameter_mm=there_and_back(hole.diameter_mm),
                     depth_mm=there_and_back(hole.depth_mm)),
        drills=(replace(drill, diameter_mm=there_and_back(drill.diameter_mm),
                        flute_length_mm=there_and_back(drill.flute_length_mm)),),
    )  # fmt: skip
    [one], [other] = screen(metric), screen(back)
    assert [(v.rule, v.outcome) for v in one.verdicts] == [
        (v.rule, v.outcome) for v in other.verdicts
    ]


@given(
    st.floats(0.5, 30), st.floats(20, 600), st.floats(20, 600), st.floats(0.5, 20),
    st.floats(0.5, 20), st.floats(0, 30), st.booleans(),
)  # fmt: skip
def test_holes_keep_their_distance(
    diameter: float, length: float, width: float, edge: float, wall: float, clamp: float,
    usual: bool,
) -> None:  # fmt: skip
    drill, hole = Drill("d", diameter), HoleFeature(diameter, diameter)
    try:
        grid = hole_grid(
            drill, hole, length_mm=length, width_mm=width, clamp_mm=clamp, most=400,
            edge_mm=None if usual else edge, wall_mm=None if usual else wall,
        )  # fmt: skip
    except InputError as refused:
        said = str(refused)
        grid = None
    if grid is None:
        assert "at least" in said
        return
    radius = diameter / 2
    for one in grid.holes:
        assert one.x_mm - radius - clamp >= grid.edge_mm - 1e-3
        assert length - clamp - one.x_mm - radius >= grid.edge_mm - 1e-3
        assert one.y_mm - radius >= grid.edge_mm - 1e-3
        assert width - one.y_mm - radius >= grid.edge_mm - 1e-3
    for one, other in zip(grid.holes, grid.holes[1:], strict=False):
        apart = ((one.x_mm - other.x_mm) ** 2 + (one.y_mm - other.y_mm) ** 2) ** 0.5
        assert apart - diameter >= grid.wall_mm - 2e-3
    assert len({(one.plate, one.x_mm, one.y_mm) for one in grid.holes}) == len(grid.holes)


def test_every_group_is_in_the_catalogue() -> None:
    assert {group for group, _ in MATERIALS} == set(ISO_GROUPS)

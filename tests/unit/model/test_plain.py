from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials.errors import InputError
from trials.model import CuttingData, Economics, Machine, Run, WearReading
from trials.model.plain import from_plain, to_plain

positive = st.floats(0.01, 5.0)


@given(positive, positive, st.sampled_from(["none", "chip_break", "full_retract"]), positive)
def test_round_trip_through_json(speed: float, feed: float, mode: str, peck: float) -> None:
    run = Run(
        number=3,
        drill="A",
        cutting_data=CuttingData(speed, feed, mode, peck),  # type: ignore[arg-type]  # sampled text
        state="ended",
        end="worn",
        holes=12,
        wear=(WearReading(4, vb_average_mm=0.1), WearReading(12, vb_maximum_mm=0.3, note="ü")),
    )
    assert from_plain(Run, json.loads(json.dumps(to_plain(run)))) == run


def test_texts_with_units_are_read() -> None:
    data = {"speed_m_per_min": "300 sfm", "feed_mm_per_rev": "0.004 in/rev"}
    read = from_plain(CuttingData, data)
    assert read.speed_m_per_min == pytest.approx(91.44)
    assert read.feed_mm_per_rev == pytest.approx(0.1016)


def test_money_per_minute_is_not_taken_for_minutes() -> None:
    assert from_plain(Economics, {"machine_rate_per_min": "1,5"}).machine_rate_per_min == 1.5


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({"rated_power_kw": 11.0, "base_rpm": 1500.0}, "max_rpm missing"),
        ({"rated_power_kw": 11.0, "base_rpm": 1500.0, "max_rpm": 1e4, "bse": 1}, "unknown name"),
        ({"rated_power_kw": [11.0], "base_rpm": 1500.0, "max_rpm": 1e4}, "allowed: a number"),
        ({"rated_power_kw": True, "base_rpm": 1500.0, "max_rpm": 1e4}, "allowed: a number"),
        ({"rated_power_kw": "11 mm", "base_rpm": 1500.0, "max_rpm": 1e4}, "not the same kind"),
        ({"rated_power_kw": -1.0, "base_rpm": 1500.0, "max_rpm": 1e4}, "more than 0"),
        ({"rated_power_kw": 11.0, "base_rpm": 1500.0, "max_rpm": 1e4, "name": 4}, "a text"),
        ("11 kW", "a table of names and values"),
    ],
)
def test_refuses_with_place_and_reason(data: object, says: str) -> None:
    with pytest.raises(InputError) as caught:
        from_plain(Machine, data, "trial.toml, machine")
    assert str(caught.value).startswith("trial.toml, machine")
    assert says in str(caught.value)

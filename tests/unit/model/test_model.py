from __future__ import annotations

import dataclasses

import pytest

from trials.errors import InputError, NotFoundError
from trials.model import (
    Bounds,
    CuttingData,
    Drill,
    Economics,
    HoleFeature,
    Machine,
    Run,
    Trial,
    WearReading,
    Work,
)

NAN = float("nan")


def a_trial(**changes: object) -> Trial:
    values: dict[str, object] = {
        "name": "bracket",
        "machine": Machine(11, 1500, 8000),
        "work": Work("S355", "P"),
        "hole": HoleFeature(8.5, 30),
        "drills": (Drill("A", 8.5, price=80.0), Drill("B", 8.5, price=20.0, regrinds=2)),
        "economics": Economics(1.5),
        "bounds": Bounds((50, 120), (0.08, 0.25)),
        "start": CuttingData(80, 0.16),
    } | changes
    return Trial(**values)  # type: ignore[arg-type]  # values of many kinds by name


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: CuttingData(NAN, 0.1), "speed"),
        (lambda: CuttingData(80, -0.1), "feed: got -0.1; allowed: more than 0"),
        (lambda: CuttingData(80, 0.1, "sometimes"), "peck mode"),  # type: ignore[arg-type]
        (lambda: CuttingData(80, 0.1, "chip_break", 0), "peck depth"),
        (lambda: Machine(11, 1500, 1000), "maximum speed"),
        (lambda: Machine(11, 1500, 8000, max_thrust_n=0), "thrust"),
        (lambda: Economics(-1), "machine rate"),
        (lambda: Economics(1, currency="euro"), "ISO 4217"),
        (lambda: HoleFeature(0, 10), "hole diameter"),
        (lambda: Work("", "P"), "work material"),
        (lambda: Work("steel", "X"), "ISO 513"),  # type: ignore[arg-type]
        (lambda: WearReading(5, vb_average_mm=0.3, vb_maximum_mm=0.1), "swapped"),
        (lambda: WearReading(5, vb_average_mm=NAN), "wear VB average"),
        (lambda: Run(1, "A", CuttingData(80, 0.1), end="worn"), "end of run"),
        (lambda: Run(1, "A", CuttingData(80, 0.1), state="ended"), "end of run"),
        (lambda: Bounds((120, 50), (0.1, 0.2)), "bounds of speed"),
        (lambda: Bounds((50, 120), (0.1, 0.2), peck_modes=()), "peck modes"),
        (lambda: a_trial(drills=()), "drills of the trial"),
        (lambda: a_trial(drills=(Drill("A", 8.5), Drill("A", 8.5))), "a different name"),
        (lambda: a_trial(drills=(Drill("A", 12.0),)), "diameter of the drill"),
        (lambda: a_trial(load_limit_pct=500), "load limit"),
    ],
)
def test_a_bad_value_cannot_exist(make: object, says: str) -> None:
    with pytest.raises(InputError, match=says):
        make()  # type: ignore[operator]  # one of the lambdas above


def test_values_are_frozen() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        CuttingData(80, 0.1).speed_m_per_min = 90  # type: ignore[misc]


def test_rated_torque() -> None:
    # M = 9550 · P / n: 11 kW at 1500 /min.
    assert Machine(11, 1500, 8000).rated_torque_n_m == pytest.approx(70.03, abs=0.01)


def test_a_trial_knows_its_drills_and_what_they_cost() -> None:
    trial = a_trial()
    assert trial.drill().name == "A"
    economics = trial.economics_of("B")
    assert (economics.drill_price, economics.regrinds) == (20.0, 2)
    with pytest.raises(NotFoundError, match="one of A, B"):
        trial.drill("C")


def test_largest_wear_of_a_reading() -> None:
    assert WearReading(9, vb_average_mm=0.1, corner_chipping_mm=0.25).largest_mm == 0.25
    assert WearReading(9).largest_mm is None

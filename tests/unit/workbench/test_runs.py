"""Trials and runs through the workbench: what is refused, and what each state allows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.helpers.example_trial import START, example_trial
from trials.errors import ConflictError, InputError, NotFoundError
from trials.model import CuttingData, Machine, WearReading
from trials.workbench import Workbench


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        yield bench


def test_a_shop_that_is_not_there_is_made_or_refused(tmp_path: Path) -> None:
    with pytest.raises(Exception, match="does not exist"):
        Workbench.open(tmp_path / "none", create=False)
    Workbench.open(tmp_path / "none").close()
    with Workbench.open(tmp_path / "none", create=False) as bench:
        assert bench.trials() == []
        assert bench.folder == tmp_path / "none"


def test_a_trial_in_one_line(bench: Workbench) -> None:
    (line,) = bench.trials()
    assert (line.name, line.material, line.group) == ("bracket", "carbon steel", "P")
    assert (line.hole, line.diameter_mm, line.depth_mm, line.through) == (
        "pin hole", 8.5, 25.0, False,
    )  # fmt: skip
    assert (line.runs, line.runs_ended, line.best_cost) == (0, 0, None)
    bench.plan_run("bracket", START)
    bench.end_run("bracket", None, "worn", holes=100)
    bench.plan_run("bracket", START)
    bench.end_run("bracket", None, "worn", holes=200)
    bench.plan_run("bracket", START)
    bench.end_run("bracket", None, "broken", holes=5000)
    bench.plan_run("bracket", START)
    (line,) = bench.trials()
    assert (line.runs, line.runs_ended) == (4, 3)
    assert line.best_cost == bench.cost("bracket", 2).total, "a drill that broke sets no example"
    assert line.currency == "CHF"


@pytest.mark.parametrize(
    ("machine", "data", "says"),
    [
        # 1000·80/(π·8.5) = 2995.9 /min: kinematics as in any machining textbook.
        (Machine(11.0, 1500.0, 2990.0), START, "2996 /min"),
        (Machine(11.0, 1500.0, 8000.0, max_feed_mm_per_min=449.0), START, "449 mm/min"),
        (Machine(0.5, 1500.0, 8000.0), START, "% of its rating"),
        (Machine(11.0, 1500.0, 8000.0, max_thrust_n=300.0), START, "thrust"),
    ],
)
def test_a_run_beyond_the_machine_is_refused(
    bench: Workbench, machine: Machine, data: CuttingData, says: str
) -> None:
    slow = CuttingData(40.0, 0.01)
    bench.new_trial(example_trial("weak", machine=machine, start=slow))
    with pytest.raises(InputError, match=says) as refused:
        bench.plan_run("weak", data)
    assert "\n" not in str(refused.value)
    assert bench.runs("weak") == []
    with pytest.raises(InputError, match=says):
        bench.new_trial(example_trial("weaker", machine=machine))
    assert len(bench.trials()) == 2


def test_a_run_ends_once(bench: Workbench) -> None:
    bench.plan_run("bracket", START, note="first of the box")
    with pytest.raises(InputError, match="Give the number of holes"):
        bench.end_run("bracket", None, "stopped")
    ended = bench.end_run("bracket", None, "chipped", holes=40)
    assert (ended.state, ended.end, ended.holes, ended.note) == (
        "ended", "chipped", 40, "first of the box",
    )  # fmt: skip
    assert bench.run("bracket", 1) == ended
    with pytest.raises(ConflictError, match="already ended: chipped"):
        bench.end_run("bracket", 1, "worn", holes=50)
    with pytest.raises(NotFoundError, match="no open run"):
        bench.end_run("bracket", None, "worn", holes=50)
    assert bench.run("bracket", 1) == ended


@pytest.mark.parametrize("bad", [{"end": "tired"}, {"end": "worn", "holes": -1}])
def test_an_end_that_cannot_be_is_refused(bench: Workbench, bad: dict[str, object]) -> None:
    bench.plan_run("bracket", START)
    with pytest.raises(InputError):
        bench.end_run("bracket", 1, **bad)  # type: ignore[arg-type]  # a screen may send anything
    assert bench.run("bracket", 1).state == "planned"


def test_holes_and_wear_readings_must_agree(bench: Workbench) -> None:
    bench.plan_run("bracket", START)
    bench.add_wear("bracket", None, WearReading(60, 0.1))
    with pytest.raises(InputError, match="at least 60"):
        bench.end_run("bracket", None, "worn", holes=50)
    bench.end_run("bracket", None, "worn", holes=90)
    with pytest.raises(InputError, match="at most 90"):
        bench.add_wear("bracket", 1, WearReading(91, 0.2))
    run = bench.add_wear("bracket", 1, WearReading(90, 0.2))
    assert [reading.hole for reading in run.wear] == [60, 90]


def test_two_people_at_once_lose_nothing(bench: Workbench) -> None:
    bench.plan_run("bracket", START)
    seen = bench.version("bracket", 1)
    bench.add_wear("bracket", 1, WearReading(10, 0.05), version=seen)
    with pytest.raises(ConflictError, match="somebody else"):
        bench.end_run("bracket", 1, "stopped", holes=10, version=seen)
    assert bench.run("bracket", 1).state == "planned"
    bench.end_run("bracket", 1, "stopped", holes=10, version=bench.version("bracket", 1))


def test_a_run_of_another_drill_has_that_drill_s_prices(bench: Workbench) -> None:
    for drill in ("plain", "coated"):
        bench.plan_run("bracket", START, drill=drill)
        bench.end_run("bracket", None, "worn", holes=100)
    plain, coated = bench.cost("bracket", 1), bench.cost("bracket", 2)
    # (80 + 3·20) / 4 edges / 100 holes and 120 / 1 / 100: split into edges is common practice.
    assert plain.drill == pytest.approx(0.35)
    assert coated.drill == pytest.approx(1.20)
    assert plain.change == pytest.approx(1.2 * 2.0 / 100)
    assert coated.total == pytest.approx(sum(coated.parts.values()))


def test_cost_shares_the_edge_by_its_holes_to_wear(bench: Workbench) -> None:
    bench.plan_run("bracket", START)
    bench.add_wear("bracket", 1, WearReading(100, 0.2))
    bench.add_wear("bracket", 1, WearReading(200, 0.4))
    bench.end_run("bracket", 1, "stopped", holes=200)
    wear = bench.holes_to_wear("bracket", 1)
    assert (wear.kind, wear.holes) == ("interpolated", 150.0)
    assert bench.cost("bracket", 1).drill == pytest.approx(35.0 / 150.0)


def test_cost_before_the_first_hole_is_refused(bench: Workbench) -> None:
    bench.plan_run("bracket", START)
    with pytest.raises(InputError, match="no hole drilled yet"):
        bench.cost("bracket", 1)


def test_breaking_is_paid_for(bench: Workbench) -> None:
    economics = replace(example_trial().economics, breakage_cost=300.0)
    bench.new_trial(example_trial("dear", economics=economics))
    for end in ("chipped", "broken"):
        bench.plan_run("dear", START)
        bench.end_run("dear", None, end, holes=50)  # type: ignore[arg-type]  # two of its words
    assert bench.cost("dear", 1).breakage == 0.0
    assert bench.cost("dear", 2).breakage == pytest.approx(300.0 / 50)

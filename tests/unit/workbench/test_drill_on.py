"""An open run weighed and its load heard, through the workbench and by command."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.invented_drills import FAST, NAME, fill, invented_drills, open_run
from trials.errors import InputError
from trials.model import CuttingData, WearLimits, WearReading
from trials.workbench import Workbench

OPEN = 11


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as opened:
        fill(opened, holes_to_make=50_000)
        assert open_run(opened, CuttingData(100, 0.14)) == OPEN
        yield opened


def test_more_holes_are_weighed_against_the_best_other_data(bench: Workbench) -> None:
    seen: list[float] = []
    found = bench.drill_on(NAME, OPEN, on_progress=seen.append)
    # Looks were 700/3 = 233 holes apart; one, two and four more of them.
    assert [one.look.more_holes for one in found.choices] == [233, 466, 932]
    assert [one.look.looks for one in found.choices] == [1, 2, 4]
    assert seen == sorted(seen)
    assert seen[-1] == pytest.approx(1.0)
    rival = bench.cost_range(NAME, "carbide").cost
    assert rival is not None
    for one in found.choices:
        # Machine time alone: there is no coolant, and a look takes no time in this trial.
        assert one.look.holes_expected is not None
        assert one.money.price == pytest.approx(1.3 * 0.06 * one.look.holes_expected)
        assert one.money.rival == pytest.approx(rival.total)
        assert one.money.worth is not None
    assert found.why.startswith(("Drill on.", "Stop now and project."))
    assert (found.best is not None) == found.why.startswith("Drill on.")


def test_what_was_asked_is_weighed(bench: Workbench) -> None:
    (one,) = bench.drill_on(NAME, OPEN, more_holes=90, looks=3).choices
    assert (one.look.more_holes, one.look.looks) == (90, 3)
    with pytest.raises(InputError, match="more holes"):
        bench.drill_on(NAME, OPEN, more_holes=0)
    with pytest.raises(InputError, match="looks"):
        bench.drill_on(NAME, OPEN, looks=-1)


def test_it_says_why_there_is_nothing_to_weigh(bench: Workbench) -> None:
    assert "has ended" in bench.drill_on(NAME, 1).verdict
    bench.add_wear(NAME, OPEN, WearReading(650, vb_maximum_mm=0.35))
    assert "end the run as worn" in bench.drill_on(NAME, OPEN).verdict
    bench.plan_run(NAME, FAST, drill="carbide")
    assert "No hole" in bench.drill_on(NAME, 12).verdict
    bench._shop.store.change_run(NAME, 12, lambda run: replace(run, state="drilled", holes=2000))
    bench.add_wear(NAME, 12, WearReading(2000, vb_maximum_mm=0.1))
    assert "longest test" in bench.drill_on(NAME, 12).verdict
    bench._shop.store.change_run(NAME, 12, lambda run: replace(run, holes=2000, wear=()))
    assert "too few to look ahead" in bench.drill_on(NAME, 12, more_holes=10).verdict


def test_without_another_cost_there_is_no_worth(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(invented_drills())
        bench.plan_run(NAME, FAST, drill="carbide")
        bench._shop.store.change_run(
            NAME, 1, lambda run: replace(run, state="drilled", holes=950, cycle_min=0.06)
        )
        for hole in (300, 600, 900):
            bench.add_wear(NAME, 1, WearReading(hole, vb_maximum_mm=hole / 5000))
        found = bench.drill_on(NAME, 1)
        assert found.best is None
        assert all(one.money.worth is None for one in found.choices)
        assert "cannot be said in money" in found.why


def test_the_command_shows_it_and_the_limits(bench: Workbench) -> None:
    shop = bench.folder
    bench._shop.store.change_trial(
        NAME, lambda trial: replace(trial, wear_limits=WearLimits(vb_maximum_mm=0.6))
    )
    answer = holewise("wear", NAME, "--run", str(OPEN), "--more-holes", "200", data=shop)
    assert answer.status == 0, answer.err
    for part in ("Stop now, or drill on", "worth, EUR", "VB average 0.300 mm, VB maximum 0.600 mm",
                 "% of the limit"):  # fmt: skip
        assert part in answer.out
    inch = holewise("--units", "inch", "wear", NAME, "--run", str(OPEN), data=shop)
    assert "VB maximum 0.0236 in" in inch.out
    assert " mm" not in inch.out


def test_margin_limits_decide_over_a_regrind(bench: Workbench) -> None:
    # Run 7 has a margin chipped by 0.1 mm.
    assert bench.regrind_advice(NAME, 7).action == "retire"
    lost = bench.cost(NAME, 7).drill
    bench._shop.store.change_trial(
        NAME, lambda trial: replace(trial, wear_limits=WearLimits(regrind_margin_mm=0.15))
    )
    assert bench.regrind_advice(NAME, 7).action == "regrind"
    # And in money: the whole price of 95, or an edge's share of drill and regrinds.
    assert lost == pytest.approx(95 / 1150)
    assert bench.cost(NAME, 7).drill == pytest.approx((95 + 72) / 3.439 / 1150)


def test_an_older_look_at_the_margin_is_not_forgotten(bench: Workbench) -> None:
    # The margin was left blank at the last look.
    bench.add_wear(NAME, OPEN, WearReading(610, margin_chipping_mm=0.2, vb_maximum_mm=0.17))
    bench.add_wear(NAME, OPEN, WearReading(650, vb_average_mm=0.18))
    assert bench.regrind_advice(NAME, OPEN).action == "retire"


def test_load_is_heard_where_it_was_recorded(bench: Workbench) -> None:
    found = bench.second_witness(NAME, OPEN)
    assert not found.load.tracks
    assert found.together is None
    assert "only 0 wear readings" in found.why


def test_load_that_tracked_wear_says_more_behind_the_last_look(tmp_path: Path) -> None:
    # Invented: one hole of 2 s every 3 s at 20 values a second, peaks from 40 to 56 % over 260
    # holes, and wear of a thousandth of a mm a hole.
    csv = tmp_path / "run.csv"
    rows = ["time_s,load_pct"]
    for hole in range(260):
        for part in range(60):
            load = 40 * (1 + 0.4 * hole / 260) + 0.2 * (part % 3) if 10 <= part < 50 else 5.0
            rows.append(f"{(hole * 60 + part) / 20:.2f},{load:.2f}")
    csv.write_text("\n".join([*rows, f"{260 * 3:.2f},5.0"]) + "\n", encoding="utf-8")
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(invented_drills(wear_limits=WearLimits(vb_maximum_mm=0.35)))
        bench.plan_run(NAME, FAST, drill="carbide")
        bench.import_trace(NAME, 1, csv)
        assert bench.run(NAME, 1).holes == 260
        for hole in (40, 80, 120, 160, 200):
            bench.add_wear(NAME, 1, WearReading(hole, vb_maximum_mm=hole / 1000))
        bench.end_run(NAME, 1, "stopped")
        alone, load = bench.holes_to_wear(NAME, 1), bench.second_witness(NAME, 1)
        assert load.load.tracks
        assert alone.kind == "projected"
        assert alone.high is not None
        assert load.together is not None
        assert load.together.high is not None
        assert load.together.high / load.together.low < alone.high / alone.low
        assert "With it the limit is expected near hole" in load.why
        # It stays a second opinion: holes to wear are by the readings alone.
        assert bench.holes_to_wear(NAME, 1) == alone

"""Earlier trials of like jobs: which count, how much, what they change, and what stays private."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.helpers.example_trial import example_trial
from trials.errors import ConflictError, InputError
from trials.model import CuttingData, Drill, HoleFeature, Trial, WearReading, Work
from trials.workbench import Workbench, _search
from trials.workbench._like_trials import likeness

TRIAL = example_trial()
PLAIN = TRIAL.drill("plain")
DATA = (CuttingData(80.0, 0.15), CuttingData(95.0, 0.15), CuttingData(80.0, 0.2))


def alike(**changes: object) -> float:
    theirs = replace(TRIAL, name="theirs", **changes)  # type: ignore[arg-type]  # fields of it
    return likeness(TRIAL, PLAIN, theirs, theirs.drills[0])[0]


def drill_runs(bench: Workbench, trial: Trial, *lives: int) -> None:
    for data, holes in zip(DATA, lives, strict=False):
        run = bench.plan_run(trial.name, data)
        bench.end_run(trial.name, run.number, "worn", holes=holes)


def test_the_same_job_is_wholly_alike() -> None:
    assert alike() == 1.0


@pytest.mark.parametrize(
    "changes",
    [
        {"work": Work("stainless", "M", hardness_hb=200.0)},
        {"work": Work("carbon steel", "P", hardness_hb=270.0)},
        {"hole": HoleFeature(8.5, 60.0)},
        {"drills": (Drill("plain", 8.5, substrate="cobalt"),)},
        {"drills": (Drill("plain", 8.5, form="indexable"),)},
        {"hole": HoleFeature(14.0, 42.0), "drills": (Drill("plain", 14.0),)},
        {"invented": False},
    ],
)
def test_another_kind_of_job_is_not_alike(changes: dict[str, object]) -> None:
    assert alike(**changes) == 0.0


def test_each_thing_that_differs_takes_some_of_the_likeness() -> None:
    near = {
        "hardness": {"work": Work("carbon steel", "P", hardness_hb=220.0)},
        "name": {"work": Work("another steel", "P")},
        "coating": {"drills": (Drill("plain", 8.5, coating="TiN"),)},
        "diameter": {"hole": HoleFeature(9.5, 28.0), "drills": (Drill("plain", 9.5),)},
        "depth": {"hole": HoleFeature(8.5, 32.0)},
        "wear limit": {"wear_limit_mm": 0.2},
    }
    found = {what: alike(**changes) for what, changes in near.items()}
    assert all(0.25 < value < 1 for value in found.values()), found
    both = alike(**near["hardness"], **near["depth"])
    assert both < min(found["hardness"], found["depth"])


def test_a_like_trial_counts_is_shown_and_can_be_left_out(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(TRIAL)
        blank = bench.suggest("bracket")
        old = replace(TRIAL, name="old")
        bench.new_trial(old)
        drill_runs(bench, old, 900, 500, 850)
        found = bench.like_trials("bracket")
        [one] = found.used
        assert (one.trial, one.drill, one.runs, one.likeness) == ("old", "plain", 3, 1.0)
        assert "the same drill" in one.why
        assert found.holes_with is not None
        assert found.holes_without is not None
        # Long lives there promise a longer one here, and more surely.
        assert found.holes_with.median > 1.3 * found.holes_without.median
        assert found.holes_without == blank.holes
        told = bench.suggest("bracket")
        assert told.holes == found.holes_with
        # Left out once, and for good.
        assert bench.suggest("bracket", alone=True) == blank
        assert bench.set_search("bracket", alone=True).alone
        assert bench.suggest("bracket") == blank
        left = bench.like_trials("bracket")
        assert (left.used, [each.trial for each in left.left_out]) == ((), ["old"])
        assert bench.suggest("bracket", alone=False) == told


def test_without_a_like_trial_nothing_changes(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(replace(TRIAL, drills=(PLAIN,)))
        drill_runs(bench, TRIAL, 200, 150)
        before = (bench.suggest("bracket"), bench.recommend("bracket"),
                  bench.response_map("bracket"), bench.plan("bracket", 2))  # fmt: skip
        other = replace(TRIAL, name="other", work=Work("aluminium", "N"))
        bench.new_trial(other)
        drill_runs(bench, other, 5000, 4000)
        empty = replace(TRIAL, name="empty")
        bench.new_trial(empty)
        bench.plan_run("empty", DATA[0])
        assert bench.like_trials("bracket").used == ()
        after = (bench.suggest("bracket"), bench.recommend("bracket"),
                 bench.response_map("bracket"), bench.plan("bracket", 2))  # fmt: skip
        assert after == before


def test_prices_of_another_trial_tell_nothing(tmp_path: Path) -> None:
    told = []
    for rate, price in ((1.2, 80.0), (987.0, 12345.0)):
        with Workbench.open(tmp_path / f"shop {rate}") as bench:
            bench.new_trial(TRIAL)
            drill_runs(bench, TRIAL, 200)
            dear = replace(
                TRIAL, name="old", holes_to_make=int(price), drills=(replace(PLAIN, price=price),),
                economics=replace(TRIAL.economics, machine_rate_per_min=rate, currency="USD",
                                  breakage_cost=price),
            )  # fmt: skip
            bench.new_trial(dear)
            drill_runs(bench, dear, 900, 500)
            told.append((bench.suggest("bracket"), bench.like_trials("bracket")))
            assert "12345" not in repr(bench.like_trials("bracket").used[0].earlier)
            # Names of other trials stay in the shop.
            assert "old" not in bench.suggest("bracket").why.split()
    assert told[0] == told[1]


def test_other_drills_of_the_trial_tell_each_other_and_the_next_drill_is_chosen(
    tmp_path: Path,
) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(TRIAL)
        drill_runs(bench, TRIAL, 900, 700)
        [one] = bench.like_trials("bracket", "coated").used
        assert (one.trial, one.drill, one.runs) == ("bracket", "plain", 2)
        found = bench.next_test("bracket")
        assert {test.drill for test in found.tests} == {"plain", "coated"}
        assert found.tests[0].drill == found.drill
        by_name = {test.drill: test for test in found.tests}
        assert by_name["coated"].runs == 0
        # The same figures as when one asks for that drill.
        asked = bench.suggest("bracket", "coated")
        assert by_name["coated"].suggestion is not None
        assert by_name["coated"].suggestion.holes == asked.holes


def test_what_the_maker_forbids_is_never_passed(tmp_path: Path) -> None:
    drill = replace(PLAIN, maker_most_speed_m_per_min=82.0, maker_most_feed_mm_per_rev=0.16)
    trial = replace(TRIAL, drills=(drill,))
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(trial)
        drill_runs(bench, replace(trial, name="bracket"), 900)
        for one in bench.plan("bracket", 3):
            assert one.cutting_data.speed_m_per_min <= 82.0
            assert one.cutting_data.feed_mm_per_rev <= 0.16
        assert (
            "The maker forbids more than 82 m/min and 0.16 mm/rev" in bench.suggest("bracket").why
        )
        with pytest.raises(InputError, match="forbids more than 82 m/min"):
            bench.plan_run("bracket", CuttingData(90.0, 0.15))
    with pytest.raises(InputError, match="forbids more than 70 m/min"):
        replace(TRIAL, drills=(replace(PLAIN, maker_most_speed_m_per_min=70.0),))


def test_what_the_maker_recommends_shifts_what_is_expected() -> None:
    lives = {}
    for name, span in (("none", None), ("faster", (100.0, 140.0)), ("slower", (40.0, 60.0))):
        trial = replace(TRIAL, drills=(replace(PLAIN, maker_speed_m_per_min=span),))
        answer = _search.ask(trial, [], None, "suggest")
        lives[name] = answer.holes.median
        assert ("maker's range" in answer.why) == (span is not None)
    assert lives["faster"] > lives["none"] > lives["slower"]


def test_little_wear_of_a_stopped_run_promises_more_than_much(tmp_path: Path) -> None:
    expected = []
    for wear in (0.06, 0.27):
        with Workbench.open(tmp_path / f"shop {wear}") as bench:
            bench.new_trial(TRIAL)
            bench.plan_run("bracket", DATA[0])
            for share in (0.25, 0.5, 0.75, 1.0):
                reading = WearReading(int(200 * share), vb_average_mm=wear * share)
                bench.add_wear("bracket", 1, reading)
            bench.end_run("bracket", 1, "stopped", holes=200)
            answer = _search.ask(bench.trial("bracket"), bench.runs("bracket"), None, "recommend")
            shown, _ = _search.results(bench.trial("bracket"), bench.runs("bracket"), "plain")
            assert len(shown[0].wear) == 4
            expected.append(answer.cost_per_hole.median)
    # Worn at 0.3 mm: near hole 1000 and near hole 222. So the one costs much less a hole.
    assert expected[0] < 0.8 * expected[1]


def test_a_plan_becomes_runs_in_its_order_with_the_length_of_each_test(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(TRIAL)
        drill_runs(bench, TRIAL, 200, 150, 220)
        tests = bench.plan("bracket", 3)
        sheet = bench.plan_card("bracket", 3)
        runs = bench.use_plan("bracket", 3)
        assert [run.cutting_data for run in runs] == [test.cutting_data for test in tests]
        assert [run.test_holes for run in runs] == [test.test_holes for test in tests]
        assert [run.number for run in runs] == [4, 5, 6]
        assert bench.run("bracket").number == 4
        for number in (4, 5, 6):
            assert f'<h2 id="run-{number}">' in sheet
        assert "CHF" not in sheet
        with pytest.raises(ConflictError, match="run 4 of bracket is planned"):
            bench.use_plan("bracket", 2)
        assert len(bench.runs("bracket")) == 6


def test_certainty_and_longest_test_are_set_and_reach_the_search(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(TRIAL)
        changed = bench.set_search("bracket", p_safe=0.99, max_test_holes=120)
        assert (changed.p_safe, changed.max_test_holes) == (0.99, 120)
        asked = _search.problem(bench.trial("bracket"), None)
        assert (asked.p_safe, asked.max_test_holes) == (0.99, 120)
        with pytest.raises(InputError, match="certainty"):
            bench.set_search("bracket", p_safe=1.0)
        assert bench.trial("bracket").p_safe == 0.99

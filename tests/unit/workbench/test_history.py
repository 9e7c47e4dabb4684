"""Questions over all trials, asked of a whole invented shop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_shop import fill
from trials.errors import InputError
from trials.model import Drill, LikeJobs, WearReading, Work
from trials.workbench import Workbench, _history, _history_trend


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workbench]:
    with Workbench.open(tmp_path_factory.mktemp("shop")) as bench:
        fill(bench._shop.store, 60, 600)
        yield bench


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as bench:
        yield bench


def _ended(bench: Workbench, name: str, ends: list[tuple[str, int]], drill: str = "plain") -> None:
    for end, holes in ends:
        run = bench.plan_run(name, START, drill=drill)
        bench.end_run(name, run.number, end, holes=holes)  # type: ignore[arg-type]  # ends of a test


def test_which_drill_did_best_follows_how_the_lives_were_made(shop: Workbench) -> None:
    found = shop.history(LikeJobs(group="P"))
    assert found.drills is not None
    lives = {one.drill: one.life[1] for one in found.drills.drills if one.life is not None}
    # As the shop was made: cobalt drills wear out first and coated ones last by far.
    assert min(lives, key=lambda name: lives[name]) == "cobalt"
    assert lives["coated"] > 1.5 * lives["cobalt"]
    for one in found.drills.drills:
        if one.cost is not None:
            assert one.cost[0] < one.cost[1] < one.cost[2]
    assert found.drills.drills[0].p_dearer is None
    assert all(0.5 <= (one.p_dearer or 1) <= 1 for one in found.drills.drills[1:4])


def test_like_jobs_are_chosen_by_group_diameter_and_depth(shop: Workbench) -> None:
    like = shop.like_jobs("job 0000")
    names = {edge.job.name for edge in _history.edges_like(shop._shop, like)}
    assert like.diameter_mm is not None and like.depth_xd is not None  # noqa: PT018
    for summary in shop.trials():
        depth = summary.depth_mm / summary.diameter_mm
        hardness = shop.trial(summary.name).work.hardness_hb or 0.0
        wanted = (
            summary.group == like.group
            and like.diameter_mm[0] <= summary.diameter_mm <= like.diameter_mm[1]
            and like.depth_xd[0] <= depth <= like.depth_xd[1]
            and (like.hardness_hb or (0, 0))[0] <= hardness <= (like.hardness_hb or (0, 0))[1]
        )
        assert (summary.name in names) == wanted


def test_currencies_are_never_mixed(shop: Workbench) -> None:
    found = shop.history(LikeJobs())
    assert found.trend is not None and found.drills is not None  # noqa: PT018
    assert found.like.currency == found.trend.currency == found.drills.currency == "CHF"
    assert dict(found.drills.others).keys() == {"USD"}
    dollars = shop.history(LikeJobs(currency="USD"))
    assert dollars.trend is not None
    assert sum(one.edges for one in dollars.trend.quarters) < sum(
        one.edges for one in found.trend.quarters
    )
    nowhere = shop.history(LikeJobs(currency="JPY"))
    assert nowhere.drills is None or not nowhere.drills.drills
    assert nowhere.scatter is not None  # lives have no currency


def test_invented_and_real_stand_apart(bench: Workbench) -> None:
    bench.new_trial(example_trial("made up", invented=True))
    bench.new_trial(example_trial("real", invented=False))
    _ended(bench, "made up", [("worn", 100), ("worn", 110)])
    _ended(bench, "real", [("worn", 300)])
    assert bench.history(LikeJobs()).edges == 1
    assert bench.history(LikeJobs(invented=True)).edges == 2


def test_a_new_run_changes_the_answer_at_once(bench: Workbench) -> None:
    bench.new_trial(example_trial("real", invented=False))
    _ended(bench, "real", [("worn", 300)])
    assert bench.history().edges == 1
    _ended(bench, "real", [("worn", 310)])
    assert bench.history().edges == 2


def test_an_edge_worn_before_it_was_stopped_counts_as_worn(bench: Workbench) -> None:
    """The same evidence as within its trial: one rule for both."""
    bench.new_trial(example_trial("real", invented=False))
    run = bench.plan_run("real", START)
    bench.end_run("real", run.number, "stopped", holes=300)
    for hole, wear in ((100, 0.1), (200, 0.2), (300, 0.4)):
        bench.add_wear("real", run.number, WearReading(hole, vb_maximum_mm=wear))
    (edge,) = _history.edges_like(bench._shop, LikeJobs())
    assert (edge.run.end, edge.run.holes) == ("worn", 250)
    known = bench.holes_to_wear("real", run.number)
    assert known.holes == 250


def test_lives_by_another_wear_limit_are_what_the_readings_say_of_it(bench: Workbench) -> None:
    bench.new_trial(example_trial("a", invented=False))
    for _ in range(3):
        run = bench.plan_run("a", START, drill="plain").number
        for part in (1, 2, 3):
            bench.add_wear("a", run, WearReading(100 * part, vb_maximum_mm=0.1 * part))
        bench.end_run("a", run, "worn", holes=300)
    for limit, lives in ((0.2, [("worn", 200)] * 3), (0.4, [("stopped", 300)] * 3)):
        found = _history.edges_like(bench._shop, LikeJobs(wear_limit_mm=limit))
        # Wear grows by 0.1 mm every hundred holes, so at 0.2 mm it was worn after two hundred.
        assert [(one.run.end, one.run.holes) for one in found] == lives
    with pytest.raises(InputError, match="wear limit"):
        LikeJobs(wear_limit_mm=0.0)


def test_too_little_is_said(bench: Workbench) -> None:
    bench.new_trial(example_trial("real", invented=False))
    assert bench.history().drills is None
    _ended(bench, "real", [("stopped", 100), ("worn", 90)])
    _ended(bench, "real", [("stopped", 100)], drill="coated")
    found = bench.history()
    assert found.drills is not None and found.scatter is not None  # noqa: PT018
    assert found.trend is not None
    by_name = {one.drill: one for one in found.drills.drills}
    assert "no edge came to its end" in by_name["coated"].verdict
    assert by_name["coated"].cost is None
    assert "not enough failures" in found.scatter.said[0]
    assert "Too little for a trend" in found.trend.said[0]
    assert found.trend.stopped == 2


def test_a_material_is_found_by_part_of_its_name_also_with_signs(bench: Workbench) -> None:
    for name, material in (("a", "Steel 50%_x"), ("b", "Steel 50 y")):
        bench.new_trial(example_trial(name, work=Work(material, "P"), invented=False))
        _ended(bench, name, [("worn", 100)])
    assert bench.history(LikeJobs(material="steel")).trials == 2
    assert bench.history(LikeJobs(material="50%_")).trials == 1


def test_cost_of_a_quarter_is_money_over_holes(bench: Workbench) -> None:
    """By hand: (rate·cycle·holes + drill + change)/holes; common practice, no source."""
    trial = example_trial("real", invented=False)
    bench.new_trial(trial)
    _ended(bench, "real", [("worn", 100), ("worn", 300)], drill="coated")
    edges = _history.edges_like(bench._shop, LikeJobs())
    (quarter,) = _history_trend.cost_trend(edges, "CHF").quarters
    cycle = edges[0].run.cycle_min or 0.0
    money = trial.economics
    each = 120.0 + money.machine_rate_per_min * money.tool_change_min
    by_hand = (400 * cycle * money.machine_rate_per_min + 2 * each) / 400
    assert quarter.cost[1] == pytest.approx(by_hand, rel=1e-12)
    now = datetime.now(UTC)
    assert (quarter.year, quarter.quarter) == (now.year, (now.month - 1) // 3 + 1)
    assert quarter.cost[0] is None  # two edges give no range


def test_the_choice_expects_lives_by_own_trials_and_says_so(shop: Workbench) -> None:
    asked = shop.trial("job 0000")
    for name in ("plain", "never seen"):
        drill = Drill(name, asked.hole.diameter_mm, price=50.0)
        trial = replace(asked, name="next job", drills=(drill,), invented=False)
        (candidate,) = shop.choose(trial).candidates
        assert candidate.life is not None
        assert candidate.life.low < candidate.life.middle < candidate.life.high
        like = replace(LikeJobs.to(trial), currency=None)
        ended = [
            edge for edge in _history.edges_like(shop._shop, like) if edge.run.end != "stopped"
        ]
        same = [edge for edge in ended if edge.run.drill == name]
        enough = len(same) >= 3 and len({edge.job.key for edge in same}) >= 2
        # All drills of the invented shop are of one substrate and coating.
        count = len(same if enough else ended)
        assert candidate.life.source.startswith(f"own trials: {count} ended edges")
        expected = replace(drill, expected_holes=777.0)
        (told,) = shop.choose(replace(trial, drills=(expected,))).candidates
        assert told.life is not None
        assert told.life.source == "as expected for this drill"


def test_without_like_trials_the_catalogue_is_taken(bench: Workbench) -> None:
    (first, *_) = bench.choose(example_trial("first", invented=False)).candidates
    assert first.life is not None
    assert first.life.source.startswith("catalogue")

"""Lives, costs and choices through the workbench, and by command, metric and inch."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.invented_drills import FAST, NAME, SLOW, invented_drills, invented_shop
from trials.errors import InputError
from trials.workbench import Workbench


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return invented_shop(tmp_path_factory.mktemp("money") / "shop")


@pytest.fixture
def bench(folder: Path) -> Iterator[Workbench]:
    with Workbench.open(folder) as opened:
        yield opened


def test_drills_are_compared_like_with_like(bench: Workbench) -> None:
    found = bench.comparison(NAME)
    first, second, last = found.found.drills
    assert (first.drill, first.verdict) == ("carbide", "cheapest")
    assert (second.drill, second.verdict) == ("cobalt", "dearer")
    assert (last.drill, last.verdict, last.cost) == ("unworn", "not enough runs", None)
    (pair,) = found.found.differences
    assert pair.p_cheaper > 0.95
    assert pair.paired == 2
    assert [step.advice for step in found.steps] == ["decided"]
    assert bench.compare(NAME) == list(found.found.drills)


def test_the_cheaper_drill_to_start_with_depends_on_the_run(bench: Workbench) -> None:
    small = bench.run_size(NAME)
    assert small.sizes is not None
    assert (small.sizes.now, small.sizes.later) == ("cobalt", "carbide")
    assert "start with cobalt" in small.sizes.advice
    large = bench.run_size(NAME, holes=50_000)
    assert large.sizes is not None
    assert large.sizes.now == "carbide"
    # What is spent on tests moves the break-even; leaving it out moves it down or leaves it.
    spent = bench.run_size(NAME, count_tests=False)
    assert spent.sizes is not None
    assert spent.sizes.lines[0].dialling_in == 0
    assert [one.drill for one in small.dialling_in] == ["carbide"]
    assert any("unworn" in sentence for sentence in small.without)


def test_a_cost_has_a_range_and_a_broken_run_bears_its_drill(bench: Workbench) -> None:
    found = bench.cost_range(NAME, "carbide")
    assert found.cost is not None
    assert found.low is not None
    assert found.low < found.cost.total
    assert found.ended == 3
    assert not bench.cost_range(NAME, "unworn").ok
    # Run 3 broke after 95 holes: the whole price of 14, not a share of it with regrinds.
    assert bench.cost(NAME, 3).drill == pytest.approx(14 / 95)
    assert bench.cost(NAME, 3).breakage == pytest.approx(60 / 95)
    # Run 1 wore out: (14 + 4·5)/5 over its holes to wear, 0.30 of 0.32 mm on a straight line.
    assert bench.cost(NAME, 1).drill == pytest.approx(6.8 / (140 * 0.30 / 0.32), rel=1e-3)


def test_the_trial_itself_has_a_price(bench: Workbench) -> None:
    spent = bench.trial_cost(NAME)
    assert [one.run for one in spent] == list(range(1, 11))
    assert spent[2].parts["breakage"] == 60
    assert spent[0].parts["change"] == pytest.approx(2.6)


def test_lives_and_interval_or_a_verdict(bench: Workbench) -> None:
    life = bench.life(NAME, "carbide")
    assert life.cutting_data == FAST
    assert life.runs == (6, 7, 8, 9)
    assert life.choice is not None
    assert life.choice.best.ok
    assert set(life.modes) == {"worn", "chipped"}
    assert bench.life(NAME, run=1).cutting_data == SLOW
    unworn = bench.life(NAME, "unworn")
    assert unworn.choice is not None
    assert not unworn.choice.best.ok
    found = bench.interval(NAME, "carbide", risk=0.05, holes_per_part=4)
    assert found.interval is not None
    assert found.rounded is not None
    assert found.interval.holes is not None
    assert found.rounded.holes % 4 == 0
    assert found.rounded.holes <= found.interval.holes
    # By hand: edge (95 + 3·24)/(1 + .9 + .81 + .729) with 4 changes of 2.6 over the same lives.
    lives = 1 + 0.9 + 0.81 + 0.729
    assert found.planned_cost == pytest.approx((95 + 72 + 4 * 2.6) / lives)
    none = bench.interval(NAME, "unworn").interval
    assert none is not None
    assert (none.holes, none.ok) == (None, False)
    with pytest.raises(InputError, match="between 0 and 1"):
        bench.interval(NAME, "carbide", risk=2.0)


def test_regrind_advice_follows_the_last_look(bench: Workbench) -> None:
    assert bench.regrind_advice(NAME, 1).action == "regrind"
    assert bench.regrind_advice(NAME, 3).action == "retire"
    assert "margin" in bench.regrind_advice(NAME, 7).rule


def test_a_trial_without_runs_has_no_numbers(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as empty:
        empty.new_trial(invented_drills())
        assert empty.run_size(NAME).sizes is None
        assert empty.run_size_figure(NAME) is None
        assert {one.verdict for one in empty.compare(NAME)} == {"not enough runs"}
        assert empty.life(NAME).choice is None
        assert empty.interval(NAME).interval is None
        assert empty.cost_breakdown(NAME).bars == ()
        assert empty.trial_cost(NAME) == []


def test_every_command_says_it_in_words(folder: Path) -> None:
    said = {
        ("compare", NAME): ("start with cobalt", "over 99 %", "this run", "move to carbide",
                            "every edge was stopped early"),
        ("cost", NAME, "--drill", "carbide"): ("together", "100%", "nine cases of ten",
                                               "The trial has cost"),
        ("cost", NAME, "--run", "3"): ("It broke: retire it", "breakage"),
        ("cost", NAME, "--drill", "unworn"): ("let one wear out",),
        ("life", NAME, "--drill", "carbide"): ("Half of the edges", "more than 1500", "chipped"),
        ("life", NAME, "--drill", "unworn"): ("not enough failures",),
        ("interval", NAME, "--drill", "carbide", "--risk", "1 in 20"): ("Change after",
                                                                      "In production: every"),
        ("interval", NAME, "--drill", "unworn"): ("not enough failures",),
        ("wear", NAME, "--run", "7"): ("margin is chipped by 0.1 mm", "0.200 mm"),
    }  # fmt: skip
    for line, parts in said.items():
        answer = holewise(*line, data=folder)
        assert answer.status == 0, answer.err
        for part in parts:
            assert part in answer.out, f"{line}: {part!r} not in\n{answer.out}"


def test_lengths_and_speeds_are_in_inch_when_asked(folder: Path) -> None:
    for line in (("wear", NAME, "--run", "7"), ("life", NAME, "--drill", "carbide")):
        answer = holewise("--units", "inch", *line, data=folder)
        assert answer.status == 0, answer.err
        assert " mm" not in answer.out
        assert " in" in answer.out
    # 90 m/min is 90/0.3048 = 295 ft/min.
    assert "295 ft/min" in answer.out


def test_a_risk_can_be_written_as_people_say_it() -> None:
    from trials.cli.interval import read_risk

    assert read_risk("1 in 100") == read_risk("1 %") == read_risk("0.01") == pytest.approx(0.01)
    with pytest.raises(InputError, match="--risk"):
        read_risk("seldom")

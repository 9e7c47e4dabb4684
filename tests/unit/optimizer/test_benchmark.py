"""The benchmark's quick form, its measures, and that its processes are what they say."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from tests.benchmarks.optimizer import process as process_of_benchmark
from tests.benchmarks.optimizer import table
from tests.benchmarks.optimizer.__main__ import rows_of, tables
from tests.benchmarks.optimizer.held_out import HELD_OUT
from tests.benchmarks.optimizer.known import KNOWN, HeatCliff, TorqueWall, WorkHardening
from tests.benchmarks.optimizer.peers.plain import PLAIN
from tests.benchmarks.optimizer.process import Process
from tests.benchmarks.optimizer.table import extra_money_of_stop, markdown, row
from tests.benchmarks.optimizer.trial import run_trial

PEERS = {peer.name: peer for peer in PLAIN}
TESTS = 6


@pytest.fixture
def quick_optimum(monkeypatch: pytest.MonkeyPatch) -> None:
    """Close enough, and many times as fast."""
    monkeypatch.setattr(process_of_benchmark, "_GRID", 14)
    monkeypatch.setattr(process_of_benchmark, "_DEPTHS", 8)
    monkeypatch.setattr(process_of_benchmark, "_LOOKED_AT_CLOSELY", 1)
    monkeypatch.setattr(process_of_benchmark, "_CLOSER", (0.05,))


@pytest.mark.usefixtures("quick_optimum")
@pytest.mark.parametrize("kind", [*KNOWN, *HELD_OUT])
def test_every_process_can_be_searched(kind: type[Process]) -> None:
    process = kind()
    start = process.problem.start
    assert process.allowed(start)
    # Something to find, and the start is no trap: few of its drills break.
    lowest, best = process.optimum
    assert process.cost(start) > 1.1 * lowest
    assert process.allowed(best)
    assert process.p_break(start) < 0.1


@pytest.mark.usefixtures("quick_optimum")
def test_safety_costs_where_the_load_limit_binds() -> None:
    wall = TorqueWall()
    _, best = wall.optimum
    assert wall.allowed(best)
    assert not wall.allowed(best, surely=True)
    # 95 % of drills below the limit is 7 % less load there, and feed costs more than its share.
    assert 1.03 < wall.price_of_safety < 1.1
    assert HeatCliff().price_of_safety == 1.0


def test_quick_form_is_cheaper_safer_than_peers() -> None:
    processes = [HeatCliff(), WorkHardening()]
    above: dict[str, list[float]] = {}
    over: dict[str, int] = {}
    for name in ("holewise", "random", "one factor at a time", "central composite"):
        trials = [run_trial(process, PEERS[name], 0, TESTS) for process in processes]
        above[name] = [steps[-1]["above"] for steps in trials]
        over[name] = sum(step["over_limit"] for steps in trials for step in steps)
        assert not any(step["unsafe"] for steps in trials for step in steps) or name != "holewise"
    own = sum(above.pop("holewise"))
    # A worn drill stays below with 95 %: where the limit is near, one in twenty may not.
    assert over["holewise"] <= 1
    assert own / len(processes) < 0.15
    assert all(own < sum(peer) for peer in above.values())


def _step(above: float, cost: float, money: float = 10.0, stop: bool = False) -> dict:
    return {
        "above": above, "above_safe": above, "cost": cost, "money": money, "stop": stop,
        "unsafe": False, "over_limit": False, "broken": False, "base_break": 0.02,
        "optimum_break": 0.03, "seconds": 0.1, "life": 0.9, "load": 0.9, "cost_range": 0.9,
    }  # fmt: skip


def test_tests_to_counts_until_it_stays() -> None:
    trial = [_step(a, 1.0) for a in (0.3, 0.08, 0.2, 0.04, 0.09)]
    assert table.tests_to(trial, 0.10) == 4
    assert math.isinf(table.tests_to(trial, 0.05))


def test_extra_money_of_a_stop_by_hand() -> None:
    # 100 holes: after one test 10 + 100·2 = 210, after two 20 + 100·1 = 120, after three 30 + 100.
    trial = [_step(1, 2.0), _step(0, 1.0), _step(0, 1.0, stop=True)]
    assert extra_money_of_stop(trial, 100) == pytest.approx(0.0)
    early = [_step(1, 2.0), _step(0, 1.0, stop=True), _step(0, 1.0)]
    assert extra_money_of_stop(early, 100) == pytest.approx(210 / 120 - 1)


def test_drills_broken_until_the_stop_are_told_apart() -> None:
    broken = {**_step(0, 1.0), "broken": True}
    trial = [_step(1, 2.0), broken, _step(0, 1.0, stop=True), broken]
    one = row("one", {0: [trial], 1: [trial[:2]]})
    assert one.broken == 3
    assert one.until_stop == (4, 2, pytest.approx(0.08))
    assert "2 drills broke in 4 tests (0 by themselves)" in table.coverage(one)


@pytest.mark.usefixtures("quick_optimum")
def test_rows_of_ways_that_were_not_run_again_stay(tmp_path: Path) -> None:
    def keep(peer: str, process: str, above: float) -> None:
        trial = {"peer": peer, "process": process, "seed": 0, "steps": [_step(above, 1.0)] * 20}
        (tmp_path / f"{peer} {process}.json").write_text(json.dumps(trial), "utf-8")

    keep("holewise", "tie rod", 0.02)
    keep("random", "tie rod", 0.3)
    keep("holewise", "shaft end", 0.06)
    rows = "| | after 20 |\n| --- | --- |\n| random | 9 % |\n| Optuna | 7 % |\n"
    old = f"**Tie rod**, 3 seeds\n\n{rows}"
    kept = rows_of(tables(tmp_path, 20, old))
    assert list(kept["all processes"]) == ["holewise"]  # random was not run on all of them
    assert kept["tie rod"]["Optuna"] == "| Optuna | 7 % |"
    assert "30.0 %" in kept["tie rod"]["random"]
    assert list(kept["shaft end"]) == ["holewise"]


def test_table_names_every_measure() -> None:
    found = markdown([row("one", {0: [[_step(0.02, 1.0)] * 20]})])
    assert found.count("\n") == 3
    assert "2.0 %" in found
    assert "0 of 20" in found
    assert "| 0 (0, 1) |" in found  # 20 tests of 2 % and of 3 %

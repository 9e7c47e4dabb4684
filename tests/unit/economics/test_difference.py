"""One drill against another: ties, pairing, more runs, when to stop."""

from __future__ import annotations

from dataclasses import replace

import pytest

from trials.economics import Comparison, Difference, compare, next_step
from trials.errors import InputError
from trials.model import CuttingData, Economics, End, Run

DATA = CuttingData(80, 0.12)
MONEY = {"a": Economics(1.0, drill_price=60), "b": Economics(1.0, drill_price=60)}


def runs(lives: list[int], batches: list[str] | None = None, end: End = "worn") -> list[Run]:
    return [
        Run(
            n, "x", DATA, state="ended", end=end, holes=holes, cycle_min=0.1,
            batch=batches[n - 1] if batches else "",
        )
        for n, holes in enumerate(lives, start=1)
    ]  # fmt: skip


def pair(
    a: list[int], b: list[int], batches_a: list[str] | None = None,
    batches_b: list[str] | None = None,
) -> Difference:  # fmt: skip
    found = compare({"a": runs(a, batches_a), "b": runs(b, batches_b)}, MONEY)
    return found.differences[0]


def test_the_same_lives_are_a_tie_at_even_odds() -> None:
    found = pair([300, 320, 280], [300, 320, 280])
    assert found.tie
    assert found.p_cheaper == pytest.approx(0.5, abs=0.03)
    assert found.low < 0 < found.high


def test_more_evidence_makes_surer() -> None:
    sure = [pair([300] * n, [420] * n).p_cheaper for n in (1, 3, 8)]
    assert sure == sorted(sure)
    assert pair([300] * 8, [420] * 8).cheaper == "b"


def test_a_hard_batch_is_not_held_against_the_drill_that_met_it() -> None:
    # Both drills met both batches; the hard one takes two thirds of the life. Within each batch
    # the second drill lasts a fifth longer. Knowing the batches makes that surer.
    a, b = [300, 310, 100, 103], [360, 372, 120, 124]
    heats = ["soft", "soft", "hard", "hard"]
    blind = pair(a, b)
    paired = pair(a, b, heats, heats)
    assert (blind.paired, paired.paired) == (0, 2)
    assert blind.cheaper == paired.cheaper == "b"
    assert paired.p_cheaper > blind.p_cheaper + 0.05
    assert paired.high - paired.low < blind.high - blind.low


def test_a_drill_that_only_met_the_hard_batch_is_not_called_dearer() -> None:
    lives_a, lives_b = [300, 310, 100], [102, 99]
    blind = pair(lives_a, lives_b)
    known = pair(lives_a, lives_b, ["soft", "soft", "hard"], ["hard", "hard"])
    assert blind.cheaper == "a"
    assert abs(known.p_cheaper - 0.5) < abs(blind.p_cheaper - 0.5)


def test_more_runs_settle_more() -> None:
    found = pair([300], [390])
    chances = [chance for _, chance in found.next_runs]
    assert chances[-1] > chances[0]
    assert all(0 <= chance <= 1 for chance in chances)
    assert [count for count, _ in found.next_runs] == [1, 2, 3, 4, 6, 8, 12]


def test_advice_to_stop_or_go_on() -> None:
    decided = pair([300] * 6, [600] * 6)
    assert next_step(decided, 50.0, 5000).advice == "decided"
    open_one = pair([300, 280], [350, 300])
    assert open_one.tie
    assert next_step(open_one, 1e6, 100).advice == "not worth more"
    cheap_tests = next_step(open_one, 0.01, None)
    assert cheap_tests.advice in ("test more", "hard to tell")
    same = replace(open_one, p_same=0.95)
    assert next_step(same, 0.01, None).advice == "same"
    with pytest.raises(InputError, match="price of a run"):
        next_step(open_one, -1.0, None)


def test_drills_without_an_end_have_no_difference() -> None:
    found: Comparison = compare({"a": runs([300]), "b": runs([500], end="stopped")}, MONEY)
    assert found.differences == ()
    assert [one.verdict for one in found.drills] == ["alone", "not enough runs"]

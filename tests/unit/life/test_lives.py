"""Lives as runs show them, and what counts without a model."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from trials.errors import InputError
from trials.life import (
    Life,
    cumulative_incidence,
    ended_at,
    ended_between,
    fit_lives,
    fit_modes,
    kaplan_meier,
    life_of_run,
    stopped_at,
)
from trials.model import CuttingData, End, Run, WearReading


def run(end: End | None, holes: int, *wear: tuple[int, float]) -> Run:
    return Run(
        1, "a drill", CuttingData(80, 0.2), "drilled" if end is None else "ended", end, holes,
        wear=tuple(WearReading(hole, vb_maximum_mm=mm) for hole, mm in wear),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("one", "life"),
    [
        (run("worn", 200), ended_at(200, "worn")),
        (run("worn", 220, (100, 0.2), (200, 0.4)), ended_between(100, 200, "worn")),
        (run("worn", 200, (100, 0.2), (200, 0.3)), ended_at(200, "worn")),
        (run("stopped", 200), stopped_at(200)),
        (run("stopped", 220, (100, 0.2), (200, 0.4)), ended_between(100, 200, "worn")),
        # A projection is no evidence.
        (run("stopped", 150, (50, 0.1), (100, 0.15), (150, 0.25)), stopped_at(150)),
        (run("broken", 90, (50, 0.1)), ended_at(90, "broken")),
        (run("chipped", 90, (50, 0.1), (90, 0.5)), ended_at(90, "chipped")),
    ],
)
def test_life_of_a_run(one: Run, life: Life) -> None:
    assert life_of_run(one, 0.3) == life


def test_a_run_that_has_not_ended_has_no_life() -> None:
    with pytest.raises(InputError, match="has ended"):
        life_of_run(run(None, 50), 0.3)


@pytest.mark.parametrize(("low", "high"), [(-1, 5), (math.nan, 5), (5, 4), (0, 0), (5, math.nan)])
def test_impossible_lives_are_refused(low: float, high: float) -> None:
    with pytest.raises(InputError):
        Life(low, high)


def test_stopped_is_no_mode() -> None:
    with pytest.raises(InputError, match="what ended"):
        Life(5, 5, "stopped")


def test_shares_of_modes_and_of_those_left_add_up() -> None:
    lives = [ended_at(10, "worn"), ended_at(10, "broken"), stopped_at(12), ended_at(15, "worn"),
             ended_at(20, "chipped"), stopped_at(30)]  # fmt: skip
    ended = sum(steps[-1].share for steps in cumulative_incidence(lives).values())
    assert ended + kaplan_meier(lives)[-1].share == pytest.approx(1.0)


def test_a_life_without_a_mode_has_no_share() -> None:
    with pytest.raises(InputError, match="without a mode"):
        cumulative_incidence([ended_at(10)])


def test_lives_between_looks_are_not_counted() -> None:
    with pytest.raises(InputError, match="life 2"):
        kaplan_meier([ended_at(10), ended_between(10, 20)])


def test_share_left_when_all_ended_is_none_within_its_range() -> None:
    last = kaplan_meier([ended_at(10), ended_at(20)])[-1]
    assert (last.share, last.low) == (0.0, 0.0)
    assert 0 < last.high < 1


def test_each_mode_has_its_own_fit_or_verdict() -> None:
    lives = [ended_at(hole, "worn") for hole in (200, 260, 310, 330)]
    lives += [ended_at(90, "broken"), stopped_at(300)]
    fits = fit_modes(lives)
    assert fits["worn"].ok
    assert "not enough failures: 1 of 6" in fits["broken"].verdict
    # Taken alone, an edge that broke at 90 holes was one that had not worn out by then.
    alone = [ended_at(hole) for hole in (200, 260, 310, 330)] + [stopped_at(90), stopped_at(300)]
    assert fits["worn"].scale == pytest.approx(fit_lives(alone).scale)


def test_wide_looks_leave_the_shape_open_above() -> None:
    # Three edges that all ended between holes 100 and 200, one between 200 and 300: they may have
    # scattered hardly at all about hole 200.
    fit = fit_lives([ended_between(100, 200)] * 3 + [ended_between(200, 300)])
    assert not fit.ok or fit.intervals["shape"][1] == math.inf


def test_all_between_the_same_looks_is_a_verdict() -> None:
    fit = fit_lives([ended_between(100, 200)] * 5)
    assert "not enough scatter" in fit.verdict


@pytest.mark.parametrize("model", ["weibull", "lognormal"])
def test_lives_that_may_be_however_short_are_a_verdict(model) -> None:  # type: ignore[no-untyped-def]  # a literal
    # Three edges were found worn at the first look, after one hole; one was stopped unworn after
    # two. Shorter lives and more scatter explain that ever better.
    fit = fit_lives([ended_between(0, 1)] * 3 + [stopped_at(2)], model)
    assert "no bound on the scatter" in fit.verdict


def test_asking_for_life_does_not_load_scipy() -> None:
    # Light commands ask for holes to wear of every run; scipy alone takes most of a second.
    code = (
        "import sys; from trials.life import fit_life, holes_to_wear; from trials.model import "
        "WearReading; holes_to_wear([WearReading(9, 0.1), WearReading(20, 0.4)], 0.3, 'worn', 20);"
        "fit_life([100, 120, 150], [True] * 3); sys.exit('scipy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0

"""Age replacement against Barlow and Proschan's formula and an outside program."""

from __future__ import annotations

import math

import pytest
from scipy import integrate, stats

from trials.life import age_replacement, replacement_cost_per_hole


def test_worked_interval() -> None:
    # Barlow and Proschan 1965, computed: scale 1000, shape 2.5, cp 1, cf 5.
    found = age_replacement(2.5, 1000, 1, 5)
    assert found.holes == pytest.approx(493.05, abs=0.01)
    assert found.cost_per_hole == pytest.approx(0.00346204, abs=1e-8)
    assert found.run_to_failure_per_hole == pytest.approx(0.00563530, abs=1e-8)


def test_worked_interval_by_an_outside_program() -> None:
    # reliability 0.9.0, optimal_replacement_time(cost_PM=1, cost_CM=5, weibull_alpha=1000,
    # weibull_beta=2.5, q=0): ORT 493.185 (found on a grid), min_cost 0.00346204.
    found = age_replacement(2.5, 1000, 1, 5)
    assert found.holes == pytest.approx(493.185, rel=1e-3)
    assert found.cost_per_hole == pytest.approx(0.0034620429, rel=1e-6)


@pytest.mark.parametrize(
    ("shape", "failure", "holes", "cost"),
    [
        # The same formula, scale 1 and cp 1, computed.
        (2, 2, 1.0908, 2.1816), (2, 5, 0.5107, 4.0852), (2, 10, 0.3365, 6.0561),
        (3, 2, 0.8103, 1.9700), (3, 5, 0.5026, 3.0314), (3, 10, 0.3825, 3.9493),
    ],
)  # fmt: skip
def test_table_of_intervals(shape: float, failure: float, holes: float, cost: float) -> None:
    found = age_replacement(shape, 1, 1, failure)
    assert found.holes == pytest.approx(holes, abs=1e-4)
    assert found.cost_per_hole == pytest.approx(cost, abs=1e-4)


@pytest.mark.parametrize("shape", [0.5, 0.9, 1.0])
def test_no_planned_change_without_wear_out(shape: float) -> None:
    # Barlow and Proschan 1965: with a hazard that does not rise, never.
    assert age_replacement(shape, 300, 1, 50).holes is None


@pytest.mark.parametrize("failure", [0.5, 1.0])
def test_no_planned_change_when_failing_costs_no_more(failure: float) -> None:
    assert age_replacement(3.0, 300, 1.0, failure).holes is None


@pytest.mark.parametrize("model", ["weibull", "lognormal"])
@pytest.mark.parametrize("holes", [20.0, 250.0, 900.0])
def test_cost_is_the_formula_integrated_by_hand(model: str, holes: float) -> None:
    # C(T) = [cp·R + cf·(1 - R)] / ∫R, with scipy's laws and its quadrature.
    law = (stats.weibull_min(1.7, scale=400) if model == "weibull"
           else stats.lognorm(0.5, scale=400))  # fmt: skip
    shape = 1.7 if model == "weibull" else 0.5
    run, _ = integrate.quad(law.sf, 0, holes)
    lasting = float(law.sf(holes))
    found = float(replacement_cost_per_hole(holes, shape, 400, 3, 20, model))  # type: ignore[arg-type]  # texts
    assert found == pytest.approx((3 * lasting + 20 * (1 - lasting)) / run, rel=1e-7)


def test_without_planned_changes_cost_is_failure_over_mean_life() -> None:
    never = age_replacement(0.8, 300, 1, 50).run_to_failure_per_hole
    assert never == pytest.approx(50 / (300 * math.gamma(1 + 1 / 0.8)))

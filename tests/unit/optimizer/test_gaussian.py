"""The Gaussian process against textbook formulas, lower bounds and wild values."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from trials.optimizer.gaussian import LogProcess, Prior, observations

# A straight line only: the residual is next to nothing, one slope, one scatter.
LINE = Prior(
    level_sd=1.0, slopes_sd=(2.0,), reach=(1.0,), residual_sd=(1e-6,), noise_sd=(0.1,),
    noise_expected=0.1,
)  # fmt: skip
HERE = np.asarray([[0.0]])


def test_no_runs_give_the_prior() -> None:
    mean, sd, scatter = LogProcess(LINE, observations([], [], features=1)).at(
        np.asarray([[0.0], [1.0]])
    )
    assert mean == pytest.approx([0.0, 0.0])
    # Level and slope are independent: 1² + (2·1)² at x = 1.
    assert sd == pytest.approx([1.0, 5**0.5], rel=1e-5)
    assert scatter == pytest.approx(0.1)


def test_values_give_bayesian_linear_regression() -> None:
    # Rasmussen and Williams 2006, eq. 2.8: posterior of w with prior Σ and noise σ²,
    # A = XᵀX/σ² + Σ⁻¹, mean A⁻¹Xᵀy/σ².
    x, y = np.asarray([-1.0, 0.5, 2.0]), np.asarray([0.3, -0.2, -1.1])
    design = np.column_stack([np.ones(3), x])
    a = design.T @ design / 0.01 + np.diag([1.0, 1 / 4.0])
    at = np.asarray([[1.0, 0.7]])
    expected = at @ np.linalg.solve(a, design.T @ y / 0.01)
    spread = np.sqrt(at @ np.linalg.inv(a) @ at.T)
    seen = observations([np.asarray([value]) for value in x], list(y))
    mean, sd, _ = LogProcess(LINE, seen).at(np.asarray([[0.7]]))
    assert mean == pytest.approx(expected, rel=1e-5)
    assert sd == pytest.approx(spread[0], rel=1e-4)


def test_lower_bound_far_below_says_nothing() -> None:
    value = observations([HERE[0]], [0.5])
    both = observations([HERE[0]] * 2, [0.5, -3.0], is_bound=[False, True])
    for a, b in zip(LogProcess(LINE, value).at(HERE), LogProcess(LINE, both).at(HERE), strict=True):
        assert a == pytest.approx(b, abs=1e-6)


def test_lower_bound_above_lifts() -> None:
    value = observations([HERE[0]], [0.5])
    both = observations([HERE[0]] * 2, [0.5, 0.7], is_bound=[False, True])
    (before, *_), (after, *_) = (LogProcess(LINE, seen).at(HERE) for seen in (value, both))
    assert after[0] > before[0] + 0.05


@pytest.mark.parametrize("bound", [-1.0, 0.0, 1.0, 2.5])
def test_only_a_bound_against_the_exact_posterior(bound: float) -> None:
    # One lower bound c on f + noise with f ~ N(0, 1): posterior ∝ φ(f)·Φ((f − c)/σ), whose mean
    # and deviation are integrated numerically here.
    mean, sd, _ = LogProcess(LINE, observations([HERE[0]], [bound], is_bound=[True])).at(HERE)
    f = np.linspace(-8, 8, 40001)
    weight = norm.pdf(f) * norm.cdf((f - bound) / 0.1)
    exact = float((f * weight).sum() / weight.sum())
    exact_sd = float(np.sqrt(((f - exact) ** 2 * weight).sum() / weight.sum()))
    assert mean[0] == pytest.approx(exact, abs=1e-4)
    assert sd[0] == pytest.approx(exact_sd, abs=1e-4)


def test_one_wild_value_does_not_steer_the_rest() -> None:
    prior = replace(LINE, noise_sd=(0.1, 0.2, 0.35), noise_expected=0.2)
    tame = [0.1, -0.1, 0.05, 0.0, -0.05, 0.1]
    seen = observations([HERE[0]] * 7, [*tame, -4.0], robust=True)
    mean, *_ = LogProcess(prior, seen).at(HERE)
    # Their plain mean is −0.56.
    assert abs(mean[0]) < 0.15


def test_scatter_is_fitted() -> None:
    prior = replace(LINE, noise_sd=(0.1, 0.2, 0.35), noise_expected=0.2)
    random = np.random.default_rng(4)
    scatters = []
    for spread in (0.08, 0.4):
        values = random.normal(0, spread, 30).tolist()
        seen = observations([HERE[0]] * 30, values)
        scatters.append(LogProcess(prior, seen).at(HERE)[2])
    assert scatters[0] < 0.15
    assert scatters[1] > 0.3

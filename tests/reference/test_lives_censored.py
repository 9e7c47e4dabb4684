"""Lives stopped, looked at late or ended in different ways, against outside programs and books."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from trials.life import (
    Life,
    LifeModel,
    choose_model,
    cumulative_incidence,
    ended_at,
    ended_between,
    fit_life,
    fit_lives,
    kaplan_meier,
    lives_of,
    share_lasting,
    stopped_at,
)
from trials.model import End

NIST = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386] + [500] * 10
NIST_ENDED = [True] * 10 + [False] * 10
# Invented: one life before the first look, four between looks, one known, one stopped.
LOOKS = [ended_between(0, 120), ended_between(100, 200), ended_between(100, 250),
         ended_between(200, 300), ended_between(300, 350), ended_at(150),
         stopped_at(400)]  # fmt: skip


@pytest.mark.parametrize(
    ("model", "shape", "scale", "log_likelihood"),
    [
        # lifelines 0.30.3, WeibullFitter().fit_interval_censoring(low, high) -> rho_, lambda_;
        # surpyval 0.25, Weibull.fit(x=..., c=...) gives the same to seven digits.
        ("weibull", 1.8169622, 259.39009, -15.205164),
        # surpyval 0.25, LogNormal.fit(x=..., c=...) -> exp(mu) of 5.303853 and sigma; lifelines
        # 0.30.3, LogNormalFitter().fit_interval_censoring gives 5.303848 and 0.583170.
        ("lognormal", 0.583164, math.exp(5.303853), -14.857955),
    ],
)
def test_lives_between_looks(
    model: LifeModel, shape: float, scale: float, log_likelihood: float
) -> None:
    # The exact life of 150 holes adds a density, so the two programs' likelihoods compare.
    fit = fit_lives(LOOKS, model)
    assert fit.shape == pytest.approx(shape, rel=2e-5)
    assert fit.scale == pytest.approx(scale, rel=1e-5)
    assert fit.log_likelihood == pytest.approx(log_likelihood, abs=1e-5)


@pytest.mark.parametrize("model", ["weibull", "lognormal"])
def test_every_kind_of_censoring_against_scipy(model: LifeModel) -> None:
    data = stats.CensoredData(
        uncensored=[150], left=[120], right=[400],
        interval=[[100, 200], [100, 250], [200, 300], [300, 350]],
    )  # fmt: skip
    family = stats.weibull_min if model == "weibull" else stats.lognorm
    shape, _, scale = family.fit(data, floc=0)
    fit = fit_lives(LOOKS, model)
    # scipy's simplex stops at about 1e-4.
    assert fit.shape == pytest.approx(shape, rel=1e-3)
    assert fit.scale == pytest.approx(scale, rel=1e-3)


def test_kaplan_meier_of_the_nist_lives() -> None:
    # NIST/SEMATECH e-Handbook 8.4.1.3 (read): .95, .90, … .50, then flat.
    steps = kaplan_meier(lives_of(NIST, NIST_ENDED))
    assert [step.share for step in steps] == pytest.approx([1 - k / 20 for k in range(1, 11)])
    assert share_lasting(steps, 499) == pytest.approx(0.5)
    assert share_lasting(steps, 10) == 1.0


def test_kaplan_meier_of_the_fan_belts() -> None:
    # Conover 1999, p. 91, in scipy's documentation of ecdf: five broken, five not.
    broken, unbroken = [77, 47, 81, 56, 80], [62, 60, 43, 71, 37]
    steps = kaplan_meier(
        [ended_at(life) for life in broken] + [stopped_at(life) for life in unbroken]
    )
    found = {step.holes: step.share for step in steps}
    assert found == pytest.approx({47: 0.875, 56: 0.75, 77: 0.5, 80: 0.25, 81: 0.0})


# Invented: ten edges, what ended them, and ties; "stopped" is censored.
HOLES = [30, 45, 45, 60, 80, 80, 95, 110, 110, 130]
KINDS = ["worn", "chipped", "stopped", "worn", "worn", "broken", "stopped", "chipped", "worn",
         "stopped"]  # fmt: skip


def kinds() -> list[Life]:
    modes: dict[str, End] = {"worn": "worn", "chipped": "chipped", "broken": "broken"}
    return [
        stopped_at(holes) if kind == "stopped" else ended_at(holes, modes[kind])
        for holes, kind in zip(HOLES, KINDS, strict=True)
    ]


def test_kaplan_meier_and_its_intervals_against_lifelines() -> None:
    # lifelines 0.30.3, KaplanMeierFitter(alpha=0.1).fit(...): survival_function_ and
    # confidence_interval_ (also log(-log) of Greenwood's variance).
    steps = kaplan_meier(kinds(), level=0.9)
    assert [step.share for step in steps] == pytest.approx(
        [0.9, 0.8, 0.685714, 0.457143, 0.152381], abs=1e-6
    )
    assert [step.low for step in steps] == pytest.approx(
        [0.579141, 0.48883, 0.372135, 0.186327, 0.0164091], abs=1e-6
    )
    assert [step.high for step in steps] == pytest.approx(
        [0.979882, 0.932796, 0.865882, 0.694436, 0.422644], abs=1e-6
    )


def test_share_that_each_mode_ends_against_lifelines() -> None:
    # lifelines 0.30.3, AalenJohansenFitter.fit(durations, modes, event_of_interest=k), with each
    # second of a tie put one hole later because that class wants no ties; what ties share out
    # between modes differs by that, the sums after them do not where one mode ended both.
    untied = [30, 45, 46, 60, 80, 81, 95, 110, 111, 130]
    lives = [
        Life(hole, math.inf if not life.ended else hole, life.mode)
        for hole, life in zip(untied, kinds(), strict=True)
    ]
    found = {mode: [(s.holes, s.share) for s in steps]
             for mode, steps in cumulative_incidence(lives).items()}  # fmt: skip
    assert dict(found["worn"]) == pytest.approx(
        {30: 0.1, 60: 0.214286, 80: 0.328571, 111: 0.480952}, abs=1e-6
    )
    assert dict(found["chipped"]) == pytest.approx({45: 0.1, 110: 0.252381}, abs=1e-6)
    assert dict(found["broken"]) == pytest.approx({81: 0.114286}, abs=1e-6)


def test_no_model_of_the_nist_lives_is_better() -> None:
    # NIST e-Handbook 8.4.1.3 (read): AIC 154.27 and 154.39, a difference that tells nothing.
    choice = choose_model(lives_of(NIST, NIST_ENDED))
    assert [fit.model for fit in choice.fits] == ["weibull", "lognormal"]
    # Burnham and Anderson 2002: weights exp(-difference/2), scaled to one.
    assert choice.weights[0] == pytest.approx(1 / (1 + math.exp(-0.12 / 2)), abs=0.002)
    assert "cannot tell" in choice.verdict


@pytest.mark.parametrize("count", [3, 4, 5, 12])
def test_intervals_of_complete_lognormal_lives_are_students_and_chi_square(count: int) -> None:
    # For complete normal logarithms the exact intervals are in every book on statistics: Student's
    # t for the mean, chi-square for the deviation, non-central t for a quantile.
    logs = [5.0 + 0.3 * value for value in (0.1, -1.2, 0.7, 1.9, -0.4, 0.2, -0.8, 1.1, -2, 0, 0.6,
                                            -0.1)][:count]  # fmt: skip
    mean = sum(logs) / count
    s = math.sqrt(sum((value - mean) ** 2 for value in logs) / (count - 1))
    fit = fit_life([math.exp(value) for value in logs], [True] * count, "lognormal")
    t = float(stats.t.ppf(0.95, count - 1))
    low, high = fit.intervals["scale"]
    half = t * s / math.sqrt(count)
    assert [math.log(low), math.log(high)] == pytest.approx([mean - half, mean + half],
                                                            abs=0.02 * half)  # fmt: skip
    chi = stats.chi2.ppf([0.95, 0.05], count - 1)
    assert fit.intervals["shape"] == pytest.approx(
        [s * math.sqrt((count - 1) / float(value)) for value in chi], rel=0.02
    )
    away = -float(stats.norm.ppf(0.1)) * math.sqrt(count)
    k = [float(value) / math.sqrt(count) for value in stats.nct.ppf([0.95, 0.05], count - 1, away)]
    low, high = fit.interval_at(0.1)
    assert [math.log(low), math.log(high)] == pytest.approx(
        [mean - k[0] * s, mean - k[1] * s], abs=0.03 * s
    )


def test_interval_of_complete_weibull_lives_with_shape_one() -> None:
    # With many lives the integrated and the plain likelihood say the same; the plain one against
    # lifelines-free theory: for an exponential scale alone 2·Σt/scale is chi-square with 2n, and a
    # Weibull fit with free shape can only be wider.
    lives = [float(value) for value in stats.expon.ppf([(k - 0.5) / 60 for k in range(1, 61)],
                                                       scale=300)]  # fmt: skip
    fit = fit_life(lives, [True] * 60)
    chi = stats.chi2.ppf([0.95, 0.05], 120)
    known_shape = [2 * sum(lives) / float(value) for value in chi]
    low, high = fit.intervals["scale"]
    assert low < known_shape[0] * 1.02
    assert high > known_shape[1] * 0.98
    plain = fit.profile_interval("scale")
    assert (low, high) == pytest.approx(plain, rel=0.02)


@pytest.mark.parametrize(("lives", "ended"), [(5, 5), (10, 10), (8, 5)])
def test_bias_of_the_weibull_shape(lives: int, ended: int) -> None:
    # Ross, IEEE Transactions on Dielectrics and Electrical Insulation 3(1), 1996 (formula from
    # memory), held against 500 simulated sets of edges stopped together at the last end; the mean
    # of so many is off by about 0.03 itself.
    generator = np.random.default_rng(3)
    ratios = []
    for _ in range(500):
        times = np.sort(300 * generator.exponential(size=lives) ** (1 / 2.0))
        stopped = np.minimum(times, times[ended - 1])
        fit = fit_life(stopped.tolist(), [place < ended for place in range(lives)])
        assert fit.shape is not None
        ratios.append(fit.shape / 2.0)
    said = fit.shape_bias
    assert said is not None
    assert float(np.mean(ratios)) == pytest.approx(said, rel=0.07)


@pytest.mark.parametrize("count", [3, 5, 10])
def test_bias_of_the_lognormal_scatter(count: int) -> None:
    # Tables of control charts (c4, any book on quality): 0.8862, 0.9400, 0.9727 for 3, 5, 10;
    # maximum likelihood divides by n instead of n - 1.
    c4 = {3: 0.8862, 5: 0.9400, 10: 0.9727}[count]
    fit = fit_life([100.0 + 30 * place**1.5 for place in range(count)], [True] * count, "lognormal")
    assert fit.shape_bias == pytest.approx(c4 * math.sqrt((count - 1) / count), abs=1e-4)

"""The censored likelihood, its intervals and its verdicts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats
from scipy.optimize import minimize_scalar

from trials.errors import InputError
from trials.life import LifeModel, fit_life

LIVES = [210.0, 340.0, 365.0, 410.0, 500.0, 500.0, 290.0]
ENDED = [True, True, True, True, False, False, True]


@pytest.mark.parametrize("model", ["weibull", "lognormal"])
def test_same_optimum_as_scipy(model: LifeModel) -> None:
    ended = [life for life, end in zip(LIVES, ENDED, strict=True) if end]
    stopped = [life for life, end in zip(LIVES, ENDED, strict=True) if not end]
    data = stats.CensoredData(uncensored=ended, right=stopped)
    family = stats.weibull_min if model == "weibull" else stats.lognorm
    shape, _, scale = family.fit(data, floc=0)
    fit = fit_life(LIVES, ENDED, model)
    # scipy stops its simplex at about 1e-4.
    assert fit.shape == pytest.approx(shape, rel=1e-3)
    assert fit.scale == pytest.approx(scale, rel=1e-3)


def test_plain_interval_ends_where_the_profile_likelihood_has_fallen() -> None:
    # Definition (Meeker and Escobar 1998): at each end of a 90 % interval the highest likelihood
    # with that shape is chi-square(0.9, 1)/2 below the top. Recomputed here with scipy alone.
    fit = fit_life(LIVES, ENDED)
    lives, ended = np.asarray(LIVES), np.asarray(ENDED)

    def best_with(shape: float) -> float:
        def loss(log_scale: float) -> float:
            law = stats.weibull_min(shape, scale=math.exp(log_scale))
            return -float(np.where(ended, law.logpdf(lives), law.logsf(lives)).sum())

        return -float(minimize_scalar(loss, bounds=(4, 9), method="bounded").fun)

    assert fit.log_likelihood is not None
    for end in fit.profile_interval("shape"):
        assert best_with(end) == pytest.approx(fit.log_likelihood - 2.70554 / 2, abs=1e-4)


def test_interval_is_wider_with_more_confidence() -> None:
    narrow, wide = (fit_life(LIVES, ENDED, level=level).intervals for level in (0.8, 0.95))
    for name in ("shape", "scale"):
        assert wide[name][0] < narrow[name][0] < narrow[name][1] < wide[name][1]


def test_holes_at_a_share() -> None:
    # Weibull: at the scale 1 − 1/e have ended; lognormal: half.
    for model, share in (("weibull", 1 - math.exp(-1)), ("lognormal", 0.5)):
        fit = fit_life(LIVES, ENDED, model)  # type: ignore[arg-type]  # texts of a loop
        assert fit.holes_at(share) == pytest.approx(fit.scale)


def test_two_failures_out_of_nine_are_not_enough() -> None:
    fit = fit_life([100, 200] + [300] * 7, [True, True] + [False] * 7)
    assert not fit.ok
    assert fit.verdict.startswith("not enough failures: 2 of 9")
    assert str(fit) == fit.verdict


def test_lives_without_scatter_are_a_verdict() -> None:
    fit = fit_life([250.0] * 5, [True] * 5)
    assert "not enough scatter" in fit.verdict
    assert fit.shape is None


def test_few_failures_are_said() -> None:
    assert "only 5 failures" in fit_life(LIVES, ENDED).note
    assert fit_life(list(range(100, 200, 5)), [True] * 20).note == ""


def test_plain_types() -> None:
    fit = fit_life(np.asarray(LIVES), np.asarray(ENDED))  # type: ignore[arg-type]  # arrays come too
    assert type(fit.shape) is float
    assert type(fit.intervals["scale"][0]) is float
    assert type(fit.failures) is int


@pytest.mark.parametrize(
    ("lives", "ended", "says"),
    [
        ([100, 200, 300], [True, True], "one end for each life"),
        ([100, -1, 300], [True] * 3, "life 2"),
        ([100, math.nan, 300], [True] * 3, "life 2"),
        ([100, math.inf, 300], [True] * 3, "life 2"),
    ],
)
def test_bad_lives_are_refused(lives: list[float], ended: list[bool], says: str) -> None:
    with pytest.raises(InputError, match=says):
        fit_life(lives, ended)


def test_unknown_model_is_refused() -> None:
    with pytest.raises(InputError, match="weibull, lognormal"):
        fit_life(LIVES, ENDED, "normal")  # type: ignore[arg-type]  # the error is the point

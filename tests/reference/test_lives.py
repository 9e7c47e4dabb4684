"""Censored life fits against published results."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from trials.life import fit_life

# NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3: ten failures, ten stopped at 500.
NIST = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386] + [500] * 10
NIST_ENDED = [True] * 10 + [False] * 10
# Lieblein and Zelen 1956, 23 ball bearings, millions of revolutions; other spellings circulate.
BEARINGS = [17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.48, 51.84, 51.96, 54.12, 55.56, 67.80,
            68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04,
            173.40]  # fmt: skip
# Course notes cited in scipy's own tests; a minus sign marks a censored life here.
COURSE = [3, 5, -6, 8, -10, -11, 15, -20, 22, 23, -27, 29, 32, 35, 40, 26, 28, -33, 21, -24]


def test_weibull_of_the_nist_lives() -> None:
    # Published: shape 1.7208, scale 606.528, log-likelihood −75.135, AIC 154.27.
    fit = fit_life(NIST, NIST_ENDED)
    assert fit.shape == pytest.approx(1.7208, abs=2e-4)
    assert fit.scale == pytest.approx(606.528, abs=0.05)
    assert fit.log_likelihood == pytest.approx(-75.135, abs=1e-3)
    assert fit.aic == pytest.approx(154.27, abs=0.005)


def test_lognormal_of_the_nist_lives() -> None:
    # Published: AIC 154.39; µ 6.2260 and σ 0.9089 computed from the cited data.
    fit = fit_life(NIST, NIST_ENDED, "lognormal")
    assert fit.scale is not None
    assert math.log(fit.scale) == pytest.approx(6.2260, abs=1e-4)
    assert fit.shape == pytest.approx(0.9089, abs=1e-4)
    assert fit.aic == pytest.approx(154.39, abs=0.005)


def test_weibull_of_the_bearings() -> None:
    # Published for these 23 lives: 2.1021, 81.878, −113.691, B10 28.07.
    fit = fit_life(BEARINGS, [True] * 23)
    assert fit.shape == pytest.approx(2.1021, abs=1e-4)
    assert fit.scale == pytest.approx(81.878, abs=1e-3)
    assert fit.log_likelihood == pytest.approx(-113.691, abs=1e-3)
    assert fit.holes_at(0.10) == pytest.approx(28.07, abs=0.01)


def test_lognormal_of_the_bearings() -> None:
    # µ 4.1505, σ 0.5216: same source; with no censoring they are mean and (n) deviation of logs.
    fit = fit_life(BEARINGS, [True] * 23, "lognormal")
    assert fit.scale is not None
    assert math.log(fit.scale) == pytest.approx(4.1505, abs=1e-4)
    assert fit.shape == pytest.approx(0.5216, abs=1e-4)


def test_weibull_of_the_course_data() -> None:
    # Published: 2.149, 28.99; the printed scale is cut off rather than rounded (scipy's own
    # optimum is 28.996), hence a thousandth.
    fit = fit_life([abs(life) for life in COURSE], [life > 0 for life in COURSE])
    assert fit.shape == pytest.approx(2.149, abs=5e-4)
    assert fit.scale == pytest.approx(28.99, rel=1e-3)


@pytest.mark.parametrize(
    ("file", "shape", "scale"),
    [
        # NIST/SEMATECH e-Handbook 8.4.1.3, published.
        ("nist_apr413.csv", 1.7208, 606.528),
        # Lieblein and Zelen 1956.
        ("lzbearing.csv", 2.102, 81.88),
        # Meeker and Escobar 1998, p. 131; fitted with a general-purpose survival library.
        ("alloy_t7987.csv", 3.0333, 198.07),
        # Krivtsov and Case 1999, SAE 1999-01-3220.
        ("sae_automotive.csv", 1.1544, 134651.0),
    ],
)
def test_published_files(shared_data: Path, file: str, shape: float, scale: float) -> None:
    lives, ended = _read(shared_data / file)
    fit = fit_life(lives, ended)
    assert fit.shape == pytest.approx(shape, rel=2e-3)
    assert fit.scale == pytest.approx(scale, rel=2e-3)


def test_one_failure_among_five_is_a_verdict() -> None:
    # General-purpose packages return a shape of 10^16 here.
    fit = fit_life([120, 150, 150, 150, 150], [True, False, False, False, False])
    assert not fit.ok
    assert "not enough failures" in fit.verdict
    assert (fit.shape, fit.scale, fit.log_likelihood) == (None, None, None)


def test_all_censored_is_a_verdict() -> None:
    fit = fit_life([100.0, 200.0, 300.0], [False] * 3, "lognormal")
    assert "not enough failures" in fit.verdict
    assert fit.holes_at(0.5) is None


def _read(path: Path) -> tuple[list[float], list[bool]]:
    """Lives and whether they ended; a count column repeats a row."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) for _ in range(int(row.get("count") or 1))]
    return [float(row["time"]) for row in rows], [row["event"] == "1" for row in rows]

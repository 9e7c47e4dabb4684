"""The search's beliefs against published lives, exponents and censored fits."""

from __future__ import annotations

import csv
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import CensoredData, norm

from tests.helpers.drilling_process import Process
from trials.model import CuttingData
from trials.optimizer import RunResult
from trials.optimizer.belief import Belief
from trials.optimizer.gaussian import LogProcess, Prior, observations

PROBLEM = replace(
    Process().problem(), speed_m_per_min=(100, 1500), feed_mm_per_rev=(0.05, 0.6), machine=None,
    start=CuttingData(350, 0.25), max_test_holes=1000,
)  # fmt: skip


def test_exponents_of_a_university_course() -> None:
    # EML 4321, homework 11, 2011 (read and computed): lives of 30, 15 and 9 minutes, exponents of
    # speed and feed 2.4094 and 1.2599. Each life stands here ten times as often, so that the data
    # outweigh the belief held before them; a hundred holes stand for each minute.
    runs = [
        RunResult(CuttingData(speed, feed), holes, "worn")
        for speed, feed, holes in ((300, 0.2, 3000), (400, 0.2, 1500), (400, 0.3, 900))
        for _ in range(10)
    ]
    belief = Belief(PROBLEM, runs)
    low, middle, high = (
        float(belief.at([CuttingData(speed, feed)]).life.mean[0])
        for speed, feed in ((300, 0.2), (400, 0.2), (400, 0.3))
    )
    assert (low - middle) / math.log(400 / 300) == pytest.approx(2.4094, rel=0.05)
    assert (middle - high) / math.log(0.3 / 0.2) == pytest.approx(1.2599, rel=0.05)


def test_slope_of_the_lathe_experiments(shared_data: Path) -> None:
    # Montgomery, Peck and Vining: life in hours = 36.986 − 0.02661·rpm + 15.004·material, R² 0.90.
    # Its slope for the first material, as an exponent at 750 /min, is −0.02661·750 / 17.03 = −1.17.
    with (shared_data / "lathe_two_materials_montgomery.csv").open() as file:
        runs = [
            RunResult(
                CuttingData(float(row["rpm"]), 0.25), round(100 * float(row["hours"])), "worn"
            )
            for row in csv.DictReader(file)
            if row["material"] == "A"
        ]
    assert len(runs) == 10
    problem = replace(PROBLEM, start=CuttingData(750, 0.25))
    mean, doubt = Belief(problem, runs).exponents(CuttingData(750, 0.25))["life speed"]
    assert mean == pytest.approx(-1.17, abs=0.4)
    assert abs(mean + 1.17) < 1.645 * doubt + 0.1
    there = Belief(problem, runs).at([CuttingData(750, 0.25)]).life.mean[0]
    assert math.exp(there) / 100 == pytest.approx(36.986 - 0.02661 * 750, rel=0.1)


def test_censored_level_agrees_with_scipy_and_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook 8.4.1.3 (read): ten failures, ten censored at 500; lognormal µ 6.2260
    # and σ 0.9089 (computed from it). scipy's own censored fit is made here beside it.
    failed = np.log([54, 187, 216, 240, 244, 335, 361, 373, 375, 386])
    censored = np.full(10, math.log(500))
    mu, sigma = norm.fit(CensoredData(uncensored=failed, right=censored))
    assert mu == pytest.approx(6.2260, abs=2e-3)
    prior = Prior(
        level_sd=10.0, slopes_sd=(1e-6,), reach=(1.0,), residual_sd=(1e-6,),
        noise_sd=(float(sigma),), noise_expected=float(sigma),
    )  # fmt: skip
    seen = observations(
        [np.zeros(1)] * 20, [*failed, *censored], is_bound=[False] * 10 + [True] * 10
    )
    mean, sd, _ = LogProcess(prior, seen).at(np.zeros((1, 1)))
    # With a flat belief the posterior mean lies a little above the likelihood's maximum, because
    # lower bounds leave the high side open.
    assert mean[0] == pytest.approx(mu, abs=0.06)
    assert sd[0] == pytest.approx(sigma / math.sqrt(20), rel=0.5)

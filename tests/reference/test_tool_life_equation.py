"""Tool-life equation and designed experiments against published results."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from trials.life import ToolLifePoint, ended_at, fit_tool_life, stopped_at
from trials.life._regression import CensoredRegression


def edge(speed: float, feed: float, holes: float, ended: bool = True) -> ToolLifePoint:
    return ToolLifePoint(speed, feed, ended_at(holes) if ended else stopped_at(holes))


def test_exponents_of_a_university_course() -> None:
    # EML 4321, homework 11, 2011 (read and computed): lives of 30, 15 and 9 min; exponents of
    # speed and feed 2.4094 and 1.2599, printed as 2.41 and 1.26.
    found = fit_tool_life([edge(300, 0.2, 30), edge(400, 0.2, 15), edge(400, 0.3, 9)])
    assert found.speed_exponent == pytest.approx(2.4094, abs=1e-4)
    assert found.feed_exponent == pytest.approx(1.2599, abs=1e-4)
    assert found.intervals == {}
    assert "nothing is left" in found.warnings[0]


def test_half_the_speed_and_taylors_n_of_a_half() -> None:
    # Kalpakjian and Schmid (read): n 0.5, speed halved, life +300 %. That life is in minutes; a
    # hole takes twice as long then, so holes rise by half of that: to twice.
    found = fit_tool_life([edge(100, 0.2, 50), edge(50, 0.2, 100)])
    assert found.speed_exponent == pytest.approx(1.0)
    assert found.taylor_n == pytest.approx(0.5)


# Invented lives; two edges were stopped.
SPEEDS = [60, 60, 60, 80, 80, 80, 110, 110, 110, 80]
FEEDS = [0.1, 0.2, 0.2, 0.1, 0.15, 0.2, 0.1, 0.2, 0.15, 0.1]
HOLES = [1200, 830, 900, 800, 610, 480, 420, 260, 300, 1000]
ENDED = [False] + [True] * 8 + [False]
EDGES = [edge(*values) for values in zip(SPEEDS, FEEDS, HOLES, ENDED, strict=True)]


def test_censored_lognormal_equation_against_lifelines() -> None:
    # lifelines 0.30.3, LogNormalAFTFitter().fit(frame, "h", "e") with log(speed/80) and
    # log(feed/0.15): mu_ -2.1193, -0.866607, intercept 6.42059, log sigma -2.61129,
    # log_likelihood_ -41.925725 (density of holes; here of log holes, so plus Σ log of the ended).
    found = fit_tool_life(EDGES, "lognormal")
    assert found.scatter is not None
    assert found.speed_exponent == pytest.approx(2.1193, abs=2e-3)
    assert found.feed_exponent == pytest.approx(0.866607, abs=2e-3)
    assert math.log(found.scatter) == pytest.approx(-2.61129, abs=5e-3)
    assert found.life_at(80, 0.15).holes == pytest.approx(math.exp(6.42059), rel=1e-3)
    jacobian = sum(math.log(h) for h, end in zip(HOLES, ENDED, strict=True) if end)
    assert found.log_likelihood == pytest.approx(-41.925725 + jacobian, abs=1e-3)


def test_censored_weibull_equation_against_lifelines() -> None:
    # lifelines 0.30.3, WeibullAFTFitter().fit(...): lambda_ -2.11777, -0.96761, intercept 6.45833
    # (log of the life by which 63.2 % have ended), rho_ 2.63598 = log shape; -43.051987.
    found = fit_tool_life(EDGES, "weibull")
    assert found.speed_exponent == pytest.approx(2.11777, abs=2e-3)
    assert found.feed_exponent == pytest.approx(0.96761, abs=2e-3)
    assert found.scatter == pytest.approx(math.exp(-2.63598), rel=5e-3)
    median = math.exp(6.45833) * math.log(2) ** math.exp(-2.63598)
    assert found.life_at(80, 0.15).holes == pytest.approx(median, rel=1e-3)
    jacobian = sum(math.log(h) for h, end in zip(HOLES, ENDED, strict=True) if end)
    assert found.log_likelihood == pytest.approx(-43.051987 + jacobian, abs=1e-3)


def test_interval_of_an_exponent_is_students_without_censoring() -> None:
    # Least squares in logarithms: slope ± t · standard error (any book on regression).
    edges = [edge(v, 0.2, h) for v, h in
             [(60, 900), (60, 1000), (80, 520), (80, 600), (110, 260), (110, 330)]]  # fmt: skip
    x = np.log([point.speed_m_per_min for point in edges])
    y = np.log([point.life.low for point in edges])
    slope, _ = np.polyfit(x, y, 1)
    off = y - y.mean() - slope * (x - x.mean())
    error = math.sqrt(float((off**2).sum()) / 4 / float(((x - x.mean()) ** 2).sum()))
    found = fit_tool_life(edges)
    # Student's t on 4 degrees of freedom at 95 %: 2.1318 (tables).
    assert found.speed_exponent == pytest.approx(-slope, rel=1e-6)
    assert found.intervals["speed_exponent"] == pytest.approx(
        (-slope - 2.1318 * error, -slope + 2.1318 * error), rel=1e-3
    )


def regression(columns: list[list[float]], y: list[float]) -> CensoredRegression:
    response = np.array(y)
    return CensoredRegression(response, response, np.array(columns), "lognormal")


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_lathe_with_two_tool_materials(shared_data: Path) -> None:
    # Montgomery, Peck and Vining, Introduction to Linear Regression Analysis (published): hours =
    # 36.986 - 0.02661 rpm + 15.004 B, R² 0.9003. Without censoring the likelihood's top is least
    # squares.
    data = rows(shared_data / "lathe_two_materials_montgomery.csv")
    hours = [float(row["hours"]) for row in data]
    problem = regression(
        [[1.0, float(row["rpm"]), float(row["material"] == "B")] for row in data], hours
    )
    top = problem.fit()
    assert top.beta.tolist() == pytest.approx([36.986, -0.02661, 15.004], rel=2e-4)
    spread = sum((value - sum(hours) / len(hours)) ** 2 for value in hours)
    assert 1 - len(hours) * top.sigma**2 / spread == pytest.approx(0.9003, abs=1e-4)


def test_tool_life_in_a_two_level_design(shared_data: Path) -> None:
    # Montgomery, Design and Analysis of Experiments, problem 6.1 (published sums of squares): A
    # 0.67, B 770.67, C 280.17, AC 468.17, error 482.67. With ±1 columns each sum is 24·β².
    data = rows(shared_data / "tool_life_2x2x2_montgomery.csv")
    columns = []
    for row in data:
        a, b, c = (float(row[k]) for k in ("cutting_speed", "tool_geometry", "cutting_angle"))
        columns.append([1.0, a, b, c, a * b, a * c, b * c, a * b * c])
    top = regression(columns, [float(row["life_hours"]) for row in data]).fit()
    squares = 24 * top.beta**2
    assert squares[[1, 2, 3, 5]].tolist() == pytest.approx([0.67, 770.67, 280.17, 468.17], abs=0.01)
    assert 24 * top.sigma**2 == pytest.approx(482.67, abs=0.01)


def test_thrust_in_a_two_by_four_design(shared_data: Path) -> None:
    # Montgomery, Design and Analysis of Experiments, 10th ed., problem 5.14. Sums of squares from
    # memory of its solution: speed 0.1482, feed 0.0925, interaction 0.0419, error 0.0208.
    data = rows(shared_data / "drill_thrust_2x4_montgomery.csv")
    force = [float(row["thrust_force"]) for row in data]
    feeds = sorted({row["feed_in_per_rev"] for row in data})

    def left(speed: bool, feed: bool, both: bool) -> float:
        columns = []
        for row in data:
            s = 1.0 if row["DrillSpeed_rpm"] == "200" else -1.0
            f = [float(row["feed_in_per_rev"] == one) - float(row["feed_in_per_rev"] == feeds[0])
                 for one in feeds[1:]]  # fmt: skip
            columns.append([1.0, *([s] if speed else []), *(f if feed else []),
                            *([s * value for value in f] if both else [])])  # fmt: skip
        return 16 * regression(columns, force).fit().sigma ** 2

    error = left(True, True, True)
    assert error == pytest.approx(0.0208, abs=2e-4)
    assert left(True, True, False) - error == pytest.approx(0.0419, abs=2e-4)
    assert left(False, True, True) - error == pytest.approx(0.1482, abs=2e-4)
    assert left(True, False, True) - error == pytest.approx(0.0925, abs=2e-4)

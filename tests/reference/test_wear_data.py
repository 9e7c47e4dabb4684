"""Published flank wear of sixteen cutters, some readings blank: holes to wear and projections.

Agogino and Goebel, milling data set, UC Berkeley / NASA Ames, 2007. Time in minutes stands for
holes here; wear is VB. These curves were looked at when the allowances of a projection were set
(where fast wear begins, how much the pace may differ, how readily wear stands still), so how many
projections hold is no independent proof; the simulated edges of the coverage study were, too.
"""

from __future__ import annotations

import csv
import math
from collections import defaultdict
from pathlib import Path

import pytest

from trials.life import WearPoint, fit_wear_curve, holes_to_wear, life_of_run, project
from trials.model import CuttingData, Run, WearReading

LIMITS = (0.2, 0.3, 0.4, 0.5, 0.6)
Curves = dict[int, list[WearReading]]


@pytest.fixture
def cutters(shared_data: Path) -> Curves:
    found: Curves = defaultdict(list)
    with (shared_data / "milling_wear_labels.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            wear = float(row["VB"]) if row["VB"] else None
            found[int(row["case"])].append(WearReading(int(float(row["time"])), vb_average_mm=wear))
    return dict(found)


def measured(readings: list[WearReading]) -> list[tuple[int, float]]:
    return [(r.hole, r.vb_average_mm) for r in readings if r.vb_average_mm is not None]


def test_what_the_source_says_is_there(cutters: Curves) -> None:
    # SOURCES of the data: 167 runs, 16 cutters, 146 measured.
    assert sorted(cutters) == list(range(1, 17))
    assert sum(len(readings) for readings in cutters.values()) == 167
    assert sum(len(measured(readings)) for readings in cutters.values()) == 146


@pytest.mark.parametrize("limit", LIMITS)
def test_every_cutter_has_its_holes_or_a_bound(cutters: Curves, limit: float) -> None:
    for case, readings in cutters.items():
        points = measured(readings)
        last = readings[-1].hole
        found = holes_to_wear(readings, limit, "stopped", max(last, 1))
        over = [hole for hole, wear in points if wear >= limit]
        if over:
            # Read off the table: between the first reading over the limit and the one before.
            before = max((hole for hole, wear in points if hole < over[0]), default=0)
            assert found.kind in ("interpolated", "observed"), case
            assert found.holes is not None
            assert before <= found.holes
            assert found.low == before, case
            assert found.high is None or found.low <= found.holes <= found.high, case
        else:
            assert found.kind in ("projected", "censored"), case
            assert found.low >= last, case
            assert found.why


def test_later_limits_never_come_earlier(cutters: Curves) -> None:
    for case, readings in cutters.items():
        last = max(readings[-1].hole, 1)
        for kind in (("interpolated", "observed"),):
            holes = [
                one.holes
                for limit in (0.1, 0.15, *LIMITS)
                for one in [holes_to_wear(readings, limit, "stopped", last)]
                if one.kind in kind and one.holes is not None
            ]
            assert holes == sorted(holes), case


def test_cutters_as_lives(cutters: Curves) -> None:
    # By the table, at 0.3 mm: case 6 has one reading (no wear at its start) and no life; every
    # other one passed 0.3 mm between two looks, or was seen at it (case 8, 0.30 at 6 min).
    data = CuttingData(200, 0.25)
    kinds = {}
    for case, readings in cutters.items():
        holes = readings[-1].hole
        if holes == 0:
            continue
        run = Run(1, "cutter", data, "ended", "stopped", holes, wear=tuple(readings))
        life = life_of_run(run, 0.3)
        kinds[case] = life
    assert 6 not in kinds
    assert all(life.ended for life in kinds.values())
    assert kinds[8].exact
    assert (kinds[8].low, kinds[8].mode) == (6, "worn")
    assert (kinds[2].low, kinds[2].high) == (39, 45)
    assert (kinds[3].low, kinds[3].high) == (57, 63)


def test_curves_rise_and_stay_near_their_readings(cutters: Curves) -> None:
    for case, readings in cutters.items():
        points = [WearPoint(float(hole), wear) for hole, wear in measured(readings) if hole > 0]
        curve = fit_wear_curve(points)
        if curve is None:
            assert len(points) < 3, case
            continue
        heights = [curve.wear_mm(h) for h in range(0, 2 * readings[-1].hole, 1)]
        assert heights == sorted(heights), case
        assert heights[0] == 0
        off = sorted(abs(curve.wear_mm(point.hole) - point.wear_mm) for point in points)
        # Half of the readings within 0.03 mm: what reading them differs by (from memory).
        assert off[len(off) // 2] <= 0.03, case


def test_projections_hold_what_really_came(cutters: Curves) -> None:
    # Each curve is cut at every reading before its limit and carried on; the 90 % range is held
    # against the hole at which the full curve passed (straight line between its two readings).
    # 85 to 95 % should be inside; the many cuts of sixteen cutters are not independent.
    inside = asked = 0
    ratios = []
    for readings in cutters.values():
        points = measured(readings)
        for limit in LIMITS:
            over = next((i for i, (_, wear) in enumerate(points) if wear >= limit), None)
            if over is None or over == 0:
                continue
            (hole0, wear0), (hole1, wear1) = points[over - 1], points[over]
            truth = hole0 + (hole1 - hole0) * (limit - wear0) / (wear1 - wear0)
            for cut in range(3, over + 1):
                known = [WearPoint(float(hole), wear) for hole, wear in points[:cut] if hole > 0]
                if len(known) < 3:
                    continue
                found = project(known, limit, known[-1].hole)
                if found.ok:
                    asked += 1
                    inside += found.low <= truth <= found.high
                    ratios.append(math.log(found.middle / truth))
    assert asked >= 100
    assert 0.85 <= inside / asked <= 0.96
    # And the middle is neither early nor late on the whole.
    assert abs(sum(ratios) / len(ratios)) < 0.05

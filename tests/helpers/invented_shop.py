"""A whole invented shop of any size, put into the store in a few seconds."""

from __future__ import annotations

import math
import random
import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import insert

from tests.helpers.example_trial import example_trial
from trials.model import Drill, HoleFeature, Trial, Work
from trials.model.plain import to_plain
from trials.store import Store
from trials.store import _tables as tables
from trials.store._trial_rows import trial_columns

_MATERIALS = (
    ("carbon steel", "P", 200.0), ("alloy steel", "P", 280.0), ("austenitic stainless", "M", 190.0),
    ("grey cast iron", "K", 210.0), ("aluminium alloy", "N", 90.0),
)  # fmt: skip
_DIAMETERS = (5.0, 6.8, 8.5, 10.2, 12.0)
_DRILLS = {
    "plain": (0.0, 40.0), "coated": (0.4, 62.0), "thick coat": (0.3, 66.0),
    "cobalt": (-0.6, 12.0), "polished": (0.1, 58.0), "short": (0.05, 44.0),
}  # fmt: skip
EXPONENTS = (2.2, 0.6)  # of speed and of feed in holes to wear
SCATTER = {"edge": 0.3, "trial": 0.25, "batch": 0.2, "machine": 0.1}


def fill(store: Store, trials: int, runs: int, *, seed: int = 1, invented: bool = False) -> None:
    """Put so many trials with so many runs in all into an empty store.

    Lives follow a tool-life equation with the exponents and scatters above, prices rise a little
    every year; every value is made up.
    """
    rng = random.Random(seed)
    shifts = {
        "batch": {f"heat {n}": rng.gauss(0, SCATTER["batch"]) for n in range(max(8, trials // 4))},
        "machine": {f"mill {n}": rng.gauss(0, SCATTER["machine"]) for n in range(8)},
    }
    rows: dict[str, list[dict[str, Any]]] = {"trial": [], "drill": [], "run": [], "wear": []}
    begin = datetime(2024, 1, 2, tzinfo=UTC)
    each = [runs // trials + (number < runs % trials) for number in range(trials)]
    for number in range(trials):
        trial = _trial(number, rng, invented)
        at = begin + timedelta(days=900 * number / trials)
        key = uuid.UUID(int=rng.getrandbits(128))
        rows["trial"].append({"uuid": key, "version": 1, "created_utc": at, "changed_utc": at,
                              **trial_columns(trial)})  # fmt: skip
        rows["drill"] += [_drill_row(key, place, one) for place, one in enumerate(trial.drills, 1)]
        own = rng.gauss(0, SCATTER["trial"])
        for run in range(1, each[number] + 1):
            _run(rows, key, run, trial, own, shifts, at + timedelta(days=run), rng)
    with store._database.writing() as connection:
        for name, table in (("trial", tables.trial), ("drill", tables.drill), ("run", tables.run),
                            ("wear", tables.wear_reading)):  # fmt: skip
            if rows[name]:
                connection.execute(insert(table), rows[name])


def _trial(number: int, rng: random.Random, invented: bool) -> Trial:
    material, group, hardness = _MATERIALS[number % len(_MATERIALS)]
    diameter = _DIAMETERS[(number // len(_MATERIALS)) % len(_DIAMETERS)]
    inflation = 1.0 + 0.02 * number / 365
    drills = tuple(
        Drill(name, diameter, price=round(price * diameter / 8.5 * inflation, 2))
        for name, (_, price) in rng.sample(sorted(_DRILLS.items()), 2)
    )
    base = example_trial()
    return example_trial(
        f"job {number:04d}", work=Work(material, group, hardness_hb=hardness),  # type: ignore[arg-type]  # one of the letters above
        hole=HoleFeature(diameter, round(diameter * rng.uniform(2.0, 4.0), 1)), drills=drills,
        invented=invented,
        economics=base.economics if number % 10 else type(base.economics)(1.3, currency="USD"),
    )  # fmt: skip


def _drill_row(key: uuid.UUID, place: int, drill: Drill) -> dict[str, Any]:
    plain = to_plain(drill)
    names = ("name", "diameter_mm", "price")
    return {
        "trial_uuid": key, "position": place, **{name: plain[name] for name in names},
        "maker": drill.maker, "substrate": drill.substrate, "coating": drill.coating,
        "regrinds": drill.regrinds, "regrind_cost": drill.regrind_cost,
    }  # fmt: skip


def _run(
    rows: dict[str, list[dict[str, Any]]], trial_key: uuid.UUID, number: int, trial: Trial,
    own: float, shifts: dict[str, dict[str, float]], at: datetime, rng: random.Random,
) -> None:  # fmt: skip
    drill = trial.drills[number % len(trial.drills)]
    speed = 80.0 * math.exp(rng.choice((-0.2, 0.0, 0.0, 0.15)))
    feed = drill.diameter_mm * 0.018 * math.exp(rng.choice((-0.15, 0.0, 0.1)))
    batch, machine = rng.choice(sorted(shifts["batch"])), rng.choice(sorted(shifts["machine"]))
    log_life = (
        math.log(400.0) + _DRILLS[drill.name][0] - EXPONENTS[0] * math.log(speed / 80.0)
        - EXPONENTS[1] * math.log(feed / drill.diameter_mm / 0.018) + own
        + shifts["batch"][batch] + shifts["machine"][machine] + rng.gauss(0, SCATTER["edge"])
        + math.log(25.0 / trial.hole.depth_mm)
    )  # fmt: skip
    life = max(5, round(math.exp(log_life)))
    end = "broken" if rng.random() < 0.03 else "worn"
    if life > trial.max_test_holes:
        life, end = trial.max_test_holes, "stopped"
    key = uuid.UUID(int=rng.getrandbits(128))
    rows["run"].append({
        "uuid": key, "version": 1, "trial_uuid": trial_key, "number": number, "drill": drill.name,
        "speed_m_per_min": speed, "feed_mm_per_rev": feed, "peck_mode": "none",
        "peck_depth_xd": 1.0, "breakthrough_feed_factor": 1.0, "breakthrough_mm": 0.0,
        "state": "ended", "end": end, "holes": life, "load_fresh_pct": 40.0,
        "load_worn_pct": 55.0, "cycle_min": 0.02 + trial.hole.depth_mm / (speed * feed * 40.0),
        "origin": "person", "note": "", "batch": batch, "machine": machine, "regrinds_done": 0,
        "test_holes": None, "planned_utc": at, "changed_utc": at, "ended_utc": at,
    })  # fmt: skip
    full = 0.32 if end == "worn" else 0.2
    for place in range(1, 6):
        rows["wear"].append({
            "uuid": uuid.UUID(int=rng.getrandbits(128)), "run_uuid": key, "position": place,
            "hole": max(1, life * place // 5), "vb_average_mm": None,
            "vb_maximum_mm": round(full * place / 5, 3), "corner_chipping_mm": None,
            "margin_chipping_mm": None, "hole_diameter_mm": None, "note": "", "taken_utc": at,
            "removed_utc": None, "removed_by": "",
        })  # fmt: skip

"""An invented trial for tests; every part of it can be replaced."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from trials.model import Bounds, CuttingData, Drill, Economics, HoleFeature, Machine, Trial, Work

START = CuttingData(speed_m_per_min=80.0, feed_mm_per_rev=0.15)


def example_trial(name: str = "bracket", **changes: Any) -> Trial:
    """Two drills for an 8.5 mm blind hole in steel on an 11 kW spindle."""
    trial = Trial(
        name=name,
        machine=Machine(11.0, 1500.0, 8000.0, name="mill 2", max_thrust_n=6000.0),
        work=Work("carbon steel", "P", hardness_hb=200.0),
        hole=HoleFeature(8.5, 25.0, tolerance="H8", name="pin hole"),
        drills=(
            Drill("plain", 8.5, price=80.0, regrinds=3, regrind_cost=20.0),
            Drill("coated", 8.5, coating="TiAlN", price=120.0),
        ),
        economics=Economics(machine_rate_per_min=1.2, tool_change_min=2.0, currency="CHF"),
        bounds=Bounds((40.0, 120.0), (0.05, 0.3)),
        start=START,
        invented=True,
    )
    return replace(trial, **changes)

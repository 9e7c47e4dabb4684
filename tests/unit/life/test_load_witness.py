"""Load as a second witness, and never more."""

from __future__ import annotations

import random

import pytest

from trials.life import holes_to_wear, load_witness
from trials.model import WearReading


def peaks(holes: int, rise: float, noise: float = 0.3, seed: int = 1) -> list[float]:
    """Invented peaks that rise by ``rise`` % over the holes."""
    values = random.Random(seed)
    return [40 * (1 + rise / 100 * n / holes) + values.gauss(0, noise) for n in range(1, holes + 1)]


def worn(*holes: int) -> list[WearReading]:
    return [WearReading(hole, vb_maximum_mm=hole / 1000) for hole in holes]


def test_load_that_tracks_wear_says_how_much() -> None:
    # Load rises by 30 % over 200 holes in which wear comes to 0.2 mm: a fifteenth of a tenth of a
    # mm for each per cent.
    found = load_witness([(worn(40, 80, 120, 160, 200), peaks(200, 30))])
    assert found.tracks
    assert found.mm_per_pct == pytest.approx(0.2 / 30, rel=0.1)
    assert "tracked wear" in found.why


@pytest.mark.parametrize(
    ("readings", "load", "says"),
    [
        (worn(40, 80, 120), peaks(200, 30), "only 3 wear readings"),
        (worn(40, 80, 120, 160), peaks(200, 0.5), "no more than it scatters"),
        (worn(40, 80, 120, 160), list(reversed(peaks(200, 30))), "no more than it scatters"),
        (worn(40, 80, 120, 160), [40.0] * 60 + [60.0] * 20 + [41.0] * 120, "did not rise with"),
        (worn(40, 80, 120, 160), [40.0] * 150 + [60.0] * 50, "off by"),
        (worn(40, 80, 120, 160), [], "only 0 wear readings"),
        (worn(40, 80, 120, 160), [float("nan")] * 200, "only 0 wear readings"),
    ],
)
def test_load_that_does_not_track_is_no_witness(
    readings: list[WearReading], load: list[float], says: str
) -> None:
    found = load_witness([(readings, load)])
    assert not found.tracks
    assert says in found.why
    assert found.points(load) == ()


def test_witness_narrows_a_projection_and_never_makes_one() -> None:
    load = peaks(260, 39)
    witness = load_witness([(worn(40, 80, 120, 160, 200), load[:200])]).points(load)
    assert witness[0].hole == 260
    alone, together = (
        holes_to_wear(worn(60, 120, 160), 0.35, "stopped", 260, witness=points)
        for points in ((), witness)
    )
    assert alone.kind == together.kind == "projected"
    assert together.high is not None
    assert alone.high is not None
    assert together.high - together.low < alone.high - alone.low
    # Two readings carry no projection, whatever the load says; nor does load end a run.
    assert holes_to_wear(worn(60, 120), 0.3, "stopped", 260, witness=witness).kind == "censored"
    assert holes_to_wear(worn(60, 120), 0.2, None, 260, witness=witness).kind == "censored"

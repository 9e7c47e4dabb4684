"""The count of holes is the one that a person would make now, not when a hole is settled."""

from __future__ import annotations

import pytest

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import CUT_S, LEAD_S, PERIOD_S, RATE_HZ, stream
from trials.logger import Decoder, LineFormat, Mapping
from trials.model import Run
from trials.workbench._derive import Derivation


@pytest.mark.parametrize("seed", [1, 2])
def test_a_hole_counts_within_two_seconds_of_its_end(seed: int) -> None:
    """In time of the trace, looked at every half a second as the logger and the live view do."""
    holes = 12
    lines = stream(holes, seed=seed).splitlines(keepends=True)
    derivation = Derivation(example_trial(), Run(1, "plain", START))
    decoder = Decoder(LineFormat(), Mapping.parse("load=load_pct,time=time_s"))
    derivation.take(decoder.feed(lines[0]))
    looks = 0
    for begin in range(1, len(lines), RATE_HZ // 2):
        derivation.take(decoder.feed(b"".join(lines[begin : begin + RATE_HZ // 2])))
        now_s = derivation.newest_s
        ended = [n for n in range(holes) if LEAD_S + n * PERIOD_S + CUT_S <= now_s]
        surely = [n for n in ended if LEAD_S + n * PERIOD_S + CUT_S <= now_s - 2.0]
        assert len(surely) <= len(derivation.holes) <= len(ended), f"at {now_s:.1f} s"
        looks += 1
    assert looks > 100
    assert not derivation.settled, "all of this was counted before anything is settled"

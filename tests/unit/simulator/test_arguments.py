"""The simulator's command line reads back what it writes, and says what is wrong with the rest."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials.errors import InputError
from trials.model import CuttingData, Drill, HoleFeature, Machine, PeckMode, Work
from trials.simulator.arguments import Command, read_arguments, split_address, write_arguments
from trials.simulator.drilling import Job, Watch
from trials.simulator.spindle import Signal

NEEDED = ["--speed=60", "--feed=0.1", "--diameter=6", "--depth=18"]


@given(
    speed=st.floats(5.0, 80.0),
    feed=st.floats(0.01, 0.3),
    mode=st.sampled_from(["none", "chip_break", "full_retract"]),
    peck=st.floats(0.1, 5.0),
    through=st.booleans(),
    coolant=st.booleans(),
    limit=st.none() | st.floats(10.0, 120.0),
    seed=st.integers(0, 2**31),
    pty=st.booleans(),
)
def test_what_is_written_is_read_back(
    speed: float,
    feed: float,
    mode: PeckMode,
    peck: float,
    through: bool,
    coolant: bool,
    limit: float | None,
    seed: int,
    pty: bool,
) -> None:
    command = Command(
        Job(
            Machine(7.5, 2000, 12_000, "invented machine", 9000.0, 18_000.0),
            Work("invented material", "M"),
            HoleFeature(6.0, 20.0, through),
            Drill("invented drill", 6.0, "cobalt", "TiCN", 135.0, through_coolant=coolant),
            CuttingData(speed, feed, mode, peck, 0.5, 2.0),
        ),
        Watch(120, 15, 0.25, limit),
        Signal(12.5, 0, 0.3, 0.5),
        seed=seed,
        link="pty" if pty else "127.0.0.1:0",
        speed_up=0.0,
        wait_s=7.0,
        reconnect=through,
        with_depth=coolant,
        csv=Path("a.csv"),
        notes=Path("notes with blank.csv"),
        labels=None,
    )
    assert read_arguments(write_arguments(command)) == command


def test_units_are_understood() -> None:
    command = read_arguments(
        ["--tcp=127.0.0.1:0", "--speed=200 ft/min", "--feed=0.004 in/rev", "--diameter=0.25 in",
         "--depth=19,05 mm"]
    )  # fmt: skip
    # 1 in = 25.4 mm and 1 ft = 304.8 mm by definition.
    assert command.job.cutting_data.speed_m_per_min == pytest.approx(60.96)
    assert command.job.cutting_data.feed_mm_per_rev == pytest.approx(0.1016)
    assert command.job.drill.diameter_mm == pytest.approx(6.35)
    assert command.job.hole.depth_mm == pytest.approx(19.05)


@pytest.mark.parametrize(
    ("given", "names"),
    [
        ("--feed=1.5 m/min", ["--feed", "1.5 m/min", "mm/rev"]),
        ("--sample-rate=0", ["sample rate", "0.1 to 10,000 Hz"]),
        ("--holes=0", ["number of holes", "1 to"]),
        ("--speed=900", ["cutting data", "turns at most"]),
        ("--speed-up=-1", ["speed-up", "0 or more"]),
        ("--load-limit=30 mm", ["--load-limit", "%"]),
    ],
)
def test_a_bad_value_is_named(given: str, names: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        read_arguments(["--pty", *NEEDED, given])
    assert all(name in str(caught.value) for name in names)


@pytest.mark.parametrize("address", ["127.0.0.1", "127.0.0.1:", ":5", "host:port", "h:70000"])
def test_an_address_without_host_and_port_is_refused(address: str) -> None:
    with pytest.raises(InputError, match="host:port"):
        split_address(address)


def test_help_says_that_it_is_simulated(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        read_arguments(["--help"])
    assert caught.value.code == 0
    assert "Simulated and advisory" in " ".join(capsys.readouterr().out.split())

"""The alarm: on the live value, on finished holes, and where it is sent. Invented holes."""

from __future__ import annotations

import os
import stat
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from trials.errors import InputError
from trials.logger import Alarm, AlarmCommand, AlarmFile, AlarmNews, Batch, HoleAlarm
from trials.logger.hole_alarm import rises_faster


def batch(load: list[float], start_s: float = 0.0) -> Batch:
    time_s = start_s + 0.1 * np.arange(len(load))
    nothing = np.full(len(load), np.nan)
    return Batch(time_s, np.array(load), nothing, nothing)


def test_a_value_that_trembles_about_the_limit_is_one_alarm() -> None:
    alarm = Alarm(80.0)
    events = alarm.feed(batch([70, 81, 79, 81, 79.5, 77, 81]))
    assert [(event.active, event.time_s) for event in events] == [
        (True, pytest.approx(0.1)), (False, pytest.approx(0.5)), (True, pytest.approx(0.6)),
    ]  # fmt: skip
    assert alarm.over_limit
    assert "81 % is over the limit of 80 %" in events[0].text


def test_chunks_of_values_make_no_difference_to_the_alarm() -> None:
    rng = np.random.default_rng(5)
    load = (78 + 3 * rng.standard_normal(500)).tolist()
    whole = Alarm(80.0).feed(batch(load))
    alarm = Alarm(80.0)
    parts = [
        event for i in range(0, 500, 7) for event in alarm.feed(batch(load[i : i + 7], i / 10))
    ]
    assert len(whole) > 10
    assert [(e.active, e.load_pct) for e in parts] == [(e.active, e.load_pct) for e in whole]


def test_silence_is_stale_and_values_end_it() -> None:
    alarm = Alarm(80.0, stale_after_s=1.0)
    alarm.feed(batch([5.0]), now_s=100.0)
    assert alarm.check(100.9) == []
    (event,) = alarm.check(101.1)
    assert (event.kind, event.active, alarm.stale) == ("stale", True, True)
    assert alarm.check(102.0) == []
    (event,) = alarm.feed(batch([5.0], 2.0), now_s=102.1)
    assert (event.kind, event.active) == ("stale", False)


# -- finished holes ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Drilled:
    """A hole of 3 s every 6 s."""

    number: int
    peak_pct: float = 40.0
    cut_s: float = 3.0
    pecks: int = 1
    flags: tuple[str, ...] = ()
    pause_s: float = 0.0

    @property
    def start_s(self) -> float:
        return 6.0 * self.number

    @property
    def end_s(self) -> float:
        return self.start_s + self.cut_s + self.pause_s * (self.pecks - 1)


def kinds(alarm: HoleAlarm, holes: list[Drilled], newest_s: float = float("inf")) -> list[str]:
    return [f"{event.kind} {event.hole}" for event in alarm.look(holes, newest_s)]


def test_a_finished_hole_over_the_limit_is_told_once() -> None:
    alarm = HoleAlarm(80.0)
    holes = [Drilled(1), Drilled(2, 81.0), Drilled(3)]
    assert kinds(alarm, holes) == ["over_limit 2"]
    assert kinds(alarm, [*holes, Drilled(4)]) == []


def test_the_newest_hole_is_judged_when_no_further_peck_came() -> None:
    alarm = HoleAlarm(80.0)
    pecked = [Drilled(n, pecks=3, pause_s=1.0) for n in range(1, 6)]
    assert kinds(alarm, pecked, pecked[-1].end_s + 0.5) == []
    half = replace(pecked[-1], number=6, cut_s=1.0, pecks=1)
    assert kinds(alarm, [*pecked, half], half.end_s + 1.4) == [], "a peck may still come"
    assert kinds(alarm, [*pecked, half], half.end_s + 1.6) == ["load_lost 6"]


def test_a_hole_much_shorter_than_the_others_lost_its_load() -> None:
    alarm = HoleAlarm(80.0)
    holes = [Drilled(n) for n in range(1, 6)]
    assert kinds(alarm, holes) == []
    (event,) = alarm.look([*holes, Drilled(6, cut_s=1.5)], float("inf"))
    assert event.kind == "load_lost"
    assert "1.5 s instead of 3.0 s" in event.text
    assert "may be broken" in event.text
    assert kinds(alarm, [*holes, Drilled(6, cut_s=1.5), Drilled(7, cut_s=2.0)]) == []


def test_the_first_hole_is_held_against_the_cutting_data() -> None:
    assert kinds(HoleAlarm(80.0, expected_cut_s=3.0), [Drilled(1, cut_s=1.0)]) == ["load_lost 1"]
    assert kinds(HoleAlarm(80.0, expected_cut_s=3.0), [Drilled(1, cut_s=1.5)]) == []
    assert kinds(HoleAlarm(80.0), [Drilled(1, cut_s=1.0)]) == []


def test_noise_before_the_first_hole_is_no_broken_drill() -> None:
    noise = Drilled(1, cut_s=1.0, flags=("short", "faint"))
    assert kinds(HoleAlarm(80.0, expected_cut_s=3.0), [noise]) == []
    # Where what is usual is known, a faint hole that is too short is told.
    holes = [Drilled(n) for n in range(1, 4)] + [replace(noise, number=4)]
    assert kinds(HoleAlarm(80.0, expected_cut_s=3.0), holes) == ["load_lost 4"]


def test_a_drill_that_broke_shows_some_time_after_the_hole() -> None:
    alarm = HoleAlarm(80.0)
    holes = [Drilled(n) for n in range(1, 5)]
    assert kinds(alarm, holes) == []
    holes[-1] = replace(holes[-1], flags=("broken",))
    assert kinds(alarm, holes) == ["load_lost 4"]
    assert kinds(alarm, holes) == []


def test_holes_with_a_gap_say_nothing() -> None:
    alarm = HoleAlarm(80.0)
    holes = [*(Drilled(n) for n in range(1, 5)), Drilled(5, 90.0, 1.0, flags=("gap",))]
    assert kinds(alarm, holes) == []


def test_what_was_recorded_before_a_stop_raises_no_alarm_again() -> None:
    alarm = HoleAlarm(80.0)
    holes = [Drilled(1), Drilled(2, 81.0)]
    assert alarm.look(holes, float("inf"), silent=True) == []
    assert kinds(alarm, [*holes, Drilled(3, 82.0)]) == ["over_limit 3"]


def test_a_load_that_rises_faster_than_the_run_is_told_and_not_at_every_hole() -> None:
    # A run that wears: 0.1 % a hole, then 3 % a hole from hole 21 on.
    peaks = [40 + 0.1 * n + max(0, n - 20) * 3.0 for n in range(1, 27)]
    told = kinds(HoleAlarm(100.0), [Drilled(n, peak) for n, peak in enumerate(peaks, 1)])
    # Two of the newest three must be more than 4 % (1.7 %) above the line: holes 21 and 22.
    assert told[0] == "rising 22"
    assert len(told) == 1


def test_one_odd_hole_is_no_trend() -> None:
    peaks = [40.0] * 20 + [60.0] + [40.0] * 10
    assert all(rises_faster(peaks[:n]) is None for n in range(len(peaks) + 1))


def test_a_steady_rise_is_the_trend_and_no_alarm() -> None:
    peaks = [40.0 + 0.8 * n for n in range(60)]
    assert all(rises_faster(peaks[:n]) is None for n in range(len(peaks) + 1))


@pytest.mark.parametrize(("scatter", "most"), [(0.005, 0), (0.01, 1), (0.03, 8)])
def test_scatter_alone_seldom_looks_like_a_rise(scatter: float, most: int) -> None:
    """Of 100 steady runs of 40 holes; the bounds are twice what independent runs showed."""
    rng = np.random.default_rng(11)
    false = 0
    for _ in range(100):
        peaks = ((40 + 0.15 * np.arange(40)) * (1 + scatter * rng.standard_normal(40))).tolist()
        false += any(rises_faster(peaks[:n]) is not None for n in range(13, 41))
    assert false <= most


def test_the_trend_s_line_is_what_the_next_hole_should_have_shown() -> None:
    # Theil-Sen through points on a line is that line: 40 + 0.5·n at n = 15 (counted from 0).
    peaks = [40 + 0.5 * n for n in range(13)] + [60.0, 60.0, 60.0]
    assert rises_faster(peaks) == pytest.approx(40 + 0.5 * 15)


# -- where it is sent ---------------------------------------------------------------------------

NEWS = AlarmNews("raised", "over_limit", "Load 81 %.", "bracket", 2, 7, 81.0, ("Load 81 %.",))


def test_the_alarm_file_holds_what_stands(tmp_path: Path) -> None:
    path = tmp_path / "alarm.txt"
    outlet = AlarmFile(path)
    try:
        assert path.read_text() == ""
        outlet.send(NEWS)
        wait_for(lambda: path.read_text() == "Load 81 %.\n")
        outlet.send(replace(NEWS, state="acknowledged", standing=()))
    finally:
        assert outlet.close() == []
    assert path.read_text() == ""
    assert [one.name for one in tmp_path.iterdir()] == ["alarm.txt"]


def test_an_alarm_file_that_cannot_be_written_is_told_at_once(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="--alarm-file"):
        AlarmFile(tmp_path / "nowhere" / "alarm.txt")


def script(folder: Path, text: str) -> Path:
    path = folder / "hook"
    path.write_text(f"#!{sys.executable}\nimport os, sys, time, pathlib\n{text}\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


pytestmark_posix = pytest.mark.skipif(os.name != "posix", reason="the test's script needs #!")


@pytestmark_posix
def test_the_alarm_command_knows_what_it_is_about(tmp_path: Path) -> None:
    seen = tmp_path / "seen.txt"
    hook = script(
        tmp_path,
        f"pathlib.Path({str(seen)!r}).open('a').write(sys.argv[1] + '|' + '|'.join("
        "os.environ['HOLEWISE_ALARM' + n] for n in ('', '_KIND', '_TEXT', '_TRIAL', '_RUN', "
        "'_HOLE', '_LOAD_PCT', '_STANDING')) + chr(10))",
    )
    outlet = AlarmCommand(f"{hook} 'two words; $HOME'")
    outlet.send(NEWS)
    assert outlet.close() == []
    assert seen.read_text() == (
        "two words; $HOME|raised|over_limit|Load 81 %.|bracket|2|7|81.0|1\n"
    ), "no shell has looked at it"


@pytestmark_posix
def test_a_command_that_hangs_is_ended_with_all_it_started(tmp_path: Path) -> None:
    left = tmp_path / "left.txt"
    hook = script(
        tmp_path,
        "if os.fork() == 0:\n    time.sleep(2)\n"
        f"    pathlib.Path({str(left)!r}).write_text('still here')\n    os._exit(0)\n"
        "time.sleep(60)",
    )
    outlet = AlarmCommand(str(hook), limit_s=0.5)
    begin = time.monotonic()
    outlet.send(NEWS)
    assert time.monotonic() - begin < 0.4, "who sends never waits"
    (trouble,) = outlet.close()
    assert "longer than 0.5 s" in trouble
    time.sleep(2.2)
    assert not left.exists()


@pytestmark_posix
def test_a_command_that_fails_is_told(tmp_path: Path) -> None:
    outlet = AlarmCommand(str(script(tmp_path, "sys.exit(4)")))
    outlet.send(NEWS)
    outlet.send(NEWS)
    (trouble,) = outlet.close()
    assert "status 4" in trouble


@pytest.mark.parametrize("text", ["", "no-such-program-anywhere x", "echo 'unfinished"])
def test_a_command_that_cannot_be_run_is_refused_at_once(text: str) -> None:
    with pytest.raises(InputError, match="alarm command"):
        AlarmCommand(text)


def wait_for(holds: object) -> None:
    until = time.monotonic() + 20.0
    while not holds():  # type: ignore[operator]  # a function without arguments
        assert time.monotonic() < until
        time.sleep(0.01)

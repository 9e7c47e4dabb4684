"""The live terminal view: what it says, at any size, with and without colour."""

from __future__ import annotations

from dataclasses import replace

import pytest

from trials.cli.log_view import Head, Look, draw, duration, spark
from trials.store import StoredAlarm
from trials.workbench import HoleNow, Progress

HEAD = Head("bracket", 2, "tcp://mill:7878", 80.0)
CALM = Progress(
    12_345, 0, 14, newest_load_pct=41.2, peaks_pct=tuple(40.0 + 0.5 * n for n in range(14)),
    current=HoleNow(15, 2.1, 43.0), time_s=3723.0, gaps=1, rate_per_s=50.0, silent_s=0.02,
)  # fmt: skip
OVER = StoredAlarm(1, "over_limit", "Load 83 % is over the limit of 80 %. Look at the drill.", 9.0)


def text(progress: Progress | None, **look: object) -> str:
    return "\n".join(line.plain for line in draw(HEAD, progress, Look(**look)))  # type: ignore[arg-type]  # keywords of the test


def test_it_says_all_that_a_person_at_the_machine_asks() -> None:
    shown = text(CALM)
    for said in ("Run 2 of bracket", "tcp://mill:7878", "41%", "limit 80%", "Holes 14",
                 "last peak 46%", "Hole 15 since 2.1 s", "50 a second", "rejected 0", "gaps 1",
                 "samples 12,345", "1:02:03", "p pause"):  # fmt: skip
        assert said in shown, said
    assert "ALARM" not in shown
    assert "acknowledge" not in shown


@pytest.mark.parametrize("width", [20, 36, 50, 80, 200])
@pytest.mark.parametrize("height", [3, 10, 18, 24, 60])
@pytest.mark.parametrize("alarms", [(), (OVER,), (OVER,) * 6])
@pytest.mark.parametrize("blocks", [True, False])
def test_it_fits_any_terminal(
    width: int, height: int, alarms: tuple[StoredAlarm, ...], blocks: bool
) -> None:
    for progress in (None, replace(CALM, alarms=alarms, trouble="the disk is full " * 9)):
        lines = draw(HEAD, progress, Look(width, height, blocks=blocks))
        assert len(lines) <= height
        assert all(line.cell_len <= width for line in lines)
        if not blocks:
            assert all(line.plain.replace("…", "").replace("—", "").isascii() for line in lines)


def test_an_alarm_is_big_where_there_is_room_and_there_where_there_is_none() -> None:
    alarmed = replace(CALM, alarms=(OVER,), newest_load_pct=83.0)
    big = text(alarmed, width=80, height=30)
    assert "█▄▄█" in big
    assert OVER.text in big
    assert "a acknowledge" in big
    assert "OVER THE LIMIT" in big
    small = text(alarmed, width=36, height=12)
    assert "!! ALARM !!" in small
    assert "█▄▄█" not in small
    assert "!! ALARM !!" in text(alarmed, width=80, height=30, blocks=False)


@pytest.mark.parametrize(
    ("change", "look", "says"),
    [
        ({"stale": True, "silent_s": 4.2}, {}, "Link stale: nothing new, newest 4.2 s ago"),
        ({"broken": "the other side closed the link"}, {}, "No values: the other side closed"),
        ({}, {"told_s": 5.0}, "The recording has not answered for 5 s"),
    ],
)
def test_a_link_without_values_is_never_shown_as_well(
    change: dict[str, object], look: dict[str, object], says: str
) -> None:
    shown = text(replace(CALM, **change), **look)  # type: ignore[arg-type]  # fields of the test
    assert says in shown
    assert "Values come" not in shown
    assert "last value was 41%" in shown, "an old value is not shown as the load now"


def test_the_bar_ends_at_the_load_and_the_limit_is_marked() -> None:
    def bar(load: float) -> str:
        lines = text(replace(CALM, newest_load_pct=load), width=102)
        return next(line for line in lines.splitlines() if line.startswith("["))

    assert bar(0.0).count("█") == 0
    assert bar(50.0).index("░") == 51, "100 places for 0 to 100 %, when the limit is 80 %"
    assert bar(50.0).index("┃") == 81
    assert bar(300.0).count("█") == 99


def test_the_trend_shows_where_the_limit_is_near_and_keeps_noise_small() -> None:
    near = text(replace(CALM, peaks_pct=(60.0, 65.0, 70.0, 79.0)), height=40)
    assert "limit ┄" in near
    far = text(replace(CALM, peaks_pct=(20.0, 20.2, 20.1)), height=40)
    assert "limit ┄" not in far
    columns = [
        line[7:10] for line in far.splitlines() if line[7:10].strip(" ") and "█" in line[7:10]
    ]
    assert all(part in ("███",) for part in columns[1:]), "0.2 % is no step in the picture"


def test_a_paused_view_says_that_the_recording_goes_on() -> None:
    shown = text(CALM, paused=True)
    assert "VIEW PAUSED" in shown
    assert "recording goes on: 12,345 samples" in shown
    assert "p go on" in shown


def test_a_row_of_characters_keeps_the_peaks() -> None:
    assert spark([0, 0, 0, 9, 0, 0, 0, 0], 4) == "▁█▁▁"
    assert spark([5, 5, 5], 8) == "▁▁▁"
    assert spark([], 8) == ""
    assert spark([0, 7], 8, blocks=False) == "_@"


def test_a_duration_is_read_as_hours_minutes_seconds() -> None:
    assert duration(3723.9) == "1:02:03"
    assert duration(0) == "0:00:00"

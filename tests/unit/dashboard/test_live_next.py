"""What to do now at the machine: one sentence, the most pressing first."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from dashboard.pages import live_next, live_parts
from dashboard.show import Show
from dashboard.texts import live_next as texts
from tests.helpers.fake_workbench import invented_live, invented_trial
from tests.helpers.page_words import words
from trials.model import Run, Trial, WearReading
from trials.store import StoredAlarm

STANDING = StoredAlarm(1, "over_limit", "Load 92 % is over the limit of 80 %.", 20.0)


def seen_now() -> StoredAlarm:
    """Made by each test: what was seen long ago is not told any more."""
    return replace(STANDING, acknowledged_utc=datetime.now(UTC), acknowledged_by="anna")


def looking_every(holes: int) -> Trial:
    trial = invented_trial()
    return replace(trial, economics=replace(trial.economics, inspect_every_holes=holes))


def said(trial: Trial, view: Any) -> live_next.Now:
    return live_next.now(trial, view, live_parts.level(view), Show())


@pytest.mark.parametrize(
    ("readings", "holes", "due"),
    # By hand: a look is due so many holes after the last reading, or after the fresh edge.
    [((), 0, "hole 50, in 50 holes"), ((), 49, "after the next hole"),
     ((), 50, "LOOK AT THE DRILL NOW: 50 holes since"),
     ((50,), 51, "hole 100, in 49 holes"),
     ((50, 60), 113, "LOOK AT THE DRILL NOW: 53 holes since")],
)  # fmt: skip
def test_when_to_look_is_counted_from_the_last_reading(
    readings: tuple[int, ...], holes: int, due: str
) -> None:
    view = invented_live()
    wear = tuple(WearReading(hole, vb_average_mm=0.01) for hole in readings)
    view = replace(view, run=replace(view.run, wear=wear), holes_count=holes)
    found = said(looking_every(50), view)
    assert due in found.text
    assert (found.kind == "due") == due.startswith("LOOK")


def test_without_planned_looks_nothing_is_due() -> None:
    view = replace(invented_live(), holes_count=9999)
    assert said(looking_every(0), view).text == texts.GO_ON_FREE


def test_a_test_that_is_long_enough_is_said() -> None:
    view = invented_live()
    view = replace(view, run=replace(view.run, test_holes=40), holes_count=40)
    assert "long enough after 40 holes" in said(looking_every(50), view).text


def test_what_is_wrong_goes_before_what_is_due() -> None:
    trial, due = looking_every(5), replace(invented_live(), holes_count=20)
    alarm = replace(due, alarm=STANDING.text, alarms=(STANDING,))
    assert said(trial, due).kind == "due"
    assert said(trial, alarm).text == texts.ALARM
    assert said(trial, replace(alarm, stale=True)).text == texts.STALE_ALARM
    assert said(trial, replace(due, stale=True)).text == texts.STALE


def test_after_the_recording_the_drill_is_looked_at_and_the_run_ended() -> None:
    view = invented_live()
    drilled = replace(view, run=replace(view.run, state="drilled"))
    assert said(invented_trial(), drilled).text == texts.ENDED
    assert said(invented_trial(), replace(drilled, alarms=(STANDING,))).text == texts.ENDED_ALARM
    ended: Run = replace(view.run, state="ended", end="worn")
    assert "the wear limit was reached" in said(invented_trial(), replace(view, run=ended)).text


def test_who_saw_an_alarm_is_told_to_the_others() -> None:
    view = replace(invented_live(), alarms=(seen_now(),))
    assert not live_next.standing(view)
    strip = live_next.strip(invented_trial(), view, "ok", Show())
    assert "Seen by anna, " in words(strip)
    both = replace(view, alarms=(seen_now(), replace(STANDING, number=2)))
    assert live_next.standing(both)
    assert "Seen by" not in words(live_next.strip(invented_trial(), both, "alarm", Show()))

"""What pages say, against a workbench that holds what a test gives it."""

from __future__ import annotations

from typing import Any

import pytest
from dash import html

from dashboard import ids, texts
from dashboard.pages import PAGES, live_parts, next_step, progress
from dashboard.show import Show
from tests.helpers.fake_workbench import (
    FakeWorkbench,
    holes_frame,
    invented_live,
    invented_runs,
    invented_trial,
)
from tests.helpers.page_words import parts_of, words
from trials.errors import NotFoundError
from trials.figures import END_MARKS

NAME = "Bracket holes"


@pytest.fixture
def bench() -> Any:
    return FakeWorkbench({NAME: (invented_trial(), invented_runs())})


def page(bench: Any, name: str, trial: str = NAME) -> str:
    content, _ = PAGES[name].layout(bench, Show(), trial)
    return words(content)


def test_an_empty_shop_says_what_to_do() -> None:
    said = page(FakeWorkbench(), "", "")
    assert texts.TRIALS_EMPTY_TITLE in said
    assert "holewise trial new" in said
    assert "holewise demo" in said


def test_the_list_names_every_trial_with_its_best_cost(bench: Any) -> None:
    bench.held["second"] = (invented_trial("second"), [])
    said = page(bench, "", "")
    assert f"{NAME} {texts.INVENTED}" in said
    assert "5 of 5" in said
    assert "0.412 EUR" in said
    assert texts.NOT_KNOWN_YET in said


def test_a_trial_shows_every_run_with_its_end_in_words(bench: Any) -> None:
    said = page(bench, "trial")
    for run in invented_runs():
        assert END_MARKS[run.end].word in said  # type: ignore[index]  # all of them have ended
    assert "0.31 mm at hole 240" in said
    assert "51 % → 81 %" in said
    assert "Before you drill" in said


def test_the_suggestion_has_ranges_reason_and_one_action(bench: Any) -> None:
    card = next_step.next_step(bench, Show(), NAME, None)
    said = words(card)
    for expected in ("0.410 EUR", "0.360–0.470 EUR", "265", "180–390", "58–75 %", "limit 80 %",
                     "97 %", "A little slower than run 5", "Plans run 6"):  # fmt: skip
        assert expected in said
    buttons = [part for part in parts_of(card) if getattr(part, "id", None) == ids.USE_THIS]
    assert [button.children for button in buttons] == [texts.USE_THIS]


def test_speed_and_feed_rate_for_the_control_are_never_rounded_up(bench: Any) -> None:
    # 82 m/min at 8 mm: 3262.68 1/min; times 0.17 mm/rev: 554.66 mm/min (computed by hand).
    said = words(next_step.next_step(bench, Show(), NAME, None))
    assert "3,262 /min" in said
    assert "554 mm/min" in said


def test_stop_advice_comes_first_but_the_test_stays_possible(bench: Any) -> None:
    bench.stop = True
    card = next_step.next_step(bench, Show(), NAME, None)
    assert words(card).startswith(texts.NEXT_STOP)
    assert texts.NEXT_STOP_STILL in words(card)
    assert any(getattr(part, "id", None) == ids.USE_THIS for part in parts_of(card))


def test_accepting_plans_exactly_what_was_seen(bench: Any) -> None:
    seen = shown_data(next_step.next_step(bench, Show(), NAME, None))
    assert next_step.accept(bench, NAME, None, seen)
    assert bench.runs(NAME)[-1].cutting_data == bench.suggest(NAME).cutting_data
    assert bench.runs(NAME)[-1].origin == "suggestion"


def test_accepting_something_else_plans_nothing(bench: Any) -> None:
    seen = shown_data(next_step.next_step(bench, Show(), NAME, None))
    assert not next_step.accept(bench, NAME, None, seen | {"speed_m_per_min": 190.0})
    assert len(bench.runs(NAME)) == 5


@pytest.mark.parametrize(
    ("state", "says"),
    [
        ("planned", "holewise log 'Bracket holes' --run 6"),
        ("recording", texts.RECORDING_TEXT),
        ("drilled", "holewise log 'Bracket holes' --run 6 --resume"),
    ],
)
def test_an_open_run_says_what_to_do_at_the_machine(bench: Any, state: str, says: str) -> None:
    bench.use_suggestion(NAME)
    bench.set_state(NAME, state=state)
    said = words(next_step.next_step(bench, Show(), NAME, None))
    assert says in said
    assert "3,262 /min" in said
    assert texts.USE_THIS_DOES[:5] not in said


def test_a_trial_that_is_not_there_is_said_so(bench: Any) -> None:
    with pytest.raises(NotFoundError, match="nowhere"):
        page(bench, "trial", "nowhere")


def test_progress_says_in_words_what_the_figure_shows(bench: Any) -> None:
    said = page(bench, "progress")
    assert "The cheapest so far is run 3 at 0.440 EUR a hole" in said
    assert "24 % less" in said  # 1 − 0.44/0.58
    assert texts.PROGRESS_UNSAFE in said
    # The page stands before the next run is worked out; then figure and sentence show it too.
    assert texts.PROGRESS_WORKING in said
    trial = invented_trial()
    later = html.Div(progress._run_by_run(bench, Show(), trial, ahead=True))
    assert "Run 6 is expected to cost 0.360–0.470 EUR" in words(later)


def test_progress_before_any_run_says_what_to_do() -> None:
    bench = FakeWorkbench({NAME: (invented_trial(), [])})
    assert texts.PROGRESS_EMPTY in page(bench, "progress")


@pytest.mark.parametrize(
    ("changes", "level"),
    [
        ({}, "ok"),
        ({"alarm": "Load over the limit."}, "alarm"),
        ({"stale": True}, "stale"),
        ({"stale": True, "alarm": "Load over the limit."}, "stale"),
        ({"recording": False}, "stale"),
        ({"newest_load_pct": None}, "stale"),
    ],
)
def test_old_values_come_before_everything(changes: dict[str, Any], level: str) -> None:
    assert live_parts.level(invented_live(**changes)) == level


def test_a_run_that_is_over_is_never_shown_as_now() -> None:
    view = invented_live()
    over = invented_live(run=invented_runs()[0], stale=True)
    assert live_parts.level(over) == "ended"
    assert live_parts.level(view) == "ok"


def test_fresh_load_is_large_and_old_load_is_not_shown_as_now(bench: Any) -> None:
    fresh = live_parts.parts(bench, invented_trial(), invented_live(), Show())
    stale = live_parts.parts(bench, invented_trial(), invented_live(stale=True, age_s=14.2), Show())
    assert "Spindle load now 46 % limit 80 % · 34 points below the limit" in words(fresh.gauge)
    assert f"Spindle load now {texts.LIVE_STALE_VALUE} last value 46 %, 14 s ago" in words(
        stale.gauge
    )
    assert texts.LIVE_NOT_KNOWN in words(stale.facts)


def test_the_alarm_is_sign_word_and_class(bench: Any) -> None:
    view = invented_live(alarm="Load 92 % is over the limit of 80 %.", newest_load_pct=92.0)
    parts = live_parts.parts(bench, invented_trial(), view, Show())
    assert parts.level == "alarm"
    assert words(parts.alarm) == (
        f"{texts.LIVE_SIGN_ALARM} {texts.LIVE_ALARM} Load 92 % is over the limit of 80 %."
    )


def test_before_any_recording_the_page_says_what_to_do(bench: Any) -> None:
    parts = live_parts.parts(bench, invented_trial(), None, Show())
    assert parts.level == "none"
    assert texts.LIVE_EMPTY_PLAN in words(parts.alarm)
    bench.use_suggestion(NAME)
    said = words(live_parts.parts(bench, invented_trial(), None, Show()).alarm)
    assert "holewise log 'Bracket holes' --run 6" in said


def test_the_facts_count_holes_and_measure_the_last_peak(bench: Any) -> None:
    said = words(live_parts.parts(bench, invented_trial(), invented_live(), Show()).facts)
    assert "Holes so far 12 at most 400" in said
    assert "hole 13 2.4 s, peak 47 %" in said
    assert "33 points below the limit" in said  # 80 − 47.1
    over = invented_live(holes=holes_frame([84.0]))
    said = words(live_parts.parts(bench, invented_trial(), over, Show()).facts)
    assert "4 points OVER the limit" in said


def test_every_gap_is_said_with_its_reason() -> None:
    view = invented_live(gaps=((20.0, 33.0, "link lost"),))
    said = live_parts.trace_sentence(
        live_parts.trace(invented_trial(), view), view, Show()
    ).replace("\u00a0", " ")
    assert said.endswith("Without values for 13 s: link lost.")


def test_holes_travel_only_when_one_was_added_or_mended() -> None:
    now = live_parts.holes_key(invented_live())
    assert live_parts.holes_key(invented_live(newest_load_pct=3.0)) == now
    assert live_parts.holes_key(invented_live(holes=holes_frame([40.0]), holes_count=1)) != now
    assert live_parts.holes_key(None) == live_parts.holes_key(invented_live(holes=holes_frame([])))


def test_the_trend_is_said_in_words() -> None:
    data = live_parts.trend(invented_trial(), invented_live())
    # Medians of first and last three: 40.6 and 46.2 (by hand).
    assert "risen by 6 points" in live_parts.trend_sentence(data, Show())
    none = live_parts.trend(invented_trial(), None)
    assert live_parts.trend_sentence(none, Show()) == texts.LIVE_TREND_NONE


def shown_data(card: Any) -> dict[str, Any]:
    """What the page keeps of the suggestion that it shows."""
    (store,) = (p for p in parts_of(card) if getattr(p, "id", None) == ids.SUGGESTION_SHOWN)
    data: dict[str, Any] = store.data
    return data

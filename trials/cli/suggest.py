"""``holewise suggest``, ``next`` and ``handover``: what to try, with which drill, what to keep."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.cli.common import (
    DrillName,
    TrialName,
    common,
    cutting_data_text,
    test_words,
    workbench,
)
from trials.cli.show import say, table
from trials.errors import InputError
from trials.model import CAUTIONS

if TYPE_CHECKING:
    from trials.cli.common import Common
    from trials.figures import ResponseMap, SearchSlice, SearchSlices
    from trials.model import CuttingData, Trial
    from trials.optimizer import Suggestion
    from trials.workbench import LikeTrials, NextTest, Workbench

_RECURRING = "a job that keeps coming back"
Alone = Annotated[
    bool | None,
    typer.Option(
        "--alone/--not-alone",
        help="Leave out or count earlier trials of like jobs; left out: as the trial says.",
    ),
]


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("suggest")(suggest)
    app.command("next")(next_test)
    app.command("handover")(handover)


def show_suggestion(suggestion: Suggestion, trial: Trial, drill: str, shown: Common) -> None:
    """Print what to set, what to expect, and how sure that is."""
    show_settings(suggestion.cutting_data, trial, drill, shown)
    rows = [
        ("holes to wear", *(f"{value:,.0f}" for value in suggestion.holes)),
        (f"worn peak load, % (limit {trial.load_limit_pct:g})",
         *(f"{value:.0f}" for value in suggestion.load_worn_pct)),
        (f"cost per hole, {trial.economics.currency}",
         *(f"{value:.3f}" for value in suggestion.cost_per_hole)),
    ]  # fmt: skip
    table("Expected; nine edges in ten lie between low and high",
          ("", "low", "median", "high"), rows)  # fmt: skip
    say(
        f"Chance that the worn load stays below the limit: {_percent(suggestion.p_safe)}; that "
        f"the drill chips or breaks first: {_percent(suggestion.p_chip_or_break)}."
    )


def show_settings(data: CuttingData, trial: Trial, drill: str, shown: Common) -> None:
    """Print cutting data as they are set at the machine, rounded down as a control takes them."""
    from trials.mechanics import feed_rate_mm_per_min, rpm

    spindle = rpm(data.speed_m_per_min, trial.drill(drill).diameter_mm)
    rate = feed_rate_mm_per_min(spindle, data.feed_mm_per_rev)
    pecks = "none"
    if data.peck_mode != "none":
        depth = shown.show(data.peck_depth_xd * trial.hole.diameter_mm, "mm")
        pecks = f"{data.peck_mode.replace('_', ' ')}, every {depth} ({data.peck_depth_xd:g} × D)"
    speed = shown.show(data.speed_m_per_min, "m/min")
    feed = shown.show(data.feed_mm_per_rev, "mm/rev")
    say(f"  speed  {math.floor(spindle + 1e-6):,} /min ({speed})")
    say(f"  feed   {shown.show(_whole(rate, shown), 'mm/min')} ({feed})")
    say(f"  pecks  {pecks}")


def _whole(rate: float, shown: Common) -> float:
    return float(math.floor(rate)) if shown.system == "metric" else rate


def _percent(share: float) -> str:
    if share > 0.99:
        return "over 99 %"
    return "under 1 %" if share < 0.01 else f"{100 * share:.0f} %"


def suggest(
    context: typer.Context,
    name: TrialName,
    drill: DrillName = None,
    use: Annotated[
        bool, typer.Option("--use", help="Plan the next run, or all of --count, with it.")
    ] = False,
    production: Annotated[
        bool, typer.Option("--production", help="The best for production now, not the next test.")
    ] = False,
    why: Annotated[
        bool,
        typer.Option("--why", help="Also what is believed of speed, feed and breaking, and how "
                     "exactly each must be kept."),
    ] = False,
    count: Annotated[
        int, typer.Option(min=1, max=8, help="Plan so many tests before any is looked at.")
    ] = 1,
    alone: Alone = None,
    card: Annotated[
        Path | None, typer.Option(help="Write the plan of tests to print, HTML.")
    ] = None,
) -> None:  # fmt: skip
    """The cutting data to test next, what is expected of them, and why."""
    shown = common(context)
    if production and (count > 1 or use or card):
        raise InputError(
            "--production", got="with --count, --use or --card", allowed="it alone",
            do="Production needs no test; holewise handover writes it down.",
        )  # fmt: skip
    with workbench(context) as bench:
        trial = bench.trial(name)
        chosen, stop = trial.drill(drill).name, False
        if production:
            found = bench.recommend(name, chosen, alone=alone)
            say(f"{name}, {chosen}: to produce with now")
            show_suggestion(found, trial, chosen, shown)
            say(f"Why: {shown.words(found.why)}")
        elif count > 1:
            _show_plan(bench, trial, chosen, count, alone, shown)
        else:
            stop = _show_next(bench, trial, chosen, alone, shown).stop
        _show_like(bench.like_trials(name, chosen, alone=alone), trial, shown)
        if why:
            _say_beliefs(bench.response_map(name, chosen), shown, trial.economics.currency)
            _say_slices(bench.search_slices(name, chosen), shown)
        if card is not None:
            _write_new(
                card, bench.plan_card(name, count, chosen, alone=alone, system=shown.system),
                "--card",
            )  # fmt: skip
        if use:
            runs = (
                [bench.use_suggestion(name, chosen, alone=alone)]
                if count == 1
                else bench.use_plan(name, count, chosen, alone=alone)
            )
            numbers = ", ".join(str(run.number) for run in runs)
            say(f"Run{'s' if len(runs) > 1 else ''} {numbers} planned with it. "
                f"Next: holewise log {name} --source …")  # fmt: skip
        elif not production:
            more = f" --count {count}" if count > 1 else ""
            of = "" if chosen == trial.drills[0].name else f" --drill '{chosen}'"
            if stop:
                say(f"Next: holewise handover {name}{of}    writes it down for production.")
            say(
                f"{'Or' if stop else 'Next'}: holewise suggest {name}{of}{more} --use    plans the "
                f"test{'s' if count > 1 else ''}."
            )
    say(CAUTIONS)


def _show_next(
    bench: Workbench, trial: Trial, drill: str, alone: bool | None, shown: Common
) -> Suggestion:
    found = bench.suggest(trial.name, drill, alone=alone)
    number = max((run.number for run in bench.runs(trial.name)), default=0) + 1
    money = trial.economics.currency
    if found.stop:
        best = bench.recommend(trial.name, drill, alone=alone)
        say(
            f"{trial.name}, {drill}: STOP TESTING. The next test costs {found.test_cost:.0f} "
            f"{money} and is expected to save {found.value:.0f} {money} over {_holes_left(trial)}. "
            "To produce with now:"
        )
        show_suggestion(best, trial, drill, shown)
        say(f"Why: {shown.words(best.why)}")
        say(f"To test all the same: {cutting_data_text(found.cutting_data, shown)}.")
        return found
    say(f"{trial.name}, {drill}: run {number}, the next test. Set at the machine:")
    show_suggestion(found, trial, drill, shown)
    say(test_words(found.test_holes, trial.max_test_holes))
    if found.value > 0:
        say(
            f"The test is expected to save {found.value:.0f} {money} over {_holes_left(trial)}; it "
            f"costs {found.test_cost:.0f} {money}."
        )
    say(f"Why: {shown.words(found.why)}")
    return found


def _holes_left(trial: Trial) -> str:
    holes = trial.holes_to_make
    return _RECURRING if holes is None else f"{holes:,} holes"


def _show_plan(
    bench: Workbench, trial: Trial, drill: str, count: int, alone: bool | None, shown: Common
) -> None:
    tests = bench.plan(trial.name, count, drill, alone=alone)
    first = max((run.number for run in bench.runs(trial.name)), default=0) + 1
    say(f"{trial.name}, {drill}: a plan of {len(tests)} tests, each with a fresh edge")
    from trials.mechanics import feed_rate_mm_per_min, rpm

    rows = []
    for number, test in enumerate(tests, start=first):
        data, load = test.cutting_data, test.load_worn_pct
        spindle = rpm(data.speed_m_per_min, trial.drill(drill).diameter_mm)
        rate = feed_rate_mm_per_min(spindle, data.feed_mm_per_rev)
        rows.append(
            (
                str(number), cutting_data_text(data, shown),
                f"{math.floor(spindle + 1e-6):,} /min, {shown.show(_whole(rate, shown), 'mm/min')}",
                f"{test.test_holes or trial.max_test_holes:,}",
                f"{test.holes.median:,.0f} ({test.holes.low:,.0f}–{test.holes.high:,.0f})",
                f"{load.median:.0f} ({load.low:.0f}–{load.high:.0f})",
                f"{test.cost_per_hole.median:.3f}",
            )
        )  # fmt: skip
    table(
        "Ranges hold nine edges in ten",
        ("run", "cutting data", "set", "may stop after", "holes to wear", "worn load, %",
         f"{trial.economics.currency} a hole"),
        rows,
    )  # fmt: skip
    reasons: dict[str, list[str]] = {}
    for number, test in enumerate(tests, start=first):
        reasons.setdefault(test.why, []).append(str(number))
    for why, numbers in reasons.items():
        say(f"Run{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}: {shown.words(why)}")


def _show_like(found: LikeTrials, trial: Trial, shown: Common) -> None:
    """Which like jobs count, how much, and how to leave them out."""
    if not found.used and not found.left_out:
        return
    for heading, likes in (("Learned from", found.used), ("Left out", found.left_out)):
        if not likes:
            continue
        rows = [
            (
                "this trial" if one.trial == trial.name else one.trial,
                one.drill, str(one.runs), f"{100 * one.likeness:.0f} %", shown.words(one.why),
            )
            for one in likes
        ]  # fmt: skip
        table(f"{heading} like jobs", ("trial", "drill", "runs", "alike", "because"), rows)
    if found.holes_with is not None and found.holes_without is not None:
        a, b = found.holes_with, found.holes_without
        say(
            f"With them {a.median:,.0f} holes to wear ({a.low:,.0f} to {a.high:,.0f}) are expected "
            f"here, without {b.median:,.0f} ({b.low:,.0f} to {b.high:,.0f}); they count less with "
            "each run of this drill."
        )
    others = any(one.trial != trial.name for one in found.used)
    if others:
        say("Leave other trials out: --alone; for good: "
            f"holewise trial set {trial.name} --alone")  # fmt: skip


def _say_beliefs(found: ResponseMap, shown: Common, currency: str) -> None:
    say(f"Believed around {cutting_data_text(found.recommended, shown)}, with 90 % ranges:")
    for sentence in found.beliefs:
        say(f"- {sentence}")
    say(f"A hole for {found.lowest_possible:.3f} {currency} is still possible by what is known.")


def _say_slices(found: SearchSlices, shown: Common) -> None:
    for one in (found.speed, found.feed):
        say(f"- {_slice_words(one, found, shown)}")


def _slice_words(one: SearchSlice, found: SearchSlices, shown: Common) -> str:
    span, most = one.as_cheap, one.too_much_from
    text = f"Along {one.along}: "
    if span is None:
        text += f"{shown.show(one.here, one.unit)} itself is not safe enough"
    else:
        text += (
            f"from {shown.show(span[0], one.unit)} to {shown.show(span[1], one.unit)} a hole is "
            "expected to cost at most 5 % more than at the best"
        )
    if most is not None:
        text += (
            f"; from {shown.show(most, one.unit)} on the worn load is not surely below "
            f"{found.load_limit_pct:g} %, or the machine cannot"
        )
    return f"{text}."


def next_test(
    context: typer.Context,
    name: TrialName,
    use: Annotated[bool, typer.Option("--use", help="Plan the next run with it.")] = False,
    alone: Alone = None,
) -> None:
    """Which of the trial's drills to test next and with what, with figures for each drill."""
    shown = common(context)
    with workbench(context) as bench:
        trial = bench.trial(name)
        found = bench.next_test(name, alone=alone)
        _show_drills(found, trial, shown)
        money = trial.economics.currency
        chosen, answer = found.drill, found.suggestion
        if found.stop:
            say(
                f"No test is worth its price: the best, of {chosen}, costs {answer.test_cost:.0f} "
                f"{money} and is expected to save {answer.value:.0f} {money}. "
                f"Stop here; holewise compare {name} says which drill is cheapest."
            )
        else:
            say(f"Test {chosen} next. Set at the machine:")
            show_suggestion(answer, trial, chosen, shown)
            say(test_words(answer.test_holes, trial.max_test_holes))
            say(f"Why: {shown.words(answer.why)}")
        if use:
            run = bench.plan_run(
                name, answer.cutting_data, drill=chosen, origin="suggestion",
                test_holes=answer.test_holes or None,
            )  # fmt: skip
            say(f"Run {run.number} planned with it. Next: holewise log {name} --source …")
        else:
            say(f"Next: holewise next {name} --use    plans it.")
    say(CAUTIONS)


def _show_drills(found: NextTest, trial: Trial, shown: Common) -> None:
    rows = []
    money = trial.economics.currency
    for test in found.tests:
        if test.suggestion is None:
            rows.append((test.drill, str(test.runs), "nothing left to try", *[""] * 4))
            continue
        answer = test.suggestion
        cost = answer.cost_per_hole
        rows.append(
            (
                test.drill, str(test.runs), cutting_data_text(answer.cutting_data, shown),
                f"{answer.holes.low:,.0f}–{answer.holes.high:,.0f}",
                f"{cost.median:.3f} ({cost.low:.3f}–{cost.high:.3f})",
                f"{test.value:.0f}", f"{answer.test_cost:.0f}",
            )
        )  # fmt: skip
    table(
        f"{trial.name}: what the next test of each drill may save over {_holes_left(trial)}",
        ("drill", "runs", "next test", "holes to wear", f"{money} a hole", f"saves, {money}",
         f"costs, {money}"),
        rows,
    )  # fmt: skip
    for test in found.tests:
        if test.why_not:
            say(f"{test.drill}: {test.why_not}")


def handover(
    context: typer.Context,
    name: TrialName,
    drill: DrillName = None,
    without_prices: Annotated[
        bool, typer.Option("--without-prices", help="Leave out prices, rates and costs.")
    ] = False,
    out: Annotated[Path | None, typer.Option(help="Write it to this file (Markdown).")] = None,
) -> None:
    """The record for production and for the representative: cutting data, limits, interval."""
    with workbench(context) as bench:
        text = bench.hand_over(name, drill, prices=not without_prices)
    if out is None:
        typer.echo(text)
        return
    _write_new(out, text, "--out")


def _write_new(out: Path, text: str, option: str) -> None:
    try:
        with out.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise InputError(
            f"{out} is there already", do=f"Choose another name for {option}."
        ) from None
    except OSError as error:
        raise InputError(f"{out} cannot be written ({error.strerror})") from None
    say(f"Written to {out}.")

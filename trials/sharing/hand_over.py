"""The hand-over: what production and the tooling representative get from a trial, as Markdown."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from trials import units
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CAUTIONS, Run, Trial
from trials.optimizer import Suggestion
from trials.sharing.hand_over_doubts import doubts


@dataclass(frozen=True, slots=True)
class HandOver:
    """What is handed over.

    Args:
        trial: the question.
        drill: name of the drill that production uses.
        advice: cutting data for production with what is expected of them.
        runs: all runs of the trial, as evidence.
        prices: False leaves every price, rate and cost out.
        by: who hands it over; made_utc: when it was made.
    """

    trial: Trial
    drill: str
    advice: Suggestion
    runs: Sequence[Run]
    prices: bool = True
    by: str = ""
    made_utc: datetime | None = None

    @property
    def change_interval_holes(self) -> int:
        """Holes after which the drill is changed: reached by nineteen edges in twenty.

        The low end of the 90 % interval of holes to wear, rounded down to a number that is easy
        to count to. Source: common practice, no source.
        """
        low = max(1.0, self.advice.holes.low)
        step = 10.0 ** max(0, math.floor(math.log10(low)) - 1)
        return int(math.floor(low / step) * step)

    @property
    def look_load_pct(self) -> float:
        """Peak load from which the drill is looked at: more than a worn one is expected to show.

        The high end of the expected worn load, and never above the load limit. Source: common
        practice, no source.
        """
        return min(self.trial.load_limit_pct, float(math.ceil(self.advice.load_worn_pct.high)))

    @property
    def doubts(self) -> list[str]:
        """What is not known, one sentence each."""
        drill = self.trial.drill(self.drill)
        return doubts(self.trial, drill, self.advice.cutting_data, self.runs)


def hand_over_text(hand_over: HandOver) -> str:
    """The hand-over as Markdown, every length and speed in metric and inch."""
    trial, advice = hand_over.trial, hand_over.advice
    data, hole, drill = advice.cutting_data, trial.hole, trial.drill(hand_over.drill)
    spindle = rpm(data.speed_m_per_min, drill.diameter_mm)
    feed_rate = feed_rate_mm_per_min(spindle, data.feed_mm_per_rev)
    currency = trial.economics.currency
    lines = [
        f"# {_plain(trial.name)}: hand-over",
        "",
    ]
    if trial.invented:
        lines += ["**Invented demonstration data: no real machine, drill or shop.**", ""]
    pecks = (
        "none"
        if data.peck_mode == "none"
        else f"{data.peck_mode.replace('_', ' ')}, every {data.peck_depth_xd:g} × D"
    )
    lines += [
        (
            f"Hole: {_both(hole.diameter_mm, 'mm')} × {_both(hole.depth_mm, 'mm')} "
            f"{'through' if hole.through else 'blind'} in {_plain(trial.work.material)} "
            f"(ISO {trial.work.group}), on {_plain(trial.machine.name)}."
        ),
        "",
        "## For production",
        "",
        "| | |",
        "| --- | --- |",
        f"| drill | {_plain(drill.name)} |",
        f"| speed | {_both(data.speed_m_per_min, 'm/min')}, {spindle:.0f} /min |",
        f"| feed | {_both(data.feed_mm_per_rev, 'mm/rev')}, {_both(feed_rate, 'mm/min')} |",
        f"| pecks | {pecks} |",
    ]
    if data.breakthrough_feed_factor < 1:
        lines.append(
            f"| breakthrough | {data.breakthrough_feed_factor:.0%} of the feed for the last "
            f"{_both(data.breakthrough_mm, 'mm')} |"
        )
    lines += [
        f"| change the drill after | {hand_over.change_interval_holes} holes |",
        f"| load limit, never to be passed | {trial.load_limit_pct:g} % of the rating, peak |",
        f"| look at the drill when a peak passes | {hand_over.look_load_pct:g} % |",
        f"| expected worn load | {_range(advice.load_worn_pct, 0)} % |",
        f"| expected holes to wear | {_range(advice.holes, 0)} |",
    ]
    if hand_over.prices:
        lines.append(f"| expected cost per hole | {_range(advice.cost_per_hole, 3)} {currency} |")
    lines += [
        "",
        (
            "Ranges hold nine edges of ten as far as these runs can tell; the middle value comes "
            "first. The change interval is the low end of the range, rounded down."
        ),
        "",
    ]
    if hand_over.prices:  # the sentence speaks of money
        lines += [f"Why: {_plain(advice.why)}", ""]
    lines += ["## What is not known", ""]
    lines += [f"- {_plain(one)}" for one in hand_over.doubts]
    lines += [""]
    lines += ["## What was drilled", "", *_run_table(hand_over.runs), ""]
    overruled = [one for one in trial.overruled if one.drill == drill.name]
    if overruled:
        lines += ["## Rules that a person overruled", ""]
        lines += [
            f"- {one.rule}: {_plain(one.why)}{f' ({_plain(one.by)})' if one.by else ''}"
            for one in overruled
        ]
        lines += [""]
    lines += ["## Cautions", ""]
    lines += [CAUTIONS, ""]
    if hand_over.made_utc is not None:
        by = f" by {_plain(hand_over.by)}" if hand_over.by else ""
        lines += [f"Made{by}, {hand_over.made_utc:%Y-%m-%d %H:%M} UTC.", ""]
    return "\n".join(lines)


def _run_table(runs: Sequence[Run]) -> list[str]:
    lines = [
        "| run | drill | m/min | mm/rev | pecks | holes | fresh → worn load, % | end |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for run in runs:
        data = run.cutting_data
        pecks = "none" if data.peck_mode == "none" else f"{data.peck_depth_xd:g} × D"
        loads = f"{_number(run.load_fresh_pct)} → {_number(run.load_worn_pct)}"
        lines.append(
            f"| {run.number} | {_plain(run.drill)} | {data.speed_m_per_min:g} | "
            f"{data.feed_mm_per_rev:g} | {pecks} | {run.holes} | {loads} | {run.end or run.state} |"
        )
    return lines


def _both(value: float, unit: str) -> str:
    return f"{units.show(value, unit)} ({units.show(value, unit, 'inch')})"


def _number(value: float | None) -> str:
    return "–" if value is None else f"{value:.1f}"


def _range(estimate: tuple[float, float, float], digits: int) -> str:
    low, middle, high = estimate
    return f"{middle:.{digits}f} ({low:.{digits}f} to {high:.{digits}f})"


def _plain(text: str) -> str:
    """What a user wrote, so that it cannot break the table or become markup."""
    for mark in "\\`*_[]<>|#":
        text = text.replace(mark, f"\\{mark}")
    return " ".join(text.split())

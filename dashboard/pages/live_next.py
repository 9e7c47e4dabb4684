"""The one thing to do now at the machine, and which alarms stand or were seen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Literal

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import links
from dashboard.show import Show
from dashboard.texts import live_next as texts
from trials.model import END_MEANS, Trial

if TYPE_CHECKING:
    from trials.workbench import LiveView

Kind = Literal["", "due", "act"]


@dataclass(frozen=True, slots=True)
class Now:
    """What to do, how pressing it is, and where it is done."""

    text: str
    kind: Kind = ""
    goes: Literal["", "look", "trial"] = ""


def standing(view: LiveView | None) -> bool:
    """Whether an alarm stands that somebody has to say they saw."""
    return view is not None and any(alarm.standing for alarm in view.alarms)


def now(trial: Trial, view: LiveView, stands: str, show: Show) -> Now:
    """One sentence, the most pressing first."""
    if stands == "stale":
        return Now(texts.STALE_ALARM if standing(view) else texts.STALE, "act")
    if stands == "ended" and standing(view) and view.run.end is None:
        return Now(texts.ENDED_ALARM, "due", "look")
    if stands == "alarm":
        return Now(texts.ALARM, "act", "look")
    if stands == "ended":
        if view.run.end is not None:
            return Now(texts.OVER.format(means=END_MEANS[view.run.end]), goes="trial")
        return Now(texts.ENDED, "due", "look")
    enough = view.run.test_holes
    if enough is not None and view.holes_count >= enough:
        return Now(texts.ENOUGH.format(holes=show.count(view.holes_count)), "due", "look")
    every = trial.economics_of(view.run.drill).inspect_every_holes
    due = view.run.next_look(every)
    if due is None:
        return Now(texts.GO_ON_FREE, goes="look")
    left = due - view.holes_count
    if left <= 0:
        since = show.count(view.holes_count - (due - every))
        return Now(texts.LOOK.format(since=since, every=show.count(every)), "due", "look")
    if left == 1:
        return Now(texts.GO_ON_ONE, goes="look")
    return Now(texts.GO_ON.format(hole=show.count(due), left=texts.LEFT.format(
        holes=show.count(left))), goes="look")  # fmt: skip


def strip(trial: Trial, view: LiveView | None, stands: str, show: Show) -> list[Component]:
    """The sentence with the button that leads there; nothing before a recording."""
    if view is None:
        return []
    found = now(trial, view, stands, show)
    where = {
        "": None,
        "look": (texts.GO_LOOK, links.look(trial.name, view.run.number)),
        "trial": (texts.GO_TRIAL, links.trial(trial.name)),
    }[found.goes]
    parts: list[Component] = [
        html.P(
            [html.Span(texts.NOW, className="label"), html.Strong(found.text)],
            className=f"do {found.kind}".strip(),
        )
    ]
    if where is not None:
        kind = "button main large" if found.kind else "button large"
        parts.append(dcc.Link(where[0], href=where[1], className=kind))
    seen = _seen(view, show)
    if seen:
        parts.append(html.P(seen, className="seen aside"))
    return parts


def said(trial: Trial, view: LiveView, stands: str, show: Show) -> str:
    """All that the strip says, to know when it changes."""
    return f"{now(trial, view, stands, show)}|{_seen(view, show)}"


def _seen(view: LiveView, show: Show) -> str:
    """The newest alarm that was acknowledged, so that two people know of each other."""
    found = [alarm for alarm in view.alarms if alarm.acknowledged_utc is not None]
    if not found or standing(view):
        return ""
    last = found[-1]
    assert last.acknowledged_utc is not None  # noqa: S101 - only those were taken
    age_s = (datetime.now(UTC) - last.acknowledged_utc).total_seconds()
    return texts.ACKNOWLEDGED.format(
        who=last.acknowledged_by or texts.ACKNOWLEDGED_HERE,
        age=show.seconds(max(0.0, age_s // 15 * 15)),
        text=last.text,
    )


def distance(load: float | None, limit: float, show: Show) -> str:
    """How close a load is to the limit, in points; empty where there is none."""
    if load is None:
        return ""
    said = texts.ABOVE if load > limit else texts.BELOW
    return said.format(margin=show.count(abs(round(limit) - round(load))))

"""How a report says things: values in both unit systems, ranges, runs by number, tables."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence

from trials import units
from trials.economics import DrillCost
from trials.life import HolesToWear
from trials.model import CuttingData, Run, Trial
from trials.sharing.report_values import RunReported


def of_runs(sentence: str, runs: Sequence[Run], verbs: tuple[str, str] = ("", "")) -> list[str]:
    """The sentence once for all runs that it is true of, three in a row as ``2 to 4``."""
    if not runs:
        return []
    spans: list[list[int]] = []
    for run in runs:
        if spans and run.number == spans[-1][-1] + 1:
            spans[-1].append(run.number)
        else:
            spans.append([run.number])
    named = [f"{span[0]} to {span[-1]}" if len(span) > 2 else ", ".join(map(str, span))
             for span in spans]  # fmt: skip
    word, verb = ("run", verbs[0]) if len(runs) == 1 else ("runs", verbs[1])
    said = sentence.format(runs=f"{word} {', '.join(named)} {verb}".strip())
    return [said[:1].upper() + said[1:]]


def cost_text(one: DrillCost) -> str:
    """Cost of a hole with its 90 % range."""
    if one.cost is None or one.low is None or one.high is None:
        return "–"
    return f"{one.cost.total:.3f} ({one.low:.3f} to {one.high:.3f})"


def hole(trial: Trial) -> str:
    """What hole is asked for, on which machine."""
    hole = trial.hole
    tolerance = f" {hole.tolerance}" if hole.tolerance else ""
    return (
        f"{both(hole.diameter_mm, 'mm')}{tolerance} × {both(hole.depth_mm, 'mm')} deep, "
        f"{'through' if hole.through else 'blind'}, in {trial.work.material} "
        f"(ISO 513 {trial.work.group}), on {trial.machine.name}."
    )


def data(data: CuttingData) -> str:
    """Cutting data in both unit systems."""
    return (
        f"{both(data.speed_m_per_min, 'm/min')}, {both(data.feed_mm_per_rev, 'mm/rev')}, "
        f"{pecks(data)}"
    )


def pecks(data: CuttingData) -> str:
    """Pecking in words."""
    if data.peck_mode == "none":
        return "no pecks"
    return f"{data.peck_mode.replace('_', ' ')} every {data.peck_depth_xd:g} × D"


def loads(run: Run) -> str:
    """Load of the fresh and of the worn edge."""
    if run.load_fresh_pct is None and run.load_worn_pct is None:
        return "–"
    return f"{number(run.load_fresh_pct)} → {number(run.load_worn_pct)} %"


def ends(ended: Sequence[RunReported]) -> str:
    """How many runs ended how."""
    counts: dict[str, int] = {}
    for one in ended:
        word = str(one.run.end).replace("_", " ")
        counts[word] = counts.get(word, 0) + 1
    return ", ".join(f"{count} {word}" for word, count in counts.items()) or "none"


def life_text(life: HolesToWear | None) -> str:
    """Holes to wear with how they are known and their range."""
    if life is None:
        return "–"
    if life.holes is None:
        return f"more than {life.low:.0f}"
    high = "" if life.high is None else f" to {life.high:.0f}"
    return f"{life.holes:.0f} {life.kind} ({life.low:.0f}{high})"


def both(value: float, unit: str) -> str:
    """A value in metric and, behind it, in inch."""
    return f"{units.show(value, unit)} ({units.show(value, unit, 'inch')})"


def number(value: float | None) -> str:
    """A whole number; a dash when it is not known."""
    return "–" if value is None else f"{value:.0f}"


def spread(estimate: tuple[float, float, float], digits: int) -> str:
    """The middle value with its 90 % range."""
    low, middle, high = estimate
    return f"{middle:.{digits}f} ({low:.{digits}f} to {high:.{digits}f})"


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table whose texts are shown as texts."""
    top = "".join(f"<th>{safe(text)}</th>" for text in head)
    body = "".join(
        "<tr>" + "".join(f"<td>{safe(cell)}</td>" for cell in row) + "</tr>" for row in rows
    )
    shown = f"<thead><tr>{top}</tr></thead>" if any(head) else ""
    return f"<table>{shown}<tbody>{body}</tbody></table>"


def figure(drawing: str, caption: str) -> str:
    """A drawing or picture with what it shows."""
    return f"<figure>{drawing}<figcaption>{safe(caption)}</figcaption></figure>"


def safe(text: str) -> str:
    """A text that cannot become markup."""
    return html.escape(text)

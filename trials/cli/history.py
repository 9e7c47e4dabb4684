"""``holewise history``: questions over all trials."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated

import typer

from trials import units
from trials.cli.common import Common, common, workbench
from trials.cli.show import say, table
from trials.cli.show_progress import working
from trials.errors import InputError, require
from trials.model import ISO_GROUP_NAMES, ISO_GROUPS

if TYPE_CHECKING:
    from trials.model import IsoGroup, LikeJobs
    from trials.workbench import CostTrend, DrillsOverTrials, History, LifeScatter, Workbench


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("history")(history)


def history(
    context: typer.Context,
    like: Annotated[
        str | None,
        typer.Option("--like", help="Jobs like this trial: group, hardness, diameter, depth.",
                     metavar="TRIAL"),
    ] = None,
    group: Annotated[
        str | None, typer.Option("--group", help="ISO 513 group of the work: P M K N S H.")
    ] = None,
    material: Annotated[
        str, typer.Option("--material", help="A text that the work material's name contains.")
    ] = "",
    hardness: Annotated[
        str | None, typer.Option(help="Brinell hardness from-to, such as 180-240.",
                                 metavar="FROM-TO")
    ] = None,
    diameter: Annotated[
        str | None,
        typer.Option(help="Hole diameter from-to with unit, such as 8-9mm.", metavar="FROM-TO"),
    ] = None,
    depth: Annotated[
        str | None, typer.Option(help="Depth from-to in diameters, such as 2-4.",
                                 metavar="FROM-TO")
    ] = None,
    currency: Annotated[
        str | None, typer.Option(help="Costs in this currency; left out: the one used most.")
    ] = None,
    wear_limit: Annotated[
        str | None,
        typer.Option(help="Lives by this wear limit, such as 0.2mm, not by each trial's own.",
                     metavar="LENGTH"),
    ] = None,
    invented: Annotated[
        bool, typer.Option("--invented", help="Invented trials instead of real ones.")
    ] = False,
) -> None:  # fmt: skip
    """Over all trials: which drill did best, how life scatters, how costs went by quarter.

    Without an option every real trial counts. Invented trials and other currencies stand apart.
    """
    from dataclasses import replace

    from trials.model import LikeJobs

    shown = common(context)
    with workbench(context) as bench:
        asked = LikeJobs(invented=invented) if like is None else bench.like_jobs(like)
        asked = replace(
            asked,
            group=asked.group if group is None else _group(group),
            material=material or asked.material,
            hardness_hb=asked.hardness_hb if hardness is None else _span(hardness, "--hardness"),
            diameter_mm=(
                asked.diameter_mm if diameter is None else _span(diameter, "--diameter", "mm")
            ),
            depth_xd=asked.depth_xd if depth is None else _span(depth, "--depth"),
            currency=asked.currency if currency is None else currency.upper(),
            wear_limit_mm=(
                None
                if wear_limit is None
                else units.parse(wear_limit, to="mm", what="--wear-limit")
            ),
        )
        with working("looking through the trials"):
            found = bench.history(asked)
        if not found.edges:
            _nothing(bench, asked, shown)
            return
    _show_question(found, shown)
    if found.drills is not None:
        _show_drills(found.drills, shown)
    if found.scatter is not None:
        _show_scatter(found.scatter)
    if found.trend is not None:
        _show_trend(found.trend)


def _group(text: str) -> IsoGroup:
    for letter in ISO_GROUPS:
        if letter == text.upper():
            return letter
    raise InputError("--group", got=text, allowed=", ".join(
        f"{letter} ({name})" for letter, name in ISO_GROUP_NAMES.items()))  # fmt: skip


def _span(text: str, what: str, unit: str = "") -> tuple[float, float]:
    """Two values with a dash between; a unit behind the second holds for both."""
    parts = text.replace("–", "-").split("-")
    require(len(parts) == 2, what, text, "two values with a dash between, such as 8-9")
    if not unit:
        low, high = (units.parse_number(part, what=what) for part in parts)
    else:
        tail = parts[1].lstrip(" 0123456789.,/")
        first = parts[0] if parts[0].strip()[-1:].isalpha() else f"{parts[0]} {tail}"
        low, high = (units.parse(part, to=unit, what=what) for part in (first, parts[1]))
    return low, high


def question_text(like: LikeJobs, shown: Common) -> str:
    """What was asked, in words."""
    said = []
    if like.group is not None:
        said.append(f"ISO {like.group} ({ISO_GROUP_NAMES[like.group]})")
    if like.material:
        said.append(f"material with “{like.material}”")
    if like.hardness_hb is not None:
        said.append(f"{like.hardness_hb[0]:.0f} to {like.hardness_hb[1]:.0f} HB")
    if like.diameter_mm is not None:
        low, high = (shown.show(value, "mm") for value in like.diameter_mm)
        said.append(f"diameter {low} to {high}")
    if like.depth_xd is not None:
        said.append(f"depth {like.depth_xd[0]:.1f} to {like.depth_xd[1]:.1f} × D")
    whole = ", ".join(said) or "every job"
    if like.wear_limit_mm is not None:
        whole += f"; worn at {shown.show(like.wear_limit_mm, 'mm')}"
    return whole


def _nothing(bench: Workbench, asked: LikeJobs, shown: Common) -> None:
    kind = "invented " if asked.invented else ""
    say(f"No {kind}run has ended yet for: {question_text(asked, shown)}.")
    there = bench.job_counts()
    rows = [
        (f"{one.group} {one.material}", shown.show(one.diameter_mm, "mm"), str(one.trials),
         str(one.runs), "invented" if one.invented else "")
        for one in there[:12]
    ]  # fmt: skip
    if rows:
        table("What there is", ("work", "diameter", "trials", "ended runs", ""), rows)
    if any(one.invented for one in there) and not asked.invented:
        say("Invented trials are kept apart; ask for them with --invented.")


def _show_question(found: History, shown: Common) -> None:
    say(f"Jobs: {question_text(found.like, shown)}.")
    trials = "1 trial" if found.trials == 1 else f"{found.trials:,} trials"
    runs = "1 ended run" if found.edges == 1 else f"{found.edges:,} ended runs"
    say(f"{trials} with {runs}; {found.ended:,} came to "
        "the end of the edge, the others were stopped before.")  # fmt: skip
    if found.like.invented:
        say("Invented demonstration data: no real machine, drill or shop.")


def _show_drills(found: DrillsOverTrials, shown: Common) -> None:
    rows = []
    for one in found.drills:
        rows.append(
            (
                one.drill,
                f"{one.trials}",
                f"{one.edges} ({one.ended} to the end)",
                one.verdict if one.life is None else _counts(one.life),
                "–" if one.nine_in_ten is None else _counts(one.nine_in_ten),
                "–" if one.cost is None else _money(one.cost),
                "–" if one.p_dearer is None else _sure(one.p_dearer),
                shown.words(one.cutting_data) or "–",
            )
        )
    say()
    table(
        f"Which drill did best: each where it did best in each trial, for holes of "
        f"{shown.show(found.depth_mm, 'mm')}, with 90 % ranges",
        ("drill", "trials", "edges", "holes of the middle edge", "9 of 10 edges last",
         f"cost per hole, {found.currency}", "dearer than the first", "newest cutting data"),
        rows,
    )  # fmt: skip
    for sentence in found.said:
        say(shown.words(sentence))


def _show_scatter(found: LifeScatter) -> None:
    say()
    rows = []
    if found.edge is not None:
        rows.append(("edge to edge", "–", _factor(*found.edge)))
    for one in found.shared:
        known = one.low is not None and one.middle is not None and one.high is not None
        rows.append((
            f"{one.share} to {one.share}", str(one.groups),
            _factor(one.low or 0.0, one.middle or 0.0, one.high or 0.0) if known else one.verdict,
        ))  # fmt: skip
    if rows:
        table("How life scatters, as a factor (two in three lie within it; 90 % range)",
              ("from", "of them", "factor"), rows)  # fmt: skip
    for sentence in found.said:
        say(sentence)
    for share, effects in found.effects:
        if share != "trial":
            ends = [*effects[:2], *effects[-2:]] if len(effects) > 4 else list(effects)
            say(f"By {share}: " + ", ".join(f"{name} × {factor:.2f}" for name, factor in ends)
                + (" (shortest and longest lives)." if len(effects) > 4 else "."))  # fmt: skip


def _show_trend(found: CostTrend) -> None:
    say()
    rows = [
        (one.name, str(one.edges), str(one.trials), f"{one.cost[1]:.3f}",
         "–" if one.cost[0] is None or one.cost[2] is None
         else f"{one.cost[0]:.3f} to {one.cost[2]:.3f}")
        for one in found.quarters
    ]  # fmt: skip
    if rows:
        table(
            f"Cost per hole by quarter, {found.currency}, of the edges that came to their end",
            ("quarter", "edges", "trials", "cost per hole", "90 % range"), rows,
        )  # fmt: skip
    for sentence in found.said:
        say(sentence)


def _counts(span: tuple[float, float, float]) -> str:
    return f"{span[1]:,.0f} ({span[0]:,.0f} to {span[2]:,.0f})"


def _money(span: tuple[float, float, float]) -> str:
    return f"{span[1]:.3f} ({span[0]:.3f} to {span[2]:.3f})"


def _factor(low: float, middle: float, high: float) -> str:
    return f"{math.exp(middle):.2f} ({math.exp(low):.2f} to {math.exp(high):.2f})"


def _sure(p: float) -> str:
    from trials.economics import sureness

    return sureness(p)

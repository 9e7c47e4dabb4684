"""``holewise trial``: begin a trial, look at it, list all."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from trials import units
from trials.cli.common import (
    Common,
    TrialName,
    common,
    cutting_data_text,
    wear_limits_text,
    workbench,
)
from trials.cli.show import say, table
from trials.cli.show_progress import working
from trials.errors import InputError
from trials.model import CAUTIONS, NO_CURRENCY

if TYPE_CHECKING:
    from trials.model import Trial

app = typer.Typer(help="Begin a trial, look at it, list all.", no_args_is_help=True)

TEMPLATE = """\
# A trial for Holewise. Numbers are in the unit that the name ends with; a text with a unit works
# too: depth_mm = "1.2 in", feed_mm_per_rev = "0.004 in/rev". Lines may be left out where marked.
name = "bracket-8.5"
load_limit_pct = 70.0       # peak spindle load that a worn drill must not pass
wear_limit_mm = 0.3         # wear at which the drill is worn
max_test_holes = 300        # longest test that work and time at hand allow
# p_safe = 0.95             # how surely a worn drill stays below that load; 0.95 when left out
# alone = true              # earlier trials of like jobs in this shop tell nothing here
holes_to_make = 20000       # left out: a job that keeps coming back

[machine]
name = "mill 3"
rated_power_kw = 11.0
base_rpm = 1500             # speed at which rated power is reached
max_rpm = 8000
max_feed_mm_per_min = 8000.0
max_thrust_n = 6000.0       # may be left out

[work]
material = "structural steel"
group = "P"                 # ISO 513: P steel, M stainless, K cast iron, N, S, H
hardness_hb = 160.0         # may be left out
# like = "structural steel" # nearest material of the catalogue; may be left out

[hole]
diameter_mm = 8.5
depth_mm = 30.0             # to the full diameter; the point goes deeper
through = false

[[drills]]                  # one table for each candidate, the first is used unless told otherwise
name = "drill A"
substrate = "carbide"       # hss, cobalt or carbide
coating = "TiAlN"           # bright, black_oxide, TiN, TiCN or TiAlN
flute_length_mm = 47.0      # or a standard one: length = "jobber" (stub, long, carbide_short, …)
# maker_speed_m_per_min = [70.0, 100.0]  # the maker's range goes before the catalogue
# maker_feed_mm_per_rev = [0.12, 0.20]
# maker_most_speed_m_per_min = 120.0     # what the maker forbids to pass, if anything
# maker_most_feed_mm_per_rev = 0.25
price = 85.0
regrinds = 2
regrind_cost = 18.0
life_lost_per_regrind = 0.0 # share of the life that each regrind takes; may be left out

[economics]
machine_rate_per_min = 1.6
tool_change_min = 2.0
breakage_cost = 60.0        # beside the drill: scrap, stop, digging it out
currency = "EUR"
# inspect_every_holes = 50  # these may be left out: looking at the drill takes inspect_min,
# inspect_min = 1.0         # coolant costs so much for each minute of drilling,
# coolant_per_min = 0.05    # and a share of holes scraps a part
# scrap_cost = 40.0
# scrap_share = 0.0005

# [wear_limits]             # may be left out: kinds of wear with a limit of their own,
# vb_maximum_mm = 0.6       # of which the first that is reached ends the edge
# corner_chipping_mm = 0.5
# margin_chipping_mm = 0.2
# regrind_mm = 0.5          # the most wear or corner chipping that is reground
# regrind_margin_mm = 0.0   # the most margin chipping that is reground; 0 for none

# [bounds] and [start] may be left out: they then come from the catalogue for the first drill.
"""


@app.command("template")
def template() -> None:
    """Print a trial file to fill in: holewise trial template > trial.toml"""
    typer.echo(TEMPLATE, nl=False)


@app.command("new")
def new(
    context: typer.Context,
    name: Annotated[str | None, typer.Argument(help="Name of the trial.", metavar="TRIAL")] = None,
    file: Annotated[Path | None, typer.Option(help="Trial file; see 'trial template'.")] = None,
    material: Annotated[str | None, typer.Option(help="Work material.")] = None,
    group: Annotated[str | None, typer.Option(help="ISO 513 group: P M K N S or H.")] = None,
    diameter: Annotated[
        str | None, typer.Option(help="Hole diameter, such as 8.5 or '11/32 in'.")
    ] = None,
    depth: Annotated[str | None, typer.Option(help="Hole depth to the full diameter.")] = None,
    through: Annotated[bool, typer.Option(help="The hole goes through.")] = False,
    power: Annotated[str | None, typer.Option(help="Rated power of the spindle.")] = None,
    base_rpm: Annotated[float | None, typer.Option(help="Speed where rated power begins.")] = None,
    max_rpm: Annotated[float | None, typer.Option(help="Highest spindle speed.")] = None,
    drill: Annotated[str | None, typer.Option(help="Name of the first drill.")] = None,
    substrate: Annotated[str, typer.Option(help="hss, cobalt or carbide.")] = "carbide",
    price: Annotated[float, typer.Option(help="Price of the drill.")] = 0.0,
    machine_rate: Annotated[float | None, typer.Option(help="Machine and operator a minute.")] = (
        None
    ),
    currency: Annotated[str, typer.Option(help="ISO 4217 code of all money.")] = "EUR",
    load_limit: Annotated[float, typer.Option(help="Highest peak load of a worn drill, %.")] = 80.0,
    wear_limit: Annotated[str, typer.Option(help="Wear at which the drill is worn.")] = "0.3 mm",
    vb_maximum_limit: Annotated[
        str | None, typer.Option(help="The same for VB maximum, if it has another limit.")
    ] = None,
    holes_to_make: Annotated[int | None, typer.Option(help="Holes of this run of parts.")] = None,
) -> None:
    """Begin a trial from a trial file or from options."""
    plain: dict[str, Any] = {}
    if file is None:
        needed = {
            "TRIAL": name, "--material": material, "--group": group, "--diameter": diameter,
            "--depth": depth, "--power": power, "--base-rpm": base_rpm, "--max-rpm": max_rpm,
            "--drill": drill, "--machine-rate": machine_rate,
        }  # fmt: skip
        missing = [option for option, value in needed.items() if value is None]
        if missing:
            raise InputError(
                f"a trial needs {', '.join(missing)}",
                do="Give them, or fill in a file: holewise trial template > trial.toml",
            )
        plain = {
            "name": name,
            "load_limit_pct": load_limit,
            "wear_limit_mm": wear_limit,
            "wear_limits": {} if vb_maximum_limit is None else {"vb_maximum_mm": vb_maximum_limit},
            "holes_to_make": holes_to_make,
            "machine": {"rated_power_kw": power, "base_rpm": base_rpm, "max_rpm": max_rpm},
            "work": {"material": material, "group": group},
            "hole": {"diameter_mm": diameter, "depth_mm": depth, "through": through},
            "drills": [{"name": drill, "substrate": substrate, "price": price}],
            "economics": {"machine_rate_per_min": machine_rate, "currency": currency},
        }
    with workbench(context) as bench:
        trial = bench.draft(plain, "command line") if file is None else bench.draft(file)
        if name is not None:
            trial = replace(trial, name=name)
        trial = bench.new_trial(trial)
    say(f"Trial {trial.name} begun.")
    _show_start(trial, common(context))
    say(f"Next: holewise run new {trial.name}    then: holewise log {trial.name} --source …")


def _show_start(trial: Trial, shown: Common) -> None:
    from trials.mechanics import expected_load_pct, hole_time, rpm

    drill, data = trial.drill(), trial.start
    time = hole_time(
        data,
        trial.hole.diameter_mm,
        trial.hole.depth_mm,
        point_angle_deg=drill.point_angle_deg,
        through=trial.hole.through,
        rapid_mm_per_min=trial.machine.rapid_mm_per_min,
    )
    fresh = expected_load_pct(data, drill, trial.work, trial.machine)
    worn = expected_load_pct(data, drill, trial.work, trial.machine, worn=True)
    spindle = rpm(data.speed_m_per_min, drill.diameter_mm)
    say(f"Start with {drill.name}: {cutting_data_text(data, shown)} ({spindle:.0f} /min).")
    say(
        f"Expected from the catalogue, from memory: about {fresh:.0f} % load sharp and "
        f"{worn:.0f} % worn above idle; your limit is {trial.load_limit_pct:g} %. "
        f"{time.total_s:.1f} s a hole, {time.pecks} peck{'s' if time.pecks > 1 else ''}."
    )
    say(CAUTIONS)


@app.command("list")
def list_trials(context: typer.Context) -> None:
    """List the shop's trials."""
    with workbench(context) as bench:
        summaries = bench.trials()
    if not summaries:
        say("No trials yet. Begin one: holewise trial new --file trial.toml")
        return
    rows = [
        (
            summary.name,
            summary.material,
            summary.hole,
            str(summary.runs),
            str(summary.runs_ended),
            "–" if summary.best_cost is None else f"{summary.best_cost:.3f} {summary.currency}",
            "invented data" if summary.invented else "",
        )
        for summary in summaries
    ]
    table("Trials", ("trial", "work", "hole", "runs", "ended", "best cost per hole", ""), rows)


@app.command("show")
def show(context: typer.Context, name: TrialName) -> None:
    """Show one trial: what is asked, its runs and where it stands."""
    shown = common(context)
    with workbench(context) as bench:
        trial = bench.trial(name)
        runs = bench.runs(name)
        lives = {}
        with working("projecting wear") as told:
            for place, run in enumerate(runs, start=1):
                if run.holes:
                    lives[run.number] = bench.holes_to_wear(name, run.number)
                told(place / len(runs))
        priced = trial.economics.currency != NO_CURRENCY
        costs = {run.number: bench.cost(name, run.number) for run in runs
                 if run.cycle_min and priced}  # fmt: skip
    hole = trial.hole
    say(
        f"{trial.name}: {shown.show(hole.diameter_mm, 'mm')} × {shown.show(hole.depth_mm, 'mm')} "
        f"{'through' if hole.through else 'blind'} in {trial.work.material} "
        f"(ISO {trial.work.group}) on {trial.machine.name}"
    )
    if trial.invented:
        say("Invented demonstration data: no real machine, drill or shop.")
    if not priced:
        say("Prices were left out by the sender (currency XXX): no cost can be said.")
    say(
        f"Load limit {trial.load_limit_pct:g} %, {wear_limits_text(trial, shown)}, "
        f"drills: {', '.join(drill.name for drill in trial.drills)}"
    )
    say(f"Search: {_search_text(trial)}")
    if not runs:
        say(f"No runs yet. Next: holewise run new {trial.name}")
        return
    rows = []
    for run in runs:
        life = lives.get(run.number)
        cost = costs.get(run.number)
        rows.append(
            (
                str(run.number),
                run.drill,
                cutting_data_text(run.cutting_data, shown),
                str(run.holes),
                _load_text(run.load_fresh_pct, run.load_worn_pct),
                run.end or run.state,
                "–" if life is None or life.holes is None else f"{life.holes:.0f} {life.kind}",
                "–" if cost is None else f"{cost.total:.3f} {cost.currency}",
            )
        )
    table(
        "Runs",
        ("run", "drill", "cutting data", "holes", "load", "end", "holes to wear", "cost per hole"),
        rows,
    )


@app.command("set")
def set_search(
    context: typer.Context,
    name: TrialName,
    certainty: Annotated[
        str | None,
        typer.Option(
            help="How surely a worn drill must stay below the load limit, such as '95 %' or 0.95."
        ),
    ] = None,
    longest_test: Annotated[
        int | None, typer.Option(min=1, help="Longest test that work and time allow, holes.")
    ] = None,
    alone: Annotated[
        bool | None,
        typer.Option("--alone/--not-alone", help="Leave out, or count, trials of like jobs."),
    ] = None,
) -> None:
    """Change what the search of a trial goes by."""
    if certainty is None and longest_test is None and alone is None:
        raise InputError(
            "nothing to set", allowed="--certainty, --longest-test, --alone or --not-alone"
        )
    p_safe = None
    if certainty is not None:
        text = certainty.strip()
        p_safe = units.parse_number(text.removesuffix("%"), what="--certainty")
        if text.endswith("%"):
            p_safe /= 100.0
    with workbench(context) as bench:
        trial = bench.set_search(name, p_safe=p_safe, max_test_holes=longest_test, alone=alone)
    say(f"Trial {trial.name}: {_search_text(trial)}.")


def _search_text(trial: Trial) -> str:
    like = "left out" if trial.alone else "count"
    return (
        f"a worn drill stays below the load limit with {100 * trial.p_safe:.3g} % certainty; at "
        f"most {trial.max_test_holes:,} holes a test; like trials {like}"
    )


def _load_text(fresh: float | None, worn: float | None) -> str:
    return f"{units.show(fresh, '%')} → {units.show(worn, '%')}"

"""``holewise run``: plan a run, list the runs of a trial, say how one ended."""

from __future__ import annotations

from typing import Annotated

import typer

from trials.cli.common import (
    DrillName,
    RunNumber,
    TrialName,
    change_cutting_data,
    common,
    cutting_data_text,
    workbench,
)
from trials.cli.show import say
from trials.errors import require
from trials.model import CAUTIONS

app = typer.Typer(help="Plan a run and say how it ended.", no_args_is_help=True)

Speed = Annotated[str | None, typer.Option(help="Cutting speed: 80, '80 m/min', '260 sfm'.")]
Feed = Annotated[str | None, typer.Option(help="Feed: 0.16, '0.16 mm/rev', '0.006 ipr'.")]
PeckModeText = Annotated[str | None, typer.Option(help="none, chip_break or full_retract.")]
PeckDepth = Annotated[str | None, typer.Option(help="Depth of a peck in drill diameters.")]


@app.command("new")
def new(
    context: typer.Context,
    name: TrialName,
    speed: Speed = None,
    feed: Feed = None,
    peck_mode: PeckModeText = None,
    peck_depth: PeckDepth = None,
    drill: DrillName = None,
    batch: Annotated[str, typer.Option(help="Workpiece batch or heat.")] = "",
    machine: Annotated[str, typer.Option(help="Where, if not the trial's machine.")] = "",
    reground: Annotated[
        int, typer.Option(help="How often this edge was reground before; 0 is a new drill.")
    ] = 0,
    note: Annotated[str, typer.Option(help="Anything worth remembering.")] = "",
) -> None:
    """Plan a run: a fresh edge at these cutting data. What is left out comes from the start."""
    with workbench(context) as bench:
        trial = bench.trial(name)
        data = change_cutting_data(
            trial.start_of(drill)[0],
            speed=speed,
            feed=feed,
            peck_mode=peck_mode,
            peck_depth=peck_depth,
        )
        run = bench.plan_run(
            name, data, drill=drill, note=note, batch=batch, machine=machine,
            regrinds_done=reground,
        )  # fmt: skip
    text = cutting_data_text(run.cutting_data, common(context))
    say(f"Run {run.number} of {name} planned: {run.drill}, {text}.")
    say(CAUTIONS)
    say(f"Next: holewise log {name} --source …    or: holewise import {name} FILE")


@app.command("end")
def end(
    context: typer.Context,
    name: TrialName,
    end: Annotated[
        str,
        typer.Option(
            "--end", help="worn, stopped, chipped, broken, out_of_tolerance or load_limit."
        ),
    ],
    run: RunNumber = None,
    holes: Annotated[int | None, typer.Option(help="Holes drilled, if not as recorded.")] = None,
    note: Annotated[str, typer.Option(help="Anything worth remembering.")] = "",
) -> None:
    """Say how a run ended, and see its holes to wear and cost per hole."""
    from trials.model import END_MEANS, ENDS

    known = {known_end: known_end for known_end in ENDS}
    named = end.replace("-", "_").replace(" ", "_")
    require(named in known, "--end", end, "one of " + ", ".join(ENDS))
    with workbench(context) as bench:
        ended = bench.end_run(name, run, known[named], holes=holes, note=note)  # type: ignore[index]  # checked above
        life = bench.holes_to_wear(name, ended.number)
        cost = bench.cost(name, ended.number) if ended.cycle_min else None
    say(f"Run {ended.number} of {name} ended after {ended.holes} holes: {END_MEANS[known[named]]}.")  # type: ignore[index]  # as above
    say(f"Holes to wear: {life.why}")
    if cost is not None:
        say(f"Cost per hole: {cost.total:.3f} {cost.currency}")
    say(f"Next: holewise suggest {name}")

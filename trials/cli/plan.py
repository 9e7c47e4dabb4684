"""``holewise plan``: the test plan, the card for the machine, and the hole grid on a plate."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials import units
from trials.cli.choose import MaybeTrial, TrialFile, asked
from trials.cli.common import Common, common, workbench
from trials.cli.show import say, table
from trials.cli.start import OneDrill
from trials.errors import InputError
from trials.model import CAUTIONS

if TYPE_CHECKING:
    from trials.mechanics import HoleGrid
    from trials.workbench import Beginning, Workbench

_SHOWN_HOLES = 12


def add_to(app: typer.Typer) -> None:
    """Add this file's commands."""
    app.command("plan")(plan)


def plan(
    context: typer.Context,
    name: MaybeTrial = None,
    file: TrialFile = None,
    drill: OneDrill = None,
    holes: Annotated[
        int | None, typer.Option(help="Test holes that the work material at hand allows.", min=1)
    ] = None,
    plate: Annotated[
        str | None, typer.Option(help="Size of a test plate, such as 200x100 or '8 in x 4 in'.")
    ] = None,
    thickness: Annotated[str | None, typer.Option(help="Thickness of the plate.")] = None,
    plates: Annotated[int, typer.Option(help="How many such plates.", min=1)] = 1,
    edge: Annotated[str | None, typer.Option(help="Metal left between hole and edge.")] = None,
    wall: Annotated[str | None, typer.Option(help="Metal left between two holes.")] = None,
    clamp: Annotated[str, typer.Option(help="Strip at both ends for the clamps.")] = "0 mm",
    card: Annotated[
        Path | None, typer.Option(help="Write the card for the machine, HTML to print.")
    ] = None,
    grid: Annotated[Path | None, typer.Option(help="Write the hole positions, CSV.")] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Write over these files.")] = False,
) -> None:
    """How many test holes and runs, when to look at the drill; card and hole positions to print.

    The card and the positions are for a person: nothing here is a program for a control.
    """
    shown = common(context)
    sizes = {
        "thickness_mm": _length(thickness, "--thickness"), "edge_mm": _length(edge, "--edge"),
        "wall_mm": _length(wall, "--wall"),
    }  # fmt: skip
    with workbench(context) as bench:
        beginning = bench.begin(
            asked(bench, name, file), drill, holes_at_hand=holes, plates=plates,
            plate_mm=None if plate is None else read_plate(plate),
            clamp_mm=_length(clamp, "--clamp") or 0.0, **sizes,
        )  # fmt: skip
        _write(bench, beginning, shown, card, grid, replace=replace)
    _show_plan(beginning, shown)
    if beginning.grid is not None:
        _show_grid(beginning.grid, shown)
    for path, what in ((card, "Card for the machine"), (grid, "Hole positions")):
        if path is not None:
            say(f"{what}: {path}")
    say(CAUTIONS)


def _length(text: str | None, what: str) -> float | None:
    return None if text is None else units.parse(text, to="mm", what=what)


def read_plate(text: str) -> tuple[float, float]:
    """``200x100``, ``200 mm x 100 mm`` or ``8 x 4 in`` as two lengths in mm.

    Raises:
        InputError: none of these.
    """
    parts = re.split(r"\s*[x×X*]\s*", text.strip())
    if len(parts) != 2:
        raise InputError("--plate", got=text, allowed="two lengths, such as 200x100 or '8x4 in'")
    unit = re.search(r"[a-zA-Z\"]+$", parts[1])
    if unit is not None and not re.search(r"[a-zA-Z\"]", parts[0]):
        parts[0] = f"{parts[0]} {unit[0]}"
    length, width = (units.parse(part, to="mm", what="--plate") for part in parts)
    return length, width


def _write(
    bench: Workbench, beginning: Beginning, shown: Common, card: Path | None, grid: Path | None, *,
    replace: bool,
) -> None:  # fmt: skip
    texts = []
    if card is not None:
        texts.append((card, bench.card(beginning, shown.system)))
    if grid is not None:
        texts.append((grid, bench.grid_csv(beginning, shown.system)))
    for path, _ in texts:
        if path.exists() and not replace:
            raise InputError(
                f"file {path}: it is there already",
                do="Choose another name, or add --replace. Nothing was written.",
            )
    for path, text in texts:
        try:
            path.write_text(text, encoding="utf-8")
        except OSError as error:
            raise InputError(f"file {path}: cannot be written ({error.strerror})") from None


def _show_plan(beginning: Beginning, shown: Common) -> None:
    found = beginning.plan
    say(
        f"{beginning.trial.name}: test of {beginning.screening.drill.name}: {found.runs} "
        f"run{'s' if found.runs > 1 else ''} of at most {found.holes_a_run:,} holes, about "
        f"{found.machine_min:.0f} min of machine time"
    )
    for sentence in found.why:
        say(f"  - {shown.words(sentence)}")
    looks = [f"{hole:,}" for hole in found.looks]
    if len(looks) > 16:
        looks = [*looks[:14], "…", looks[-1]]
    say(f"Look at the drill after hole {', '.join(looks)}")


def _show_grid(found: HoleGrid, shown: Common) -> None:
    say(
        f"Plate {shown.show(found.length_mm, 'mm')} × {shown.show(found.width_mm, 'mm')}: "
        f"{found.columns} × {found.rows} holes, {len(found.holes):,} in all on {found.plates} "
        f"plate{'s' if found.plates > 1 else ''}; wall {shown.show(found.wall_mm, 'mm')}, edge "
        f"{shown.show(found.edge_mm, 'mm')} at least"
    )
    for remark in found.remarks:
        say(f"  {shown.words(remark)}")
    rows = [
        (str(hole.number), str(hole.plate), str(hole.row), str(hole.column),
         shown.show(hole.x_mm, "mm"), shown.show(hole.y_mm, "mm"))
        for hole in found.holes[:_SHOWN_HOLES]
    ]  # fmt: skip
    table("Hole positions from the lower left corner of each plate",
          ("hole", "plate", "row", "column", "x", "y"), rows)  # fmt: skip
    if len(found.holes) > _SHOWN_HOLES:
        say(f"… and {len(found.holes) - _SHOWN_HOLES:,} more: --grid FILE.csv writes them all.")

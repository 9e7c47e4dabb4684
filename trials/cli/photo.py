"""``holewise photo``: keep photos of a drill, and list them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from trials.cli.common import RunNumber, TrialName, common, workbench
from trials.cli.show import say, table
from trials.errors import InputError

app = typer.Typer(help="Photos of drills.", no_args_is_help=True)


@app.command("add")
def add(
    context: typer.Context,
    name: TrialName,
    file: Annotated[Path, typer.Argument(help="The photo: JPEG, PNG or WebP.", metavar="FILE")],
    hole: Annotated[int, typer.Option(help="Holes drilled when it was taken.")],
    run: RunNumber = None,
    mm_per_pixel: Annotated[
        float | None, typer.Option(help="Scale of the photo, if it is known.")
    ] = None,
    note: Annotated[str, typer.Option(help="Anything worth remembering.")] = "",
    who: Annotated[str, typer.Option(help="Who adds it.")] = "",
) -> None:
    """Keep a photo of the drill: the picture alone, without place or other side notes."""
    try:
        data = file.read_bytes()
    except OSError as error:
        raise InputError(f"photo {file}: {error.strerror}") from error
    with workbench(context) as bench:
        photo = bench.add_photo(
            name, run, hole, data, mm_per_pixel=mm_per_pixel, note=note, who=who
        )
    say(f"Photo of run {photo.run} at hole {photo.hole} kept: {photo.width_px} × "
        f"{photo.height_px} pixels, {photo.uuid}.")  # fmt: skip


@app.command("list")
def list_photos(context: typer.Context, name: TrialName, run: RunNumber = None) -> None:
    """List the photos of a trial, or of one run."""
    shown = common(context)
    with workbench(context) as bench:
        photos = bench.photos(name, run)
    if not photos:
        say("No photos yet: holewise photo add TRIAL FILE --hole N keeps one.")
        return
    rows = [
        (
            str(photo.run), str(photo.hole), f"{photo.width_px} × {photo.height_px}",
            "none" if photo.mm_per_pixel is None
            else shown.show(photo.mm_per_pixel * photo.width_px, "mm"),
            photo.note, photo.who, str(photo.uuid),
        )
        for photo in photos
    ]  # fmt: skip
    table(f"Photos of {name}", ("run", "hole", "pixels", "shows, wide", "note", "by", "key"), rows)

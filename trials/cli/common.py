"""What every command shares: the shop's data folder, the unit system, and reading of options."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials import units
from trials.errors import require

if TYPE_CHECKING:
    from trials.model import CuttingData, PeckMode, Trial
    from trials.workbench import Workbench

TrialName = Annotated[str, typer.Argument(help="Name of the trial.", metavar="TRIAL")]
RunNumber = Annotated[
    int | None,
    typer.Option("--run", help="Number of the run; left out: the trial's open run.", min=1),
]
DrillName = Annotated[
    str | None, typer.Option("--drill", help="Name of the drill; left out: the trial's first.")
]


@dataclass(frozen=True, slots=True)
class Common:
    """Options that stand before the command."""

    data: Path | None
    system: units.UnitSystem

    def show(self, value: float | None, unit: str) -> str:
        """A value with its unit, in the system the user asked for."""
        return units.show(value, unit, self.system)

    def words(self, sentence: str) -> str:
        """A sentence of ours with its values in the system the user asked for."""
        return units.sentence(sentence, self.system)


def common(context: typer.Context) -> Common:
    """The options that stood before the command."""
    found = context.obj
    assert isinstance(found, Common)  # noqa: S101 - the top callback always sets it
    return found


def workbench(context: typer.Context) -> Workbench:
    """Open the shop's data folder; use it in a ``with`` statement."""
    from trials.workbench import Workbench

    return Workbench.open(common(context).data)


def cutting_data_text(data: CuttingData, shown: Common) -> str:
    """Cutting data in one line: ``80.0 m/min, 0.165 mm/rev, chip break every 1 × D``."""
    text = (
        f"{shown.show(data.speed_m_per_min, 'm/min')}, {shown.show(data.feed_mm_per_rev, 'mm/rev')}"
    )
    if data.peck_mode == "none":
        return f"{text}, no pecks"
    return f"{text}, {data.peck_mode.replace('_', ' ')} every {data.peck_depth_xd:g} × D"


def test_words(enough: int | None, longest: int) -> str:
    """How long to drill a test, in a sentence; ``enough`` holes may do."""
    text = f"Drill up to {longest:,} holes"
    if enough is not None and 0 < enough < longest:
        return f"{text}; the test may stop after {enough:,} though the drill still cuts."
    return f"{text}, or to the end of the edge."


def wear_limits_text(trial: Trial, shown: Common) -> str:
    """Where an edge is worn: ``worn at 0.300 mm``, or the limit of each kind of wear."""
    limits = trial.limits
    of_kind = {
        "VB average": limits.vb_average_mm, "VB maximum": limits.vb_maximum_mm,
        "corner chipping": limits.corner_chipping_mm, "margin chipping": limits.margin_chipping_mm,
    }  # fmt: skip
    if len(set(of_kind.values())) == 1:
        return f"worn at {shown.show(trial.wear_limit_mm, 'mm')}"
    said = [f"{kind} {shown.show(value, 'mm')}" for kind, value in of_kind.items()]
    return f"worn at the first of {', '.join(said)}"


def change_cutting_data(
    base: CuttingData,
    *,
    speed: str | None,
    feed: str | None,
    peck_mode: str | None,
    peck_depth: str | None,
) -> CuttingData:
    """The base with what the user gave on the command line in its place.

    Raises:
        InputError: a text is not a number with a fitting unit, or the result is not possible.
    """
    from dataclasses import replace

    from trials.model import PECK_MODES

    mode: PeckMode = base.peck_mode
    if peck_mode is not None:
        named = peck_mode.replace("-", "_").replace(" ", "_")
        known = {name: name for name in PECK_MODES}
        require(named in known, "--peck-mode", peck_mode, "one of " + ", ".join(PECK_MODES))
        mode = known[named]  # type: ignore[index]  # the line above made sure it is one of them
    depth_xd = base.peck_depth_xd
    if peck_depth is not None:
        number = peck_depth.lower().removesuffix("xd").removesuffix("x d").strip()
        depth_xd = units.parse_number(number, what="--peck-depth")
    return replace(
        base,
        speed_m_per_min=units.parse(speed, to="m/min", what="--speed")
        if speed is not None
        else base.speed_m_per_min,
        feed_mm_per_rev=units.parse(feed, to="mm/rev", what="--feed")
        if feed is not None
        else base.feed_mm_per_rev,
        peck_mode=mode,
        peck_depth_xd=depth_xd,
    )

"""A trial written by hand: a TOML file with one table for each part of the trial."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import tomli_w

from trials.errors import InputError
from trials.mechanics import Catalogue, NoStartError, first_cutting_data, settled
from trials.model import DrillStart, Trial
from trials.model.plain import from_plain, to_plain

MOST_BYTES = 1_000_000


def read_trial(path: Path, catalogue: Catalogue | None = None, *, any_start: bool = False) -> Trial:
    """Read a trial file.

    Keys are the names of the model (``[hole] diameter_mm = 8.5``); a value may be a text with a
    unit instead (``diameter_mm = "0.3346 in"``). Left out, ``[start]`` and ``[bounds]`` come from
    the maker's range or the catalogue for each drill, and a drill's diameter from the hole.

    Args:
        path: the file.
        catalogue: the shop's; None takes the one that ships.
        any_start: also read a trial whose first drill cannot begin, to say why and what else; such
            a trial is not to be stored.

    Raises:
        InputError: names the file, the table, what was found and what is allowed.
    """
    return trial_from_plain(_read_toml(path), path.name, catalogue, any_start=any_start)


def trial_from_plain(
    data: dict[str, Any],
    where: str,
    catalogue: Catalogue | None = None,
    *,
    any_start: bool = False,
) -> Trial:
    """Build a trial from nested plain values, filling in what a person may leave out."""
    data = dict(data)
    hole_data = data.get("hole")
    drills = data.get("drills")
    if isinstance(hole_data, dict) and isinstance(drills, list):
        data["drills"] = [
            {"diameter_mm": hole_data.get("diameter_mm"), **drill}
            if isinstance(drill, dict)
            else drill
            for drill in drills
        ]
    if "start" in data and "bounds" in data:
        return from_plain(Trial, data, where)
    return _with_start(
        from_plain(Trial, {**_PLACEHOLDERS, **data}, where), data, catalogue, any_start
    )


# Stand in for what the catalogue fills in once the rest of the trial is known to be good.
_PLACEHOLDERS = {
    "start": {"speed_m_per_min": 1.0, "feed_mm_per_rev": 0.01},
    "bounds": {"speed_m_per_min": [1.0, 1.0], "feed_mm_per_rev": [0.01, 0.01]},
}


def _with_start(
    trial: Trial, data: dict[str, Any], catalogue: Catalogue | None, any_start: bool
) -> Trial:
    if catalogue is not None:
        trial = replace(trial, work=settled(trial.work, catalogue))
    starts = {}
    for drill in trial.drills:
        try:
            starts[drill.name] = first_cutting_data(
                drill, trial.work, trial.hole, trial.machine,
                load_limit_pct=trial.load_limit_pct, catalogue=catalogue,
            )  # fmt: skip
        except NoStartError:
            if drill is trial.drills[0] and not any_start:
                raise
    start = starts.get(trial.drills[0].name)
    if start is None:
        return trial
    own = {one.drill for one in trial.drill_starts}
    return replace(
        trial,
        start=trial.start if "start" in data else start.cutting_data,
        bounds=trial.bounds if "bounds" in data else start.bounds,
        drill_starts=(
            *trial.drill_starts,
            *(
                DrillStart(drill.name, starts[drill.name].cutting_data, starts[drill.name].bounds)
                for drill in trial.drills[1:]
                if drill.name in starts and drill.name not in own
            ),
        ),
    )


def trial_toml(trial: Trial) -> str:
    """The trial as the text of a trial file; ``read_trial`` gives the same trial back."""
    return tomli_w.dumps(to_plain(trial), multiline_strings=True)


def _read_toml(path: Path) -> dict[str, Any]:
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"trial file {path}: cannot be read ({error.strerror})",
            do="Check the name and that you may read it.",
        ) from None
    if len(raw) > MOST_BYTES:
        raise InputError(
            f"trial file {path}", got=f"{len(raw):,} bytes", allowed=f"at most {MOST_BYTES:,}"
        )
    try:
        return tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise InputError(
            f"trial file {path}, byte {error.start}",
            got=raw[error.start : error.start + 8],
            allowed="UTF-8 text",
            do="Save it again as UTF-8.",
        ) from None
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            f"trial file {path}: not valid TOML, {error}",
            allowed='lines such as depth_mm = 30.0 or name = "bracket"',
            do='Numbers take a decimal point, or quotes around a decimal comma: "8,5 mm".',
        ) from None

"""Both sides of a trial beside each other, and what becomes of it where a person chooses.

What a sender left out is left out here as well before the sides are compared, so that only what was
changed is a difference. Whatever is not chosen from the other side stays as it is here.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal
from uuid import UUID

from trials.errors import ConflictError, InputError
from trials.model import Trial
from trials.model.plain import from_plain, to_plain
from trials.sharing import Package, PackageContent, without
from trials.store import PACKED_TABLES, Merge, PackedRow, PackedTrial
from trials.workbench._share import content_of
from trials.workbench._share_values import Difference
from trials.workbench._shop import Shop

Side = Literal["mine", "theirs"]
_END = ("state", "end", "holes", "ended_utc")
_NEVER = ("uuid", "number", "planned_utc")
_PSEUDONYMS = ("batch", "machine")  # other names, given in the order of the package
_LEFT_OUT = "removed"


@dataclass(slots=True)
class _Unit:
    """One thing to choose: the difference, and how it is taken from the other side."""

    difference: Difference
    kind: str
    run: int | None = None
    value: Any = None


@dataclass(slots=True)
class Sides:
    """A trial that is on both sides.

    Args:
        units: what differs.
        number_here: number here of every run of the package, also of those that are new.
        new_runs: numbers, here, of runs that are new; renumbered: theirs and ours where they
            had to become others.
        recordings: keys of recordings that come with what is chosen.
    """

    units: list[_Unit]
    number_here: dict[int, int]
    new_runs: tuple[int, ...]
    renumbered: tuple[tuple[int, int], ...]
    drills: dict[str, str]
    new_drills: list[dict[str, Any]] = field(default_factory=list)
    known: dict[str, set[UUID]] = field(default_factory=dict)

    @property
    def differences(self) -> tuple[Difference, ...]:
        """What differs, in the order of the trial and its runs."""
        return tuple(unit.difference for unit in self.units)


def compare_sides(shop: Shop, packed: PackedTrial, package: Package) -> Sides:
    """Put both sides of a trial beside each other."""
    mine = without(content_of(shop, packed, traces=False), package.removed)
    here = {row["uuid"]: row for row in mine.rows("runs")}
    there = list(package.rows("runs"))
    numbers, new, renumbered = _numbers(here, there)
    drills = dict(zip(
        (drill["name"] for drill in mine.plain["drills"]),
        (drill.name for drill in packed.stored.trial.drills), strict=True,
    ))  # fmt: skip
    known = {
        table: {row["uuid"] for row in packed.rows(table)}
        for table in ("recordings", "photos", "remarks", "proposals", "runs")
    }
    sides = Sides([], numbers, new, renumbered, drills, known=known)
    _trial_units(sides, mine, package)
    for row in there:
        if row["uuid"] in here:
            _run_units(sides, here[row["uuid"]], row, package)
    _part_units(sides, mine, package)
    used = {row["drill"] for row in there if row["uuid"] not in here}
    sides.new_drills = [
        drill for drill in package.plain["drills"]
        if drill["name"] in used and drill["name"] not in drills
    ]  # fmt: skip
    return sides


def _numbers(
    here: Mapping[Any, PackedRow], there: Sequence[PackedRow]
) -> tuple[dict[int, int], tuple[int, ...], tuple[tuple[int, int], ...]]:
    taken = {int(row["number"]) for row in here.values()}
    highest = max((int(row["number"]) for row in there), default=0)
    numbers: dict[int, int] = {}
    new, renumbered = [], []
    for row in there:
        theirs = int(row["number"])
        if row["uuid"] in here:
            numbers[theirs] = int(here[row["uuid"]]["number"])
            continue
        number = theirs if theirs not in taken else max(*taken, highest) + 1
        taken.add(number)
        numbers[theirs] = number
        new.append(number)
        if number != theirs:
            renumbered.append((theirs, number))
    return numbers, tuple(new), tuple(renumbered)


def _trial_units(sides: Sides, mine: PackageContent, package: Package) -> None:
    here, there = _flat(mine.plain), _flat(package.plain)
    for path in sorted(set(here) | set(there)):
        if path == ("name",) or here.get(path) == there.get(path) or path not in there:
            continue
        theirs = there[path]
        takeable = not (package.removed and isinstance(theirs, str | list | dict))
        sides.units.append(_Unit(
            Difference("trial", " ".join(path), _shown(here.get(path)), _shown(theirs), takeable),
            "trial", value=(path, theirs),
        ))  # fmt: skip


def _flat(plain: Mapping[str, Any], at: tuple[str, ...] = ()) -> dict[tuple[str, ...], Any]:
    """Values by their path; drills by their names, other lists whole."""
    found: dict[tuple[str, ...], Any] = {}
    for name, value in plain.items():
        if at == () and name == "drills":
            for drill in value:
                found |= _flat(drill, ("drills", drill["name"]))
        elif isinstance(value, dict):
            found |= _flat(value, (*at, name))
        else:
            found[(*at, name)] = value
    return found


def _run_units(sides: Sides, here: PackedRow, there: PackedRow, package: Package) -> None:
    number = int(here["number"])
    place = f"run {number}"
    removed = bool(package.removed)
    end_there = {name: there.get(name) for name in _END}
    if any(here[name] != value for name, value in end_there.items()):
        sides.units.append(_Unit(
            Difference(place, "end", _end(here), _end(there)), "run", number, end_there
        ))  # fmt: skip
    for column in PACKED_TABLES["runs"].columns:
        name = column.name
        if name in (*_END, *_NEVER) or name not in there or here[name] == there[name]:
            continue
        if removed and (name in _PSEUDONYMS or there[name] in (None, _LEFT_OUT)):
            continue
        value = sides.drills.get(there[name], there[name]) if name == "drill" else there[name]
        sides.units.append(_Unit(
            Difference(place, name, _shown(here[name]), _shown(there[name])), "run", number,
            {name: value},
        ))  # fmt: skip


def _end(row: Mapping[str, Any]) -> str:
    return f"{row['end'] or row['state']}, {row['holes']} holes"


def _part_units(sides: Sides, mine: PackageContent, package: Package) -> None:
    """Readings, mended holes and recordings of runs that are on both sides."""
    number_of = {theirs: ours for theirs, ours in sides.number_here.items()
                 if ours not in sides.new_runs}  # fmt: skip
    wear = {row["uuid"]: row for row in mine.rows("wear")}
    for row in package.rows("wear"):
        if row["run"] not in number_of:
            continue
        number, known = number_of[row["run"]], wear.get(row["uuid"])
        theirs = {name: value for name, value in row.items() if name not in ("run", "position")}
        ours = {} if known is None else {name: known[name] for name in theirs}
        if ours != theirs:
            takeable = not (package.removed and row["note"] == _LEFT_OUT and known is not None)
            sides.units.append(_Unit(
                Difference(f"run {number}", f"wear at hole {row['hole']}",
                           _wear(ours) if ours else "none", _wear(theirs), takeable),
                "wear", number, theirs,
            ))  # fmt: skip
    ours_recorded = {int(row["run"]) for row in mine.rows("recordings")}
    keys = {(row["run"], row["recording"]): row["uuid"] for row in package.rows("recordings")}
    here_keys = {row["uuid"]: (row["run"], row["recording"]) for row in mine.rows("recordings")}
    for row in package.rows("recordings"):
        if row["run"] in number_of and row["uuid"] not in here_keys:
            number = number_of[row["run"]]
            free = number not in ours_recorded
            sides.units.append(_Unit(
                Difference(f"run {number}", "recording", "none" if free else "another one",
                           f"{row['samples']:,} samples", free),
                "recording", number, row["uuid"],
            ))  # fmt: skip
    edits_here, edits_there = _by(mine.rows("edits")), _by(package.rows("edits"))
    for (run, recording), key in keys.items():
        if run not in number_of or key not in here_keys:
            continue
        theirs_ = edits_there.get((run, recording), [])
        ours_ = edits_here.get(here_keys[key], [])
        if theirs_ != ours_:
            sides.units.append(_Unit(
                Difference(f"run {number_of[run]}", "mended holes", _edits(ours_),
                           _edits(theirs_), not package.removed),
                "edits", number_of[run], (key, theirs_),
            ))  # fmt: skip


def _by(rows: Iterable[PackedRow]) -> dict[tuple[int, int], list[PackedRow]]:
    found: dict[tuple[int, int], list[PackedRow]] = {}
    for row in rows:
        plain = {name: value for name, value in row.items() if name not in ("run", "recording")}
        found.setdefault((row["run"], row["recording"]), []).append(plain)
    return found


def _edits(rows: Sequence[PackedRow]) -> str:
    standing = [row for row in rows if row["undone_utc"] is None]
    return "none" if not standing else "; ".join(str(row["text"]) for row in standing)[:200]


def _wear(row: Mapping[str, Any]) -> str:
    names = {"vb_average_mm": "VB average", "vb_maximum_mm": "VB maximum",
             "corner_chipping_mm": "corner", "margin_chipping_mm": "margin",
             "hole_diameter_mm": "hole"}  # fmt: skip
    said = [f"{means} {row[name]:g} mm" for name, means in names.items()
            if row.get(name) is not None]  # fmt: skip
    if row.get("note"):
        said.append(str(row["note"]))
    return ", ".join(said) or "nothing measured"


def _shown(value: Any) -> str:
    if value in (None, ""):
        return "–"
    return f"{value:g}" if isinstance(value, float) else str(value)


def chosen_units(sides: Sides, choices: Mapping[str, Side]) -> list[_Unit]:
    """What is taken from the other side.

    Args:
        sides: both sides.
        choices: side for the key of a difference, for a place (``run 3``), or for ``all``.

    Raises:
        InputError: a key that no difference has, or one that cannot be taken.
        ConflictError: not everything was chosen.
    """
    keys = {unit.difference.key for unit in sides.units}
    places = {unit.difference.place for unit in sides.units}
    for name in choices:
        if name not in keys | places | {"all"}:
            raise InputError("what is chosen", got=name,
                             allowed=", ".join(sorted(places | keys))[:600] or "nothing, as "
                             "nothing differs")  # fmt: skip
    taken, open_ones = [], []
    for unit in sides.units:
        difference = unit.difference
        found = [choices[name] for name in (difference.key, difference.place, "all")
                 if name in choices]  # fmt: skip
        if not found:
            open_ones.append(difference.key)
        elif found[0] == "theirs":
            if difference.takeable:
                taken.append(unit)
            elif difference.key in choices:
                raise InputError(
                    f"{difference.key} cannot be taken from the package",
                    do="Parts of it were left out by the sender, or both sides recorded the run.",
                )
    if open_ones:
        shown = ", ".join(open_ones[:6]) + (" and more" if len(open_ones) > 6 else "")
        raise ConflictError(
            f"{len(open_ones)} values differ on both sides and were not chosen: {shown}",
            do="Look at them side by side with --preview, then say --theirs or --mine with the "
            "name of each, with the name of a run, or with all.",
        )
    return taken


def merge_of(trial: Trial, sides: Sides, taken: Sequence[_Unit]) -> Merge:
    """What is changed here when these are taken."""
    runs: dict[int, PackedRow] = {}
    wear: dict[int, list[PackedRow]] = {}
    edits: dict[tuple[int, UUID], list[PackedRow]] = {}
    for unit in taken:
        if unit.run is None:
            continue
        if unit.kind == "run":
            runs.setdefault(unit.run, {}).update(unit.value)
        elif unit.kind == "wear":
            wear.setdefault(unit.run, []).append(unit.value)
        elif unit.kind == "edits":
            key, rows = unit.value
            edits[(unit.run, key)] = rows
        else:
            runs.setdefault(unit.run, {})
    return Merge(_merged_trial(trial, sides, taken), runs, wear, edits)


def _merged_trial(trial: Trial, sides: Sides, taken: Sequence[_Unit]) -> Trial | None:
    paths = [unit.value for unit in taken if unit.kind == "trial"]
    if not paths and not sides.new_drills:
        return None
    plain: dict[str, Any] = copy.deepcopy(to_plain(trial))
    drills = {drill["name"]: drill for drill in plain["drills"]}
    for path, value in paths:
        if path[0] == "drills":
            name = sides.drills.get(path[1], path[1])
            if name not in drills:
                drills[name] = {"name": name}
                plain["drills"].append(drills[name])
            drills[name][path[2]] = name if path[2] == "name" else value
            continue
        at = plain
        for part in path[:-1]:
            at = at.setdefault(part, {})
        at[path[-1]] = value
    plain["drills"] += [drill for drill in sides.new_drills if drill["name"] not in drills]
    return from_plain(Trial, plain, trial.name)


def recordings_taken(taken: Sequence[_Unit]) -> set[UUID]:
    """Keys of recordings that come along."""
    return {unit.value for unit in taken if unit.kind == "recording"}


def renumbered(rows: Iterable[PackedRow], numbers: Mapping[int, int]) -> Iterator[PackedRow]:
    """Rows with the numbers that their runs have here."""
    for row in rows:
        if "run" in row:
            yield {**row, "run": None if row["run"] is None else numbers[row["run"]]}
        else:
            yield {**row, "number": numbers[row["number"]]}

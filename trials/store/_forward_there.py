"""One unit of a station brought to the shop, inside a transaction that the caller holds."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, Table, delete, func, insert, select, update

from trials.errors import HolewiseError, shorten
from trials.model import Trial
from trials.model.plain import from_plain
from trials.store import _tables as tables
from trials.store._forward_here import (
    ANSWERS,
    OF_RUN,
    SERIES,
    SeriesNow,
    Unit,
    UnitRows,
    rows_of,
    to_row,
)
from trials.store._forward_memory import Portion
from trials.store._forward_merge import Base, Merged, Values, merge, shown, tree
from trials.store._trial_rows import drill_rows, trial_columns
from trials.store._types import now_utc

_TABLES: dict[str, Table] = {
    "run": tables.run, "recording": tables.recording, "alarm": tables.alarm, **OF_RUN, **ANSWERS,
}  # fmt: skip
_TOGETHER = (
    ("state", "end", "ended_utc"), ("peck_mode", "peck_depth_xd"), ("removed_utc", "removed_by"),
    ("acknowledged_utc", "acknowledged_by"),
)  # fmt: skip
# What a machine recorded is the station's alone.
_OWN = {
    "recording": frozenset(tables.recording.c.keys()),
    "alarm": frozenset(tables.alarm.c.keys()) - {"acknowledged_utc", "acknowledged_by"},
}
# Numbers that must be free within a parent at the shop, and what they count there.
_NUMBERED: dict[str, tuple[str, str]] = {
    "run": ("number", "trial_uuid"), "wear_reading": ("position", "run_uuid"),
    "remark": ("position", "trial_uuid"), "proposal": ("position", "trial_uuid"),
}  # fmt: skip
_WORDS = {
    "trial": "",
    "run": "",
    "wear_reading": "wear reading, ",
    "hole_edit": "",
    "taken_in": "what was taken in, ",
}
_ORDER = ("trial", "run", "wear_reading", "photo", "recording", "alarm", "hole_edit", *ANSWERS)


class ParentGoneError(Exception):
    """The trial that a unit belongs to was taken out at the shop."""


@dataclass(slots=True)
class Bringing:
    """One unit on its way: what is here, what was sent of it, and what comes of it.

    Args:
        unit: which.
        here: its rows now; None when it was taken out here.
        bases, series: what was sent of it.
        new_series: what of its series is to be sent, by name and recording.
        station: name of the station, put behind a trial's name that is taken.
        ours_first: the shop was put back to an earlier state: what stands here is written.
        trial_plain: the trial of a run as it is here.
    """

    unit: Unit
    here: UnitRows | None
    bases: dict[tuple[str, str], Base]
    new_series: dict[tuple[str, str], SeriesNow]
    station: str
    ours_first: bool = False
    trial_plain: Mapping[str, Any] | None = None
    portion: Portion = field(init=False)
    wrote: bool = False
    _wear_changed: bool = field(default=False, init=False)

    def __post_init__(self) -> None:
        signature = None if self.here is None else self.unit.signature
        self.portion = Portion(self.unit.name, str(self.unit.of_trial), signature)

    def bring(self, connection: Connection) -> None:
        """Write at the shop what is to be written; what is to be remembered is in ``portion``.

        Raises:
            ParentGoneError: the trial is not at the shop any more.
        """
        trial = tables.trial
        held = select(trial.c.name).where(trial.c.uuid == self.unit.of_trial).with_for_update()
        of_trial = connection.execute(held).scalar()
        if self.here is None:
            self._take_out(connection)
            return
        if of_trial is None and self.unit.kind != "trial":
            raise ParentGoneError
        there = rows_of(connection, self.unit, lock=True)
        self._sent_again_if_gone(there)
        kinds = sorted(self.here.rows, key=lambda one: _ORDER.index(one[0]))
        for kind, key in kinds:
            self._row(connection, kind, key, there)
        for kind, key in sorted(set(self.bases) - set(self.here.rows), reverse=True):
            self._row_gone(connection, kind, key, there)
        for (kind, key), series in self.new_series.items():
            self._series(connection, kind, key, series)
        if self._wear_changed and (self.unit.kind, str(self.unit.key)) in there.rows:
            self._changed_run(connection)

    def _changed_run(self, connection: Connection) -> None:
        """A reading changes its run, as it does where it is entered."""
        run = tables.run
        connection.execute(
            update(run).where(run.c.uuid == self.unit.key)
            .values(version=run.c.version + 1, changed_utc=now_utc())
        )  # fmt: skip

    def _sent_again_if_gone(self, there: UnitRows) -> None:
        """A run or trial that the shop took out, and that was worked on here, comes again."""
        head = (self.unit.kind, str(self.unit.key))
        if head not in self.bases or head in there.rows:
            return
        self._tell("it was taken out at the shop and changed here since; it was sent again")
        self.bases = {}

    # Rows

    def _row(self, connection: Connection, kind: str, key: str, there: UnitRows) -> None:
        assert self.here is not None  # noqa: S101 - asked before
        now, base = self.here.rows[kind, key], self.bases.get((kind, key))
        theirs = there.rows.get((kind, key))
        if theirs is None:
            if base is not None and base.here == now:
                return  # the shop took it out; nothing was changed here since
            if base is not None:
                self._tell(f"{_word(kind)}taken out at the shop and changed here; sent again")
            self._wear_changed = self._wear_changed or kind == "wear_reading"
            given = self._insert(connection, kind, key, now)
            self.portion.sent[kind, key] = Base(dict(now), {**now, **given})
            self.wrote = True
            return
        merged = merge(
            now, base, theirs, own=_OWN.get(kind, ()), together=_TOGETHER,
            ours_first=self.ours_first,
        )  # fmt: skip
        for one in merged.differences:
            stays = "the one from here was written" if self.ours_first else "the shop's stays"
            self._tell(
                f"{_word(kind)}{shown(one.name)}: here {shorten(one.here)}, at the shop "
                f"{shorten(one.there)}; {stays}"
            )
        if merged.changes:
            self._wear_changed = self._wear_changed or kind == "wear_reading"
            self._update(connection, kind, key, merged, theirs, there)
            self.wrote = True
        if merged.base != base:
            self.portion.sent[kind, key] = merged.base

    def _insert(self, connection: Connection, kind: str, key: str, now: Values) -> Values:
        """Insert a row; the values that had to be others at the shop."""
        assert self.here is not None  # noqa: S101 - asked before
        versions = self.here.versions.get((kind, key), {})
        if kind == "trial":
            return self._insert_trial(connection, key, now, versions)
        if kind == "hole_edit":
            self._put_edits(connection, key, now["edits"])
            return {}
        given = self._free_number(connection, kind, now)
        if kind == "run":
            self._need_drill(connection, now["drill"])
        if kind == "run" and given:
            there = given["number"]
            self._tell(f"number {now['number']} was taken at the shop; it is {there} there")
        row = {**now, **{k: v for k, v in versions.items() if k != "drills"}, **given}
        table = _TABLES[kind]
        connection.execute(insert(table).values(**to_row(table, row)))
        return given

    def _free_number(self, connection: Connection, kind: str, now: Mapping[str, Any]) -> Values:
        if kind not in _NUMBERED:
            return {}
        name, parent = _NUMBERED[kind]
        table = _TABLES[kind]
        of_parent = table.c[parent] == uuid.UUID(now[parent])
        taken = select(table.c.uuid).where(of_parent, table.c[name] == now[name])
        if connection.execute(taken).first() is None:
            return {}
        last = connection.execute(select(func.max(table.c[name])).where(of_parent)).scalar()
        return {name: int(last or 0) + 1}

    def _update(
        self, connection: Connection, kind: str, key: str, merged: Merged, theirs: Values,
        there: UnitRows,
    ) -> None:  # fmt: skip
        if kind == "trial":
            self._update_trial(connection, key, merged, theirs, there)
            return
        if kind == "hole_edit":
            self._put_edits(connection, key, merged.changes["edits"])
            return
        table = _TABLES[kind]
        values = to_row(table, merged.changes)
        if kind == "run":
            self._need_drill(connection, merged.changes.get("drill"))
            values["changed_utc"] = now_utc()
            if set(merged.changes) != {"holes"}:  # how far a recording has come is no edit
                values["version"] = table.c.version + 1
        query = update(table).where(*_is(table, key)).values(**values)
        connection.execute(query)

    def _row_gone(self, connection: Connection, kind: str, key: str, there: UnitRows) -> None:
        """A row that was taken out here goes at the shop too, unless it was changed there."""
        theirs, base = there.rows.get((kind, key)), self.bases[kind, key]
        self.portion.gone.append((kind, key))
        if theirs is None:
            return
        if theirs != base.there and kind not in _OWN:
            self._tell(f"{_word(kind)}taken out here and changed at the shop; it stays there")
            return
        self._wear_changed = self._wear_changed or kind == "wear_reading"
        if kind == "hole_edit":
            self._put_edits(connection, key, [])
        else:
            connection.execute(delete(_TABLES[kind]).where(*_is(_TABLES[kind], key)))
        self.wrote = True

    def _put_edits(self, connection: Connection, key: str, edits: list[Values]) -> None:
        table = tables.hole_edit
        connection.execute(delete(table).where(table.c.recording_uuid == uuid.UUID(key)))
        if edits:
            connection.execute(insert(table), [to_row(table, one) for one in edits])

    def _series(self, connection: Connection, kind: str, key: str, series: SeriesNow) -> None:
        table, place = SERIES[kind]
        of_it = table.c.recording_uuid == uuid.UUID(key)
        behind = [] if series.whole else [table.c[place] >= series.rows[0][place]]
        connection.execute(delete(table).where(of_it, *behind))
        if series.rows:
            connection.execute(insert(table), [to_row(table, row) for row in series.rows])
        self.portion.series[kind, key] = (series.count, series.digest)
        self.wrote = True

    # Trials

    def _insert_trial(
        self, connection: Connection, key: str, now: Values, versions: Values
    ) -> Values:
        name = self._free_name(connection, key, now["name"])
        trial = _trial({**now, "name": name}, versions["drills"])
        row = {"uuid": key, "created_utc": now["created_utc"], "version": versions["version"],
               "changed_utc": versions["changed_utc"]}  # fmt: skip
        connection.execute(
            insert(tables.trial).values(**to_row(tables.trial, row), **trial_columns(trial))
        )
        connection.execute(insert(tables.drill), drill_rows(uuid.UUID(key), trial))
        return {} if name == now["name"] else {"name": name}

    def _free_name(self, connection: Connection, key: str, name: str) -> str:
        """The name, or where another trial of the shop has it, the station's behind it."""
        wanted, count = name, 1
        column = tables.trial.c
        while connection.execute(
            select(column.uuid).where(column.name == wanted, column.uuid != uuid.UUID(key))
        ).first():
            behind = f" ({self.station})" if count == 1 else f" ({self.station} {count})"
            wanted, count = name[: 100 - len(behind)] + behind, count + 1
        if wanted != name:
            self._tell(f"the name {name!r} is another trial's at the shop; it is {wanted!r} there")
        return wanted

    def _update_trial(
        self, connection: Connection, key: str, merged: Merged, theirs: Values, there: UnitRows
    ) -> None:
        assert self.here is not None  # noqa: S101 - asked before
        changes = dict(merged.changes)
        if "name" in changes:
            changes["name"] = self._free_name(connection, key, changes["name"])
            merged.base.there["name"] = changes["name"]
        values = {**theirs, **changes}
        mine = self.here.rows["trial", key]
        for needed in self._drills_in_use(connection):
            path = f"drills\t{needed}"
            if values.get(path) is None:
                values[path] = theirs.get(path) or mine.get(path)
        order = [
            *there.versions["trial", key]["drills"],
            *self.here.versions["trial", key]["drills"],
        ]
        try:
            trial = _trial(values, list(dict.fromkeys(order)))
        except HolewiseError as error:
            self._tell(f"what was changed on both sides does not go together ({error}); "
                       "the shop's stays")  # fmt: skip
            merged.base = Base(mine, merged.base.there)
            return
        connection.execute(
            update(tables.trial).where(tables.trial.c.uuid == uuid.UUID(key)).values(
                version=tables.trial.c.version + 1, changed_utc=now_utc(), **trial_columns(trial)
            )
        )  # fmt: skip
        connection.execute(delete(tables.drill).where(tables.drill.c.trial_uuid == uuid.UUID(key)))
        connection.execute(insert(tables.drill), drill_rows(uuid.UUID(key), trial))

    def _drills_in_use(self, connection: Connection) -> list[str]:
        run = tables.run.c
        query = select(run.drill).where(run.trial_uuid == self.unit.key).distinct()
        return list(connection.execute(query).scalars())

    def _need_drill(self, connection: Connection, name: str | None) -> None:
        """A drill that the shop took out of the trial, and that a run from here needs, is back."""
        drill, trial = tables.drill.c, tables.trial
        known = select(drill.name).where(drill.trial_uuid == self.unit.of_trial, drill.name == name)
        if name is None or connection.execute(known).first() is not None:
            return
        assert self.trial_plain is not None  # noqa: S101 - given for every run
        ours = next(one for one in self.trial_plain["drills"] if one["name"] == name)
        of_it = trial.c.uuid == self.unit.of_trial
        plain = connection.execute(select(trial.c.plain).where(of_it)).scalar_one()
        whole = from_plain(Trial, {**plain, "drills": [*plain["drills"], ours]}, "trial")
        connection.execute(
            update(trial).where(of_it).values(
                version=trial.c.version + 1, changed_utc=now_utc(), **trial_columns(whole)
            )
        )  # fmt: skip
        connection.execute(delete(tables.drill).where(drill.trial_uuid == self.unit.of_trial))
        connection.execute(insert(tables.drill), drill_rows(self.unit.of_trial, whole))
        self._tell(f"its drill {name!r} was not in the trial at the shop any more; it is again")

    # What was taken out here

    def _take_out(self, connection: Connection) -> None:
        there = rows_of(connection, self.unit, lock=True)
        self.portion.gone = list(self.bases)
        if self.unit.kind == "answers":
            for kind, key in self.bases:
                self._row_gone(connection, kind, key, there)
            return
        head = (self.unit.kind, str(self.unit.key))
        if head not in there.rows:
            return
        changed = any(
            key not in self.bases or theirs != self.bases[key].there
            for key, theirs in there.rows.items()
            if key[0] not in _OWN and theirs != {"edits": []}
        )
        if self.unit.kind == "trial":
            of_it = tables.run.c.trial_uuid == self.unit.key
            runs = connection.execute(select(tables.run.c.uuid).where(of_it).limit(1)).first()
            changed = changed or runs is not None
        if changed:
            self._tell("it was taken out here and worked on at the shop; it stays there")
            return
        table = tables.run if self.unit.kind == "run" else tables.trial
        connection.execute(delete(table).where(table.c.uuid == self.unit.key))
        self.wrote = True

    # Words

    def _tell(self, text: str) -> None:
        self.portion.conflicts.append(f"{self._name()}: {text}.")

    def _name(self) -> str:
        head = (self.unit.kind, str(self.unit.key))
        base = self.bases.get(head)
        row = self.here.rows.get(head) if self.here is not None else base and base.here
        if self.unit.kind == "trial":
            return f"trial {row['name']}" if row else f"trial {self.unit.key}"
        if self.unit.kind == "run":
            return f"run {row['number']}" if row else f"run {self.unit.key}"
        return "what came with packages"


def _word(kind: str) -> str:
    return _WORDS.get(kind, f"{kind}, ")


def _is(table: Table, key: str) -> list[Any]:
    parts = key.split("/")
    found = to_row(table, dict(zip([one.name for one in table.primary_key], parts, strict=True)))
    if "position" in found:
        found["position"] = int(found["position"])
    return [table.c[name] == value for name, value in found.items()]


def _trial(values: Mapping[str, Any], order: list[str]) -> Trial:
    plain = tree({name: one for name, one in values.items() if name != "created_utc"}, order)
    return from_plain(Trial, plain, "trial from a station")

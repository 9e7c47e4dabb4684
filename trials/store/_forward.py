"""A station sends what is new to the shop: one round at a time, nothing lost, nothing doubled.

Each portion carries the next number of this station. The shop keeps the number with the portion,
in one transaction, and the station keeps the portion before that: so when an answer never came, the
shop's number tells whether the portion is there.
"""

from __future__ import annotations

import sqlite3
import threading
import time
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, insert, select, update

from trials.errors import ConflictError, HolewiseError, InputError, StoreError
from trials.store import _schema as schema
from trials.store import _tables as tables
from trials.store._engine import Database
from trials.store._folder import ShopFolder
from trials.store._forward_files import FileSender, named_files
from trials.store._forward_here import SERIES, SeriesNow, Unit, rows_of, series_of, units
from trials.store._forward_link import Link
from trials.store._forward_memory import Memory, Portion
from trials.store._forward_status import MEMORY
from trials.store._forward_there import Bringing, ParentGoneError
from trials.store._objects import Objects
from trials.store._types import now_utc

_TRIES = 4  # of one portion, when two stations write the same thing at the same moment
_LONGEST_WAIT_S = 600.0  # between tries of one unit that is refused
_LATER, _TRIAL_FIRST = "tried again later", "its trial waits, and goes first"

OnUnit = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class ForwardRound:
    """What a round did: units sent, units that wait, and conflicts told."""

    sent: int
    waiting: int
    conflicts: int


class Forwarder:
    """Sends one station's data folder to one shop; use it from one thread, and close it.

    Raises:
        InputError: the station's own folder, or none that can be sent from.
        StoreError: the station's database cannot be used.
    """

    def __init__(
        self, folder: ShopFolder, to: str, *, files: Path | str | None = None, station: str,
        hurry_s: float = 30.0, stop: threading.Event | None = None,
    ) -> None:  # fmt: skip
        """``stop``: when it is set, a round ends after the unit that is on its way."""
        if folder.address.exists():
            raise InputError(
                f"data folder {folder.path}", got="its tables are on a server already",
                allowed="a folder with a database of its own", do="There is nothing to forward.",
            )  # fmt: skip
        self._folder = folder
        self._station_name = station
        self._link = Link(to, hurry_s=hurry_s, stop=stop)
        self._stop = stop or threading.Event()
        there = self._link.database.url
        if there.get_backend_name() == "sqlite":
            shop = Path(str(there.database)).parent
            if shop.resolve() == folder.path.resolve():
                raise InputError("--to", got=to, allowed="another folder than the station's own")
            files = files or shop
        self.memory = Memory(folder.path / MEMORY)
        self._files_at = "" if files is None else str(files)
        at = Objects(self._files_at) if "://" in self._files_at else Path(self._files_at)
        self._files = None if files is None else FileSender(folder, at, self.memory)
        self._own = Database(folder.url)
        self._changes: sqlite3.Connection | None = None
        self._data_version: int | None = None
        self._left = True  # whether something may wait although nothing changed
        self._forgot = False
        self._refused: dict[str, tuple[float, float]] = {}
        self._checked = False
        self._key: uuid.UUID = uuid.UUID(int=0)
        self._key = self.memory.station()
        self.memory.note(to=self._link.place, name=station, files=self._files_at or None)

    @property
    def place(self) -> str:
        """Where it sends to, without a password."""
        return self._link.place

    def close(self) -> None:
        """Give everything back."""
        if self._changes is not None:
            self._changes.close()
        self._own.close()
        self._link.close()
        self.memory.close()

    def round(self, on_unit: OnUnit | None = None) -> ForwardRound:
        """Send everything that is new or changed, once.

        Args:
            on_unit: told how many units of how many are done.

        Raises:
            StoreError: the shop cannot be reached or used now, or the station's database cannot.
        """
        changed = self._something_changed()
        if not changed and not self._left:
            self._knock()
            if not self._left:
                return ForwardRound(0, 0, 0)
        waiting = self._waiting()
        self.memory.waits({unit.name: str(unit.of_trial) for unit in waiting}, {})
        self._left, self._forgot = True, False
        self._knock()
        ours_first = self._settle()
        if ours_first is not None:  # what was remembered is no longer so
            waiting = self._waiting()
        before = len(self.memory.conflicts())
        troubles: dict[str, str] = {}
        sent = 0
        for done, unit in enumerate(waiting):
            if on_unit is not None:
                on_unit(done, len(waiting))
            if self._stop.is_set() or not self._its_turn(unit):
                troubles[unit.name] = _LATER
                continue
            trial = unit.trial_name
            if trial != unit.name and trial in troubles and not self.memory.bases(trial):
                troubles[unit.name] = _TRIAL_FIRST
                continue
            try:
                self._send_twice(unit, ours_first=bool(ours_first))
                sent += 1
                self._refused.pop(unit.name, None)
            except HolewiseError as error:
                self._knock()  # a link that is gone ends the round
                troubles[unit.name] = str(error)
                self._refuse(unit)
        if on_unit is not None and waiting:
            on_unit(len(waiting), len(waiting))
        left = [unit for unit in waiting if unit.name in troubles]
        if left:
            told = {name: text for name, text in troubles.items() if text != _LATER}
            self.memory.waits({unit.name: str(unit.of_trial) for unit in left}, told)
        self._left = bool(left) or self._forgot
        return ForwardRound(sent, len(left), len(self.memory.conflicts()) - before)

    # What is new here

    def _something_changed(self) -> bool:
        """Asks the database file for its counter of changes, which costs next to nothing."""
        if self._changes is None:
            schema.check_schema(self._own)
            address = f"{self._folder.database.absolute().as_uri()}?mode=ro"
            self._changes = sqlite3.connect(address, uri=True, timeout=15.0)
        try:
            (found,) = self._changes.execute("PRAGMA data_version").fetchone()
        except sqlite3.Error as error:
            self._changes.close()
            self._changes = None
            raise StoreError(f"{self._folder.database} cannot be read", got=str(error)) from error
        changed: bool = found != self._data_version
        self._data_version = found
        if changed:
            self._left = True
        return changed

    def _waiting(self) -> list[Unit]:
        """Units that changed since they were sent, in the order in which they go."""
        known = self.memory.signatures()
        with self._own.reading() as connection:
            here = [self._with_files(unit) for unit in units(connection)]
        names = {unit.name for unit in here}
        gone = [Unit.read(name, known[name][0]) for name in known if name not in names]
        # Runs that were taken out here go before new ones take their numbers, and trials last.
        gone.sort(key=lambda unit: unit.kind)
        first = [unit for unit in gone if unit.kind != "trial"]
        last = [unit for unit in gone if unit.kind == "trial"]
        changed = [one for one in here if known.get(one.name, ("", None))[1] != one.signature]
        return [*first, *last, *changed]

    def _with_files(self, unit: Unit) -> Unit:
        """Where files are sent to belongs to what was sent."""
        if unit.kind != "run":
            return unit
        signature = f"{unit.signature} files({self._files_at})"
        return Unit(unit.kind, unit.key, unit.of_trial, signature)

    # The shop

    def _knock(self) -> None:
        """Is the shop there? Its tables are looked at when it was away.

        Raises:
            StoreError: it is not.
        """
        try:
            if not self._checked:
                self._link.check()
                self._checked = True
            query = select(tables.station.c.sent).where(tables.station.c.uuid == self._key)
            with self._link.in_time(), self._link.database.reading() as connection:
                found = schema.stored_revision(connection)
                if found == schema.HEAD:
                    has = int(connection.execute(query).scalar() or 0)
                    self._left = self._left or has != self.memory.number
        except StoreError:
            self._checked = False
            raise
        if found != schema.HEAD:
            self._checked = False
            self._link.check()

    def _settle(self) -> bool | None:
        """Find out what the shop has of this station; None where all is as remembered.

        True says that the shop was put back to an earlier state, so that what stands here goes
        first; False that this station is not known there, or knows less of itself than the shop.
        """
        with self._link.in_time(), self._link.database.writing() as connection:
            has = self._number_there(connection)
        pending = self.memory.pending()
        if pending is not None:
            number, portion = pending
            arrived = has >= number
            self.memory.settle(number if arrived else None, portion if arrived else None)
        remembered = self.memory.number
        if has == remembered:
            return None
        self.memory.forget(number=has)
        if has > remembered:
            self.memory.tell("What was sent had been forgotten here; all was compared again.")
            return False
        if has == 0:
            return False
        self.memory.tell(
            f"The shop was put back to an earlier state ({has} of {remembered} portions); all was "
            "sent again."
        )
        return True

    def _number_there(self, connection: Connection) -> int:
        """The shop's number of the last portion; waits for one that is still on its way."""
        table = tables.station
        query = select(table.c.sent).where(table.c.uuid == self._key).with_for_update()
        return int(connection.execute(query).scalar() or 0)

    def _send_twice(self, unit: Unit, *, ours_first: bool) -> None:
        """A link that broke and is there again says nothing against a unit: it goes again."""
        try:
            self._send(unit, ours_first=ours_first)
        except StoreError:
            self._knock()
            self._send(unit, ours_first=ours_first)

    def _send(self, unit: Unit, *, ours_first: bool) -> None:
        for left in reversed(range(_TRIES)):
            try:
                self._send_once(unit, ours_first=ours_first)
                return
            except ParentGoneError:
                self.memory.forget(of_trial=str(unit.of_trial))
                self._forgot = True
                self.memory.tell(
                    f"The trial of {unit.name} was taken out at the shop and worked on here; it "
                    "was sent again."
                )
                for one in self._waiting():
                    if one.kind == "trial" and one.key == unit.of_trial:
                        self._send_once(one, ours_first=ours_first)
            except ConflictError:
                self._settle()
                if not left:
                    raise

    def _send_once(self, unit: Unit, *, ours_first: bool) -> None:
        bringing = self._read(unit, ours_first=ours_first)
        if bringing.here is not None and self._files is not None:
            for file in named_files(bringing.here):
                self._files.send(file)
        number = self.memory.number + 1
        with self._link.in_time(), self._link.database.writing() as connection:
            if self._number_there(connection) != number - 1:
                raise ConflictError("another process sends as this station")
            bringing.bring(connection)
            if bringing.wrote:
                self._keep_number(connection, number)
                self._expect(number, bringing.portion)
        self.memory.settle(number if bringing.wrote else None, bringing.portion)

    def _expect(self, number: int, portion: Portion) -> None:
        self.memory.expect(number, portion)

    def _keep_number(self, connection: Connection, number: int) -> None:
        table = tables.station
        values = {"name": self._station_name, "sent": number, "sent_utc": now_utc()}
        if number > 1:
            done = connection.execute(update(table).where(table.c.uuid == self._key).values(values))
            if done.rowcount:
                return
        connection.execute(insert(table).values(uuid=self._key, **values))

    def _read(self, unit: Unit, *, ours_first: bool) -> Bringing:
        """One unchanging view of a unit here."""
        bases, sent = self.memory.bases(unit.name), self.memory.series(unit.name)
        with self._own.reading() as connection:
            here = rows_of(connection, unit)
            if (unit.kind, str(unit.key)) not in here.rows and unit.kind != "answers":
                return Bringing(unit, None, bases, {}, self._station_name)
            if unit.kind == "answers" and not here.rows:
                return Bringing(unit, None, bases, {}, self._station_name)
            plain = None
            if unit.kind == "run":
                of_it = tables.trial.c.uuid == unit.of_trial
                plain = connection.execute(select(tables.trial.c.plain).where(of_it)).scalar()
            new: dict[tuple[str, str], SeriesNow] = {}
            for kind, key in [one for one in here.rows if one[0] == "recording"]:
                live = here.rows[kind, key]["finished_utc"] is None
                for name in SERIES:
                    found = series_of(connection, name, key, sent.get((name, key)), live=live)
                    if found is not None:
                        new[name, key] = found
        return Bringing(unit, here, bases, new, self._station_name, ours_first, plain)

    # Units that are refused

    def _its_turn(self, unit: Unit) -> bool:
        return time.monotonic() >= self._refused.get(unit.name, (0.0, 0.0))[0]

    def _refuse(self, unit: Unit) -> None:
        wait_s = min(_LONGEST_WAIT_S, 2 * self._refused.get(unit.name, (0.0, 2.5))[1])
        self._refused[unit.name] = (time.monotonic() + wait_s, wait_s)

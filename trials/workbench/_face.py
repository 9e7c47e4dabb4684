"""The workbench: one method for each thing that a person wants done."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

import pandas as pd

from trials.errors import NotFoundError
from trials.mechanics import settled
from trials.model import CuttingData, End, Origin, Run, Trial, WearReading
from trials.store import StoredAlarm, Upgrade, back_up_store, open_store, shop_folder, upgrade_store
from trials.workbench import _costs, _runs
from trials.workbench._choose_face import ChooseFace
from trials.workbench._forward_face import ForwardFace
from trials.workbench._hand_over_face import HandOverFace
from trials.workbench._history_face import HistoryFace
from trials.workbench._holes_face import HolesFace
from trials.workbench._money_face import MoneyFace
from trials.workbench._operations_face import OperationsFace
from trials.workbench._photos_face import PhotosFace
from trials.workbench._runs_face import RunsFace
from trials.workbench._search_face import SearchFace
from trials.workbench._sharing_face import SharingFace
from trials.workbench._shop import Shop
from trials.workbench._shop_face import ShopFace
from trials.workbench._values import (
    JournalReport,
    LiveView,
    OnProgress,
    RebuildCheck,
    RecordingSummary,
    TrialSummary,
)

if TYPE_CHECKING:
    from trials.logger import Gap, Heard, LineFormat, Mapping, Profile
    from trials.workbench._live import LiveViews


class Workbench(
    ChooseFace, ForwardFace, HandOverFace, HistoryFace, HolesFace, MoneyFace, OperationsFace,
    PhotosFace, RunsFace, SearchFace, SharingFace, ShopFace,
):  # fmt: skip
    """Everything that can be done with a shop's trials; the one door for every screen.

    Values go in and come out as plain numbers, frozen values and frames. One workbench can be
    used by several threads, and any number of processes may open the same folder.

    ``run`` in every method is the number of a run; None means the open run that is at work: the one
    being recorded, else the newest that was drilled, else the first planned.
    ``version`` (from `version`) refuses a change when somebody changed the run since.

    Raises (everywhere):
        NotFoundError: no trial, run or recording of that name or number.
        ConflictError: somebody changed it since, or its state does not allow this.
        InputError: a value cannot be accepted; nothing of it was stored.
        StoreError: folder or database cannot be used as it stands; nothing was lost.
    """

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self._live_lock = threading.Lock()
        self._live_views: LiveViews | None = None

    @classmethod
    def open(cls, folder: Path | str | None = None, *, create: bool = True) -> Workbench:
        """Open a shop's data folder: the argument, else ``HOLEWISE_DATA``, else the platform's.

        Args:
            folder: the data folder.
            create: make it when it is not there; false refuses instead.
        """
        found = shop_folder(folder, create=create)
        return cls(Shop(found, open_store(found)))

    @staticmethod
    def upgrade(folder: Path | str | None = None) -> Upgrade:
        """Bring the tables of a data folder up to date, after a verified copy of the database."""
        return upgrade_store(shop_folder(folder, create=False))

    @property
    def folder(self) -> Path:
        """The shop's data folder."""
        return self._shop.folder.path

    def close(self) -> None:
        """Give back the database. Recordings made elsewhere go on."""
        self._shop.store.close()

    def __enter__(self) -> Workbench:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def damage(self) -> list[str]:
        """What is wrong in the database, one sentence each; empty when it is sound."""
        return self._shop.store.damage()

    def back_up(self) -> Path:
        """Copy the database into the folder ``backups`` and check the copy, also while in use."""
        return back_up_store(self._shop.folder)

    # Trials

    def new_trial(self, trial: Trial) -> Trial:
        """Store a new trial; its name must be free, and the machine able to drive its start.

        Forces of a catalogue material that it names are kept with it.
        """
        trial = replace(trial, work=settled(trial.work, self.catalogue()))
        _runs.check_machine(trial, trial.drill(), trial.start)
        return self._shop.store.add_trial(trial).trial

    def trial(self, name: str) -> Trial:
        """One trial by its name."""
        return self._shop.store.trial(name).trial

    def trials(self) -> list[TrialSummary]:
        """Every trial in a line, the one changed last first."""
        return _costs.summaries(self._shop)

    # Runs

    def runs(self, trial: str) -> list[Run]:
        """Every run of a trial in the order of their numbers."""
        return [stored.run for stored in self._shop.store.runs(trial)]

    def run(self, trial: str, number: int | None = None) -> Run:
        """One run; without a number the open one, see the class."""
        return self._shop.store.run(trial, number).run

    def version(self, trial: str, run: int | None = None) -> int:
        """The version of a run, to be handed to a later change of it."""
        return self._shop.store.run(trial, run).version

    def plan_run(
        self,
        trial: str,
        cutting_data: CuttingData,
        *,
        drill: str | None = None,
        origin: Origin = "person",
        note: str = "",
        batch: str = "",
        machine: str = "",
        regrinds_done: int = 0,
        test_holes: int | None = None,
    ) -> Run:
        """Plan a run; refused when it is beyond the machine's speed, feed, power or thrust.

        Args:
            trial: name of the trial.
            cutting_data: what to drive the drill with.
            drill: name of the drill; None takes the trial's first.
            origin: who proposed it.
            note: anything worth keeping.
            batch, machine, regrinds_done, test_holes: see `trials.model.Run`.
        """
        return _runs.plan_run(
            self._shop, trial, cutting_data, drill=drill, origin=origin, note=note, batch=batch,
            machine=machine, regrinds_done=regrinds_done, test_holes=test_holes,
        )  # fmt: skip

    def add_wear(
        self, trial: str, run: int | None, reading: WearReading, *, version: int | None = None
    ) -> Run:
        """Note what was seen on the drill after a hole. Also possible while it is recorded."""
        return _runs.add_wear(self._shop, trial, run, reading, version)

    def end_run(
        self,
        trial: str,
        run: int | None,
        end: End,
        *,
        holes: int | None = None,
        note: str = "",
        version: int | None = None,
    ) -> Run:
        """Say how a run ended. A recording whose logger is gone is finished from its journal first.

        Args:
            trial, run: which run.
            end: how it ended; ``stopped`` keeps its life as "longer than this".
            holes: holes drilled, where the count of the logger is wrong or nothing was recorded.
            note: anything worth keeping; empty keeps the run's note.
            version: see the class.
        """
        found = self.run(trial, run)
        if found.state == "recording":
            # Refused by the run's lock while a logger is at work; a stale version before that.
            self._shop.store.change_run(trial, found.number, lambda same: same, version=version)
            self.rebuild(trial, found.number)
            version = None
        return _runs.end_run(
            self._shop, trial, found.number, end, holes=holes, note=note, version=version
        )

    # Sources

    def listen(
        self,
        source_url: str,
        seconds: float,
        *,
        on_progress: Callable[[float, int], None] | None = None,
    ) -> Heard:
        """What a source sends for some seconds, for `trials.logger.survey`; nothing is kept.

        Args:
            source_url: see `trials.logger.open_source`.
            seconds: so long, or to the end of a file.
            on_progress: told the time since the beginning, s, and the bytes so far.

        Raises:
            SourceError: it cannot be opened, or the link broke.
            ConflictError: another process of this shop listens to it; says which.
        """
        from trials.workbench import _listening

        return _listening.hear(self._shop, source_url, seconds, on_progress)

    def profiles(self) -> list[str]:
        """Names of the profiles that this shop keeps."""
        from trials.logger import profiles_in

        return profiles_in(self._shop.folder.profiles)

    def profile(self, name: str) -> Profile:
        """How a machine talks, by the name of the shop's profile or by the path of any."""
        from trials.workbench import _listening

        return _listening.profile(self._shop, name)

    def save_profile(self, profile: Profile, *, replace: bool = False) -> Path:
        """Keep a profile for this shop; one of the same name stays unless it is to be replaced."""
        from trials.workbench import _listening

        return _listening.save_profile(self._shop, profile, replace=replace)

    # Recordings

    def record(
        self,
        trial: str,
        run: int | None,
        source_url: str | None = None,
        *,
        line_format: LineFormat | None = None,
        mapping: Mapping | None = None,
        resume: bool = False,
        reconnect: bool = False,
        stop: threading.Event | None = None,
        on_progress: OnProgress | None = None,
        max_holes: int | None = None,
        alarm_file: Path | None = None,
        alarm_command: str | None = None,
    ) -> RecordingSummary:
        """Record a run from a source until it ends, ``stop`` is set or ``max_holes`` are drilled.

        Bytes go to the journal before anything is understood. Trouble with the store or a screen
        does not end a recording; it is told in `Progress.trouble` and made up for at the end.

        Args:
            trial, run: a planned run; with ``resume`` one whose recording was interrupted.
            source_url: see `trials.logger.open_source`. With ``resume`` it may be left out to go
                on with the same source.
            line_format, mapping: how bytes become samples. With ``resume`` they may be left out
                to go on as before; given ones are used for the whole recording.
            resume: go on after a kill or a stop: nothing journalled is lost, and the interruption
                is a gap. Files go on at the byte where the journal ends.
            reconnect: when the link breaks, note a gap and try again until stopped.
            stop: set it, from any thread, to end in good order.
            on_progress: called in this thread, at most a few times a second.
            max_holes: end once so many holes are drilled.
            alarm_file: holds a line for each alarm that stands; see `trials.logger.AlarmFile`.
            alarm_command: run when an alarm changes; see `trials.logger.AlarmCommand`.

        Raises:
            ConflictError: another process records this run or listens to this source (says
                which), or the run is not in the state for it.
            SourceError: the source cannot be opened; a new recording left nothing behind.
            JournalError: the disk refuses; what was recorded stays.
        """
        from trials.workbench import _recording

        return _recording.record(
            self._shop, trial, run, source_url, line_format=line_format, mapping=mapping,
            resume=resume, reconnect=reconnect, stop=stop, on_progress=on_progress,
            max_holes=max_holes, alarm_file=alarm_file, alarm_command=alarm_command,
        )  # fmt: skip

    def import_trace(
        self,
        trial: str,
        run: int | None,
        path: Path,
        *,
        line_format: LineFormat | None = None,
        mapping: Mapping | None = None,
        skip_bad_lines: bool = False,
        on_progress: OnProgress | None = None,
    ) -> RecordingSummary:
        """Read a recorded file as the recording of a planned run: all of it or nothing.

        Args:
            trial, run: a planned run.
            path: the file.
            line_format, mapping: None looks at the file and its header.
            skip_bad_lines: leave lines out that cannot be read and count them, instead of
                refusing the file at the first one.
            on_progress: called as it goes, with the share of the file that is read.
        """
        from trials.workbench import _import

        return _import.import_trace(
            self._shop, trial, run, path, line_format=line_format, mapping=mapping,
            skip_bad_lines=skip_bad_lines, on_progress=on_progress,
        )  # fmt: skip

    def rebuild(
        self,
        trial: str,
        run: int | None,
        *,
        line_format: LineFormat | None = None,
        mapping: Mapping | None = None,
    ) -> RecordingSummary:
        """Find samples and holes of a recorded run again, from its journal.

        Also finishes a recording whose logger is gone. An ended run keeps the number of holes
        that it was ended with. A trace that becomes another is kept, with its holes and settings,
        in the folder ``former``.

        Args:
            trial, run: which run.
            line_format, mapping: instead of those it was recorded with; kept with the run.
        """
        from trials.workbench import _rebuild

        return _rebuild.rebuild(self._shop, trial, run, line_format, mapping)

    def check_rebuild(
        self,
        trial: str,
        run: int | None,
        *,
        line_format: LineFormat | None = None,
        mapping: Mapping | None = None,
    ) -> RebuildCheck:
        """What `rebuild` with the same arguments would change; changes nothing."""
        from trials.workbench import _rebuild

        return _rebuild.check_rebuild(self._shop, trial, run, line_format, mapping)

    @staticmethod
    def report_on(journal: Path) -> JournalReport:
        """How any journal stands on the disk, by its folder; also one of another shop."""
        from trials.workbench import _journal

        return _journal.report(journal)

    def journal_report(self, trial: str, run: int | None) -> JournalReport:
        """How the journal of a run stands on the disk; also while it is written."""
        from trials.workbench import _journal

        number = self.run(trial, run).number
        recording = self._shop.recording(trial, number)
        if recording is None:
            raise NotFoundError(f"journal of run {number} of {trial}", do="Nothing was recorded.")
        return _journal.report(self._shop.journal(recording))

    def trace(self, trial: str, run: int | None = None) -> pd.DataFrame:
        """The samples of a finished recording: time_s, load_pct, and rpm, depth_mm if recorded."""
        return self._shop.trace(trial, self.run(trial, run).number)

    def gaps(self, trial: str, run: int | None = None) -> list[Gap]:
        """Stretches of the trace without samples, each with its reason."""
        from trials.logger import Gap

        return [Gap(*row) for row in self._shop.store.gaps(trial, run)]

    def live(self, trial: str, run: int | None = None) -> LiveView | None:
        """How a run stands now, from its journal on disk and the store; None when nothing is.

        Cheap to call again and again: only what was added to the journal since is read. After a
        recording has ended it shows its end.
        """
        from trials.workbench._live import LiveViews

        with self._live_lock:
            if self._live_views is None:
                self._live_views = LiveViews(self._shop)
        return self._live_views.look(trial, run)

    def alarms(self, trial: str, run: int | None = None) -> list[StoredAlarm]:
        """The alarms of a run as the logger raised them, in order; advisory."""
        return self._shop.store.alarms(trial, self.run(trial, run).number)

    def acknowledge(self, trial: str, run: int | None = None, *, who: str = "") -> int:
        """Say that the alarms of a run that stand were seen; how many there were.

        From any process: the logger learns of it within a second, and keeps it in the journal.

        Args:
            trial, run: which run.
            who: where they were seen, such as "dashboard"; kept with them.
        """
        number = self.run(trial, run).number
        board = self._shop.boards.get((trial, number))
        here = 0 if board is None else board.acknowledge(who)
        return max(here, self._shop.store.acknowledge_alarms(trial, number, who))

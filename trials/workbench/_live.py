"""How a run stands at this moment: read from its journal on disk, never from a logger's memory.

It works from any process, and whatever becomes of the logger.
"""

from __future__ import annotations

import statistics
import threading
import time
import uuid
from collections import deque
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd

from trials.errors import InputError, JournalError, StoreError
from trials.holes import Hole, to_frame
from trials.logger import (
    Alarm,
    Arrival,
    Batch,
    JournalReader,
    Kind,
    LineFormat,
    Mapping,
    Position,
    Record,
    after,
    decoder_from,
    replay,
)
from trials.model import Run, Trial
from trials.store import Recording, StoredAlarm, read_window, trace_extent
from trials.workbench._derive import Derivation
from trials.workbench._shop import Shop
from trials.workbench._values import Floats, HoleNow, LiveView

WINDOW_S = 120.0  # how much of the newest trace is shown
MOST_POINTS = 2000
MOST_HOLES = 400
_READ_FOR_S = 0.5  # one look reads at most this long; the next one goes on
_STALE_INTERVALS, _STALE_AT_LEAST_S = 3.0, 1.0
_STALE_CHANGES_ONLY_S = 10.0  # a source that sends changes alone may be silent for a while


class LiveViews:
    """The views of one workbench, by recording; safe for several threads."""

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self._lock = threading.Lock()
        self._followers: dict[uuid.UUID, _Follower] = {}
        self._finished: dict[uuid.UUID, tuple[Recording, _Newest, str | None]] = {}

    def look(self, trial_name: str, number: int | None) -> LiveView | None:
        """See `trials.workbench.Workbench.live`."""
        store = self._shop.store
        trial = store.trial(trial_name).trial
        if number is None:
            unfinished = [one for one in store.runs(trial_name) if one.run.state != "ended"]
            if not unfinished:
                return None
            stored = unfinished[-1]
        else:
            stored = store.run(trial_name, number)
        run, number = stored.run, stored.run.number
        recording = self._shop.recording(trial_name, number)
        if recording is None:
            return None
        if run.state == "recording" and recording.journal is not None:
            return self._follower(trial, run, recording).look(
                run, self._shop.holder(stored.uuid), store.alarms(trial_name, number)
            )
        with self._lock:
            self._followers.pop(recording.uuid, None)
        return self._at_rest(trial, run, recording)

    def _follower(self, trial: Trial, run: Run, recording: Recording) -> _Follower:
        with self._lock:
            follower = self._followers.get(recording.uuid)
            if follower is None or follower.recording.mapping != recording.mapping:
                follower = _Follower(trial, run, recording, self._shop.journal(recording))
                self._followers[recording.uuid] = follower
            return follower

    def _at_rest(self, trial: Trial, run: Run, recording: Recording) -> LiveView:
        """The end of a finished recording, from the store."""
        with self._lock:
            known = self._finished.get(recording.uuid)
        if known is None or known[0] != recording:
            newest, problem = _Newest(), None
            if recording.trace is not None:
                try:
                    newest.take_end(
                        self._shop.folder.inside(recording.trace), recording.trace_sha256
                    )
                except StoreError as error:
                    problem = str(error)
            known = (recording, newest, problem)
            if problem is None:  # what cannot be read now may be there in a moment
                with self._lock:
                    self._finished[recording.uuid] = known
        time_s, load_pct = known[1].samples()
        gaps = self._shop.store.gaps(trial.name, run.number)
        alarms = self._shop.store.alarms(trial.name, run.number)
        return LiveView(
            trial=trial.name, run=run, state=run.state, recording=False, holder=None,
            newest_load_pct=float(load_pct[-1]) if len(load_pct) else None, age_s=None,
            stale=False, limit_pct=trial.load_limit_pct, holes_count=run.holes, current=None,
            holes=self._shop.store.holes(trial.name, run.number).tail(MOST_HOLES),
            time_s=time_s, load_pct=load_pct,
            gaps=tuple(gap for gap in gaps if len(time_s) and gap[1] >= time_s[0]),
            alarm=known[2] or _standing_text(alarms), counters=recording.counters, behind_bytes=0,
            alarms=tuple(alarms),
        )  # fmt: skip


class _Tail(JournalReader):
    """A journal from where it was read last; remembers when its newest bytes came in."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder, strict=False)
        self.position = Position()
        self.newest: Arrival | None = None
        self.intervals_s: deque[float] = deque(maxlen=50)
        self.closed = False

    def __iter__(self) -> Iterator[Record]:
        for record in self.read_from(self.position):
            self.position = after(record)
            self.closed = record.kind is Kind.CLOSED
            if record.kind is Kind.DATA:
                if self.newest is not None:
                    step_ns = record.arrival.monotonic_ns - self.newest.monotonic_ns
                    if step_ns >= 0:
                        self.intervals_s.append(step_ns / 1e9)
                self.newest = record.arrival
            yield record

    def behind_bytes(self) -> int:
        """Bytes written behind the place that was read to."""
        behind = 0
        for path in sorted(self.folder.glob("segment-*.journal")):
            number = int(path.stem.rpartition("-")[2])
            if number >= self.position.segment:
                behind += path.stat().st_size
        return behind - self.position.offset

    def age_s(self, same_boot: bool) -> float | None:
        """Time since the newest bytes came in; by the clock that cannot be set, where it counts.

        Args:
            same_boot: the writer runs on this computer now, so its monotonic clock is ours.
        """
        if self.newest is None:
            return None
        if same_boot:
            return max(0.0, (time.monotonic_ns() - self.newest.monotonic_ns) / 1e9)
        return max(0.0, (time.time_ns() - self.newest.utc_ns) / 1e9)


class _Newest:
    """The newest stretch of samples."""

    def __init__(self) -> None:
        self._parts: deque[tuple[Floats, Floats]] = deque()

    def take(self, time_s: Floats, load_pct: Floats) -> None:
        if len(time_s) == 0:
            return
        self._parts.append((time_s, load_pct))
        while self._parts[0][0][-1] < time_s[-1] - WINDOW_S:
            self._parts.popleft()

    def take_end(self, path: Path, sha256: str | None) -> None:
        """The end of a finished trace; only that is read."""
        last_s = trace_extent(path, sha256).last_s
        for time_s, load_pct in read_window(path, sha256, last_s - WINDOW_S, last_s):
            self.take(time_s.copy(), load_pct.copy())

    def samples(self) -> tuple[Floats, Floats]:
        """Times and loads of the window, thinned so that every peak stays."""
        from trials.figures import min_max_indices

        if not self._parts:
            return np.empty(0), np.empty(0)
        if len(self._parts) > 1:
            joined = tuple(np.concatenate(parts) for parts in zip(*self._parts, strict=True))
            self._parts = deque([(joined[0], joined[1])])
        time_s, load_pct = self._parts[0]
        first = int(np.searchsorted(time_s, time_s[-1] - WINDOW_S))
        kept = first + min_max_indices(load_pct[first:], MOST_POINTS)
        return time_s[kept], load_pct[kept]


class _Follower:
    """One recording as it grows."""

    def __init__(self, trial: Trial, run: Run, recording: Recording, folder: Path) -> None:
        self.recording = recording
        self._trial = trial
        self._lock = threading.Lock()
        self._tail = _Tail(folder)
        self._decoder = decoder_from(
            JournalReader(folder, strict=False).settings(),
            line_format=LineFormat.from_dict(recording.line_format),
            mapping=Mapping.from_dict(recording.mapping),
        )
        self._derivation = Derivation(trial, run)
        self._newest = _Newest()
        self._alarm = Alarm(trial.load_limit_pct)
        self._problem: str | None = None
        self._batches: Iterator[Batch] | None = None
        self._shown: tuple[tuple[Hole, ...], pd.DataFrame] | None = None

    def look(self, run: Run, holder: str | None, alarms: list[StoredAlarm]) -> LiveView:
        with self._lock:
            self._read()
            return self._view(run, holder, alarms)

    def _read(self) -> None:
        if self._problem is not None:
            return
        until = time.monotonic() + _READ_FOR_S
        try:
            # It may hold records that it has not decoded yet: the next look goes on with it.
            self._batches = self._batches or replay(self._tail, self._decoder)
            for batch in self._batches:
                self._take(batch)
                if time.monotonic() >= until:
                    return
            self._batches = None
        except (InputError, JournalError) as error:
            self._problem = str(error)

    def _take(self, batch: Batch) -> None:
        self._derivation.take(batch)
        self._newest.take(batch.time_s, batch.load_pct)
        self._alarm.feed(batch)

    def _view(self, run: Run, holder: str | None, alarms: list[StoredAlarm]) -> LiveView:
        derivation = self._derivation
        behind = self._tail.behind_bytes()
        age_s = self._tail.age_s(same_boot=holder is not None)
        stale = age_s is None or age_s > self._stale_after_s()
        time_s, load_pct = self._newest.samples()
        holes = derivation.holes
        now = derivation.current
        current = None
        if now is not None:
            elapsed_s = max(0.0, derivation.newest_s - now.start_s)
            current = HoleNow(now.number, elapsed_s, now.peak_pct)
        return LiveView(
            trial=self._trial.name, run=run, state=self._state(holder, stale, behind),
            recording=holder is not None, holder=holder,
            newest_load_pct=derivation.newest_load_pct, age_s=age_s, stale=stale,
            limit_pct=self._trial.load_limit_pct, holes_count=len(holes), current=current,
            holes=self._frame(tuple(holes[-MOST_HOLES:])), time_s=time_s, load_pct=load_pct,
            gaps=tuple(
                (gap.start_s, gap.end_s, gap.reason)
                for gap in derivation.gaps
                if len(time_s) and gap.end_s >= time_s[0]
            ),
            alarm=self._alarm_text(
                holder, stale, age_s, current, holes[-1] if holes else None, alarms
            ),
            counters=self._decoder.counters.to_dict(), behind_bytes=behind, alarms=tuple(alarms),
        )  # fmt: skip

    def _frame(self, holes: tuple[Hole, ...]) -> pd.DataFrame:
        """The newest holes as a table; made anew only when one has been added or has changed."""
        if self._shown is None or self._shown[0] != holes:
            self._shown = (holes, to_frame(holes))
        return self._shown[1]

    def _stale_after_s(self) -> float:
        least = _STALE_AT_LEAST_S
        if self._decoder.line_format.kind == "shdr":
            least = _STALE_CHANGES_ONLY_S
        usual = statistics.median(self._tail.intervals_s) if self._tail.intervals_s else 0.0
        return max(least, _STALE_INTERVALS * usual)

    def _state(self, holder: str | None, stale: bool, behind: int) -> str:
        if self._problem is not None:
            return "cannot be read"
        if holder is None:
            return "logger stopped"
        if behind > 0:
            return "catching up"
        return "no new values" if stale else "recording"

    def _alarm_text(
        self,
        holder: str | None,
        stale: bool,
        age_s: float | None,
        current: HoleNow | None,
        last: Hole | None,
        alarms: list[StoredAlarm],
    ) -> str | None:
        """The one thing that asks for a look first; advisory, nothing is switched off.

        What the logger raised and nobody has acknowledged goes before what is seen here.
        """
        limit = self._trial.load_limit_pct
        if self._problem is not None:
            return self._problem
        if self._alarm.over_limit:
            newest = self._derivation.newest_load_pct or 0.0
            now = f"Load {newest:.0f} % is" if newest > limit else "Load was"  # a moment ago
            return f"{now} over the limit of {limit:.0f} %. Look at the drill."
        if (standing := _standing_text(alarms)) is not None:
            return standing
        number, peak, start_s = 0, 0.0, 0.0
        if current is not None:
            start_s = self._derivation.newest_s - current.elapsed_s
            number, peak = current.number, current.peak_pct
        elif last is not None:
            number, peak, start_s = last.number, last.peak_pct, last.start_s
        seen = any(
            alarm.kind == "over_limit" and (alarm.hole == number or alarm.time_s >= start_s - 1.0)
            for alarm in alarms
        )
        if peak > limit and not seen:
            return (
                f"Hole {number} peaked at {peak:.0f} %, over the limit of {limit:.0f} %. "
                "Look at the drill."
            )
        if holder is None:
            return "The logger has stopped. Start it again with --resume; nothing is lost."
        if stale and age_s is not None:
            return f"No new value for {age_s:.0f} s. Is the source still sending?"
        return None


def _standing_text(alarms: list[StoredAlarm]) -> str | None:
    """The newest alarm that nobody has acknowledged; None when there is none."""
    return next((alarm.text for alarm in reversed(alarms) if alarm.standing), None)

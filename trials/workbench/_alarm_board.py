"""The alarms of one recording in the logger's process: raised, over, acknowledged, and told on."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import Any

from trials.errors import HolewiseError
from trials.logger import AlarmEvent, AlarmNews, AlarmState, Outlet
from trials.store import Recording, Store, StoredAlarm, now_utc
from trials.workbench._beside import Beside, Job

_ASK_EVERY_S = 1.0  # whether a person has seen an alarm that stands; costs as much as decoding does


class AlarmBoard:
    """Knows which alarms stand. One alarm of a kind stands at a time: more of it change nothing.

    The store is where a person's "seen" comes from, also from another process; the board asks it
    while an alarm stands. What happens is written to the store beside the recording, noted for
    the journal, and sent to the outlets.

    Args:
        store, trial, run, recording: whose alarms.
        outlets: told about every change.
    """

    def __init__(
        self, store: Store, trial: str, run: int, recording: Recording, outlets: Sequence[Outlet]
    ) -> None:
        self._store = store
        self._trial = trial
        self._run = run
        self._recording = recording
        self._outlets = outlets
        self._lock = threading.Lock()
        self._alarms = {alarm.number: alarm for alarm in self._stored()}
        self._unkept: deque[Job] = deque()
        self._notes: deque[dict[str, Any]] = deque()
        self._over_limit_s: list[float] = []
        self.trouble: str | None = None
        self._keeper = Beside(
            "alarm-store", self._failed, tick=self._keep_and_ask, every_s=_ASK_EVERY_S
        )

    def tell(self, event: AlarmEvent) -> None:
        """Take what the alarm says; any thread."""
        with self._lock:
            if event.kind == "over_limit" and event.active and event.hole is None:
                self._over_limit_s.append(event.time_s)
                del self._over_limit_s[:-1000]
            if not event.active:
                self._end(event)
            elif not any(alarm.kind == event.kind for alarm in self._standing()):
                self._raise(event)

    def told_between(self, start_s: float, end_s: float) -> bool:
        """Whether the live value was over the limit within that time of the trace."""
        return any(start_s <= time_s <= end_s for time_s in self._over_limit_s)

    @property
    def standing(self) -> tuple[StoredAlarm, ...]:
        """Alarms that ask for a look, the newest last."""
        with self._lock:
            return tuple(self._standing())

    def standing_at_the_end(self) -> tuple[StoredAlarm, ...]:
        """The same, after asking the store once more: somebody may just have seen one."""
        try:
            self._ask()
        except HolewiseError as error:
            self._failed(error)
        return self.standing

    def notes(self) -> list[dict[str, Any]]:
        """What the journal is to keep of what happened since the last call."""
        found = []
        while self._notes:
            found.append(self._notes.popleft())
        return found

    def close(self) -> list[str]:
        """Keep and send what waits; sentences about what went wrong."""
        self._keeper.close(20.0)
        try:
            self._keep_and_ask()
        except HolewiseError as error:
            self._failed(error)
        troubles = [trouble for outlet in self._outlets for trouble in outlet.close()]
        return [*([self.trouble] if self.trouble else []), *troubles]

    def _standing(self) -> list[StoredAlarm]:
        return [alarm for alarm in self._alarms.values() if alarm.standing]

    def _raise(self, event: AlarmEvent) -> None:
        number = max(self._alarms, default=0) + 1
        alarm = StoredAlarm(
            number, event.kind, event.text, event.time_s, event.hole, event.load_pct, now_utc()
        )
        self._alarms[number] = alarm
        self._keep(partial(self._store.raise_alarm, self._recording.uuid, alarm))
        self._change("raised", alarm)

    def _end(self, event: AlarmEvent) -> None:
        for alarm in list(self._alarms.values()):
            if alarm.kind != event.kind or alarm.over_utc is not None:
                continue
            over = replace(alarm, over_utc=now_utc())
            self._alarms[alarm.number] = over
            self._keep(partial(self._store.end_alarm, self._recording.uuid, alarm.number))
            if alarm.standing:
                self._change("over", over)

    def acknowledge(self, who: str) -> int:
        """Somebody at this process has seen what stands; how many alarms that were."""
        with self._lock:
            standing = self._standing()
            for alarm in standing:
                self._seen(alarm, now_utc(), who)
            if standing:
                self._keep(partial(self._store.acknowledge_alarms, self._trial, self._run, who))
            return len(standing)

    def _ask(self) -> None:
        """Learn from the store what a person has seen, perhaps on another screen."""
        if not self.standing:
            return
        stored = {alarm.number: alarm for alarm in self._store.alarms_of(self._recording.uuid)}
        with self._lock:
            for alarm in self._standing():
                seen = stored.get(alarm.number)
                if seen is not None and seen.acknowledged_utc is not None:
                    self._seen(alarm, seen.acknowledged_utc, seen.acknowledged_by)

    def _seen(self, alarm: StoredAlarm, when: datetime, who: str) -> None:
        seen = replace(alarm, acknowledged_utc=when, acknowledged_by=who)
        self._alarms[alarm.number] = seen
        self._change("acknowledged", seen)

    def _change(self, state: AlarmState, alarm: StoredAlarm) -> None:
        self._notes.append(
            {"event": "alarm", "state": state, "kind": alarm.kind, "text": alarm.text,
             "time_s": alarm.time_s, "hole": alarm.hole, "by": alarm.acknowledged_by}
        )  # fmt: skip
        standing = tuple(one.text for one in self._standing())
        for outlet in self._outlets:
            outlet.send(
                AlarmNews(
                    state, alarm.kind, alarm.text, self._trial, self._run, alarm.hole,
                    alarm.load_pct, standing,
                )
            )  # fmt: skip

    def _keep(self, job: Job) -> None:
        """Leave something for the store; it is tried again until the store takes it."""
        self._unkept.append(job)
        self._keeper.put(self._flush)

    def _flush(self) -> None:
        while self._unkept:
            self._unkept[0]()
            self._unkept.popleft()
        self.trouble = None

    def _keep_and_ask(self) -> None:
        self._flush()
        self._ask()

    def _stored(self) -> list[StoredAlarm]:
        try:
            return self._store.alarms_of(self._recording.uuid)
        except HolewiseError:
            return []

    def _failed(self, error: Exception) -> None:
        self.trouble = f"an alarm could not be stored: {error}"

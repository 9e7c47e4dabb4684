"""The recording loop: source, then journal, then decoder, then listeners."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from trials.errors import SourceError
from trials.logger.alarm import Alarm, AlarmEvent
from trials.logger.decoder import Decoder, require_times
from trials.logger.journal import Journal
from trials.logger.readings import Arrival, Batch, Counters
from trials.logger.sources.protocol import Source

Listener = Callable[[Batch], None]
AlarmListener = Callable[[AlarmEvent], None]

READ_TIMEOUT_S = 0.1
DECODE_EVERY_S = 0.02  # journal at once, understand in gulps: line to alarm stays under 50 ms
DECODE_BYTES = 65_536
_FIRST_WAIT_S, _LONGEST_WAIT_S = 0.1, 2.0


@dataclass(slots=True)
class RecordingResult:
    """How a recording went.

    Args:
        ended: ``stopped`` (asked to), ``source ended``, or ``link lost``.
        counters: what was seen, all sessions of the decoder together.
        breaks: reasons of the breaks in the link.
        problems: what went wrong beside the recording (a listener that failed).
        note: one sentence about the end, for the person.
    """

    ended: Literal["stopped", "source ended", "link lost"]
    counters: Counters
    breaks: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    note: str = ""


class Recorder:
    """Records a source. Bytes go to the journal before anything is understood of them.

    Args:
        source: not yet open.
        journal: new, or reopened after a stop (then give ``resumed=True``).
        decoder: new, or the one that `replay` filled with what the journal holds.
        listeners: called with each non-empty batch, in this thread. One that fails is dropped and
            named in the result; the recording goes on.
        alarm: looks at each batch and at silence.
        alarm_listeners: called with each alarm event.
        reconnect: when the link breaks, note a gap and try again until stopped. Files never
            reconnect.
        resumed: the journal was reopened: note the gap "logger stopped" (a file goes on at the
            byte where the journal ends, without a gap).
    """

    def __init__(
        self,
        source: Source,
        journal: Journal,
        decoder: Decoder,
        listeners: Sequence[Listener] = (),
        *,
        alarm: Alarm | None = None,
        alarm_listeners: Sequence[AlarmListener] = (),
        reconnect: bool = False,
        resumed: bool = False,
    ) -> None:
        self.source = source
        self.journal = journal
        self.decoder = decoder
        self.alarm = alarm
        self._listeners = list(listeners)
        self._alarm_listeners = list(alarm_listeners)
        self._reconnect = reconnect and not source.can_go_on
        self._resumed = resumed
        self._waiting: list[tuple[bytes, Arrival]] = []
        self._waiting_bytes = 0
        self._decode_at = 0.0
        self._result = RecordingResult("stopped", decoder.counters)

    def run(self, stop: threading.Event | None = None) -> RecordingResult:
        """Record until the source ends, the link is lost for good, or ``stop`` is set.

        The journal stays open; whoever made it closes it.

        Raises:
            SourceError: the source cannot be opened.
            JournalError: the journal cannot be written; what was written stays.
            InputError: the lines cannot be what the mapping says (header, unit); the bytes so far
                are in the journal.
        """
        stop = stop or threading.Event()
        if self.source.is_file:
            require_times(self.decoder.line_format, self.decoder.mapping, self.source.name)
        if self._resumed:
            self._resume()
        self.source.open()
        try:
            self._loop(stop)
        finally:
            self.source.close()
        return self._result

    def _resume(self) -> None:
        if self.source.can_go_on:
            self.source.go_on_from(self.journal.data_bytes)
        elif self.journal.data_bytes:
            self._break("logger stopped", new_session=True)

    def _loop(self, stop: threading.Event) -> None:
        while not stop.is_set():
            try:
                chunk = self.source.read(self._timeout())
                lost = "" if chunk is not None else "the other side closed the link"
            except SourceError as error:
                chunk, lost = None, str(error)
            if chunk:
                arrival = Arrival.now()
                self.journal.append(chunk, arrival)
                if not self._waiting:
                    self._decode_at = time.monotonic() + DECODE_EVERY_S
                self._waiting.append((chunk, arrival))
                self._waiting_bytes += len(chunk)
            if (
                chunk is None
                or self._waiting_bytes >= DECODE_BYTES
                or (self._waiting and time.monotonic() >= self._decode_at)
            ):
                self._decode()
            if self.alarm is not None and not chunk:
                self._tell(self.alarm.check(time.monotonic()))
            if chunk is None:
                if self._reconnect and self._connect_again(lost, stop):
                    continue
                if stop.is_set():
                    break
                self._result.ended = "source ended" if self.source.is_file else "link lost"
                self._result.note = "" if self.source.is_file else lost
                break
        self._decode()
        if self.source.can_go_on and self._result.ended == "stopped":
            return  # a resumed recording goes on in the middle of this line
        whole = self.source.is_file and self._result.ended == "source ended"
        self.journal.note({"event": "ended", "last_line_whole": whole})
        self._hear(self.decoder.finish(last_line_whole=whole))

    def _timeout(self) -> float:
        if not self._waiting:
            return READ_TIMEOUT_S
        return min(READ_TIMEOUT_S, max(0.0, self._decode_at - time.monotonic()))

    def _decode(self) -> None:
        waiting, self._waiting, self._waiting_bytes = self._waiting, [], 0
        if not waiting:
            return
        if self.decoder.needs_arrival:
            for chunk, arrival in waiting:
                self._hear(self.decoder.feed(chunk, arrival))
        else:
            self._hear(self.decoder.feed(b"".join(chunk for chunk, _ in waiting), waiting[-1][1]))

    def _hear(self, batch: Batch) -> None:
        if not batch:
            return
        if self.alarm is not None:
            self._tell(self.alarm.feed(batch, time.monotonic()))
        for listener in tuple(self._listeners):
            try:
                listener(batch)
            except Exception as error:  # noqa: BLE001 - no listener may end a recording
                self._listeners.remove(listener)
                self._result.problems.append(f"a listener failed: {error!r}")

    def _tell(self, events: list[AlarmEvent]) -> None:
        for event in events:
            for listener in tuple(self._alarm_listeners):
                try:
                    listener(event)
                except Exception as error:  # noqa: BLE001 - no listener may end a recording
                    self._alarm_listeners.remove(listener)
                    self._result.problems.append(f"an alarm listener failed: {error!r}")

    def _break(self, reason: str, *, new_session: bool = False) -> None:
        self.journal.note({"event": "gap", "reason": reason, "new_session": new_session})
        self._result.breaks.append(reason)
        self._hear(self.decoder.interrupt(reason, new_session=new_session))

    def _connect_again(self, lost: str, stop: threading.Event) -> bool:
        """Note the break and try until the link is there again; False when stopped meanwhile."""
        self._break(lost)
        self.source.close()
        wait_s = _FIRST_WAIT_S
        while not stop.wait(wait_s):
            if self.alarm is not None:
                self._tell(self.alarm.check(time.monotonic()))
            try:
                self.source.open()
            except SourceError:
                wait_s = min(2 * wait_s, _LONGEST_WAIT_S)
            else:
                return True
        return False

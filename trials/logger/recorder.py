"""The recording: one thread reads into the journal, the other decodes and tells.

Reading never waits for understanding: a slow screen or a busy store holds up nothing.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from trials.logger.alarm import Alarm, AlarmEvent
from trials.logger.decoder import Decoder, require_times
from trials.logger.handover import Handover, Happening, Item
from trials.logger.journal import Journal
from trials.logger.link_watch import CHANGES_ONLY_LEAST_S, LEAST_S, LinkWatch
from trials.logger.reading import GATHER_S, GATHER_UNTIMED_S, LONGEST_WAIT_S, Reading
from trials.logger.readings import Arrival, Batch, Counters
from trials.logger.sources.protocol import Source

Listener = Callable[[Batch], None]
AlarmListener = Callable[[AlarmEvent], None]
TroubleListener = Callable[["Trouble"], None]

LOOK_EVERY_S = 0.1
DECODE_EVERY_S = 0.025  # understand in gulps: line to alarm stays under 50 ms


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something beside the load that needs a person: it began (``active``) or went away.

    ``kind``: ``disk`` (the journal cannot be written), ``link`` (broken or silent), ``behind``
    (screens and holes cannot keep up; the journal does).
    """

    kind: Literal["disk", "link", "behind"]
    active: bool
    text: str


@dataclass(slots=True)
class RecordingResult:
    """How a recording went.

    Args:
        ended: ``stopped`` (asked to), ``source ended``, or ``link lost``.
        counters: what was seen, all sessions of the decoder together.
        breaks: reasons of the breaks in the link.
        problems: what went wrong beside the recording (a listener that failed, bytes that had to
            be dropped): what listeners heard is then not what the journal holds.
        troubles: all that was told to trouble listeners.
        note: one sentence about the end, for the person.
    """

    ended: Literal["stopped", "source ended", "link lost"]
    counters: Counters
    breaks: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)
    note: str = ""


class Recorder:
    """Records a source. Bytes go to the journal before anything is understood of them.

    Args:
        source: not yet open.
        journal: new, or reopened after a stop (then give ``resumed=True``).
        decoder: new, or the one that `replay` filled with what the journal holds.
        listeners: called with each non-empty batch, in the thread that called ``run``. One that
            fails is dropped and named in the result; the recording goes on.
        alarm: looks at each batch and at silence.
        alarm_listeners: called with each alarm event. A link that broke, or that is silent for
            three of its nominal intervals, is the alarm ``stale`` also without an ``alarm``.
        trouble_listeners: called with each `Trouble`.
        reconnect: when the link breaks, note a gap and try again until stopped. Files never
            reconnect.
        longest_wait_s: between two tries the wait doubles up to this.
        resumed: the journal was reopened: note the gap "logger stopped" (a file goes on at the
            byte where the journal ends, without a gap).
        keep: hold the link by a second process, which saves what came in when this one is killed;
            then a fast stream is gathered for some milliseconds before it is read.
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
        trouble_listeners: Sequence[TroubleListener] = (),
        reconnect: bool = False,
        longest_wait_s: float = LONGEST_WAIT_S,
        resumed: bool = False,
        keep: bool = True,
    ) -> None:
        self.source = source
        self.journal = journal
        self.decoder = decoder
        self.alarm = alarm
        self._listeners = list(listeners)
        self._alarm_listeners = list(alarm_listeners)
        self._trouble_listeners = list(trouble_listeners)
        self._resumed = resumed
        self._handover = Handover(patient=source.can_go_on)
        self._reading = Reading(
            source, journal, self._handover,
            reconnect=reconnect and not source.can_go_on, longest_wait_s=longest_wait_s, keep=keep,
            gather_s=GATHER_UNTIMED_S if decoder.needs_arrival else GATHER_S,
        )  # fmt: skip
        changes_only = decoder.line_format.kind == "shdr"
        self.link = LinkWatch(CHANGES_ONLY_LEAST_S if changes_only else LEAST_S)
        self._disk_trouble = False
        self._behind = False
        self._result = RecordingResult("stopped", decoder.counters)

    def run(self, stop: threading.Event | None = None) -> RecordingResult:
        """Record until the source ends, the link is lost for good, or ``stop`` is set.

        The journal stays open; whoever made it closes it.

        Raises:
            SourceError: the source cannot be opened.
            InputError: the lines cannot be what the mapping says (header, unit); the bytes so far
                are in the journal.
        """
        stop = stop or threading.Event()
        if self.source.is_file:
            require_times(self.decoder.line_format, self.decoder.mapping, self.source.name)
        if self._resumed:
            self._resume()
        self._reading.open()
        self.link.begin(time.monotonic())
        thread = threading.Thread(target=self._reading.run, args=(stop,), name="logger-reader")
        thread.start()
        try:
            self._understand()
        finally:
            self._reading.stop()
            self._handover.close()
            thread.join()
            self._reading.close()
        self._reading.raise_failure()
        return self._result

    def _resume(self) -> None:
        if self.source.can_go_on:
            self.source.go_on_from(self.journal.data_bytes)
        elif self.journal.data_bytes:
            new = not self.journal.same_boot
            gap = {"event": "gap", "reason": "logger stopped", "new_session": new}
            self.journal.note(gap)
            self._break(Happening("gap", "logger stopped", new_session=new))

    # -- understanding --------------------------------------------------------------------------

    def _understand(self) -> None:
        while True:
            items = self._handover.take(LOOK_EVERY_S)
            end = self._take(items)
            self._look()
            if end is not None:
                self._finish(end)
                return
            if items and not self._reading.gathers:
                self._handover.pause(DECODE_EVERY_S)

    def _take(self, items: list[Item]) -> Happening | None:
        """Decode what came, in order; the end when that is in it."""
        chunks: list[tuple[bytes, Arrival | None]] = []
        for item in items:
            if not isinstance(item, Happening):
                chunks.append(item)
                self._hear_link(item[1].monotonic_ns / 1e9)
                continue
            self._decode(chunks)
            chunks = []
            if item.kind == "end":
                return item
            if item.kind == "gap":
                self._break(item)
        self._decode(chunks)
        return None

    def _decode(self, chunks: list[tuple[bytes, Arrival | None]]) -> None:
        if chunks:
            self._hear(self.decoder.feed_all(chunks))

    def _finish(self, end: Happening) -> None:
        self._result.ended = end.reason  # type: ignore[assignment] # one of its three words
        self._result.note = end.note
        if self._handover.passed_by_bytes:
            passed = f"{self._handover.passed_by_bytes:,} bytes"
            self._result.problems.append(f"screens and holes could not keep up with {passed}")
        if self._reading.dropped:
            self._result.problems.append("bytes had to be dropped: the disk refused for too long")
        if self.source.can_go_on and self._result.ended == "stopped":
            return  # a resumed recording goes on in the middle of this line
        whole = self.source.is_file and self._result.ended == "source ended"
        self.journal.note({"event": "ended", "last_line_whole": whole})
        self._hear(self.decoder.finish(last_line_whole=whole))

    def _break(self, gap: Happening) -> None:
        self._result.breaks.append(gap.reason)
        self._hear(self.decoder.interrupt(gap.reason, new_session=gap.new_session, anew=gap.anew))
        if gap.note and self.link.broke():
            self._stale(True, f"The link broke: {gap.note}")

    # -- looking at link and disk ---------------------------------------------------------------

    def _hear_link(self, at_s: float) -> None:
        if self.link.heard(at_s):
            self._stale(False, "The link speaks again.")

    def _look(self) -> None:
        now_s = time.monotonic()
        if self.alarm is not None:
            self._tell(self.alarm.check(now_s))
        if not self.source.is_file and self.link.check(now_s):
            nominal_s = self.link.nominal_interval_s
            usual = "" if nominal_s is None else f", usually they come every {nominal_s:.2g} s"
            silent_s = self.link.silent_s(now_s)
            self._stale(True, f"Nothing came in for {silent_s:.1f} s{usual}: the link is stale. "
                        "Is the source still sending?")  # fmt: skip
        trouble = self.journal.trouble
        if (trouble is not None) != self._disk_trouble:
            self._disk_trouble = trouble is not None
            text = trouble or "The journal is written again; what waited in memory is on the disk."
            self._trouble(Trouble("disk", self._disk_trouble, text))
        if self._handover.passed_by_bytes and not self._behind:
            self._behind = True
            text = (
                "Screens and holes cannot keep up with the stream. The journal has all of it; "
                "holes are found again from it at the end."
            )
            self._trouble(Trouble("behind", True, text))

    def _stale(self, active: bool, text: str) -> None:
        self._trouble(Trouble("link", active, text))
        if self.alarm is None or self.alarm.stale_after_s is None:
            self._tell([AlarmEvent("stale", active, self.decoder.newest_s, None, text)])

    # -- telling --------------------------------------------------------------------------------

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

    def _trouble(self, trouble: Trouble) -> None:
        self._result.troubles.append(trouble)
        for listener in tuple(self._trouble_listeners):
            try:
                listener(trouble)
            except Exception as error:  # noqa: BLE001 - no listener may end a recording
                self._trouble_listeners.remove(listener)
                self._result.problems.append(f"a trouble listener failed: {error!r}")

"""One recording in this process: what listens to the recorder, and how it is wrapped up."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace

from trials.errors import HolewiseError
from trials.holes import Hole, to_frame
from trials.logger import (
    Alarm,
    AlarmEvent,
    Batch,
    Decoder,
    HoleAlarm,
    Journal,
    Recorder,
    RecordingResult,
    Source,
    Trouble,
)
from trials.model import Run, Trial
from trials.store import Recording, TraceWriter
from trials.workbench._alarm_board import AlarmBoard
from trials.workbench._beside import Beside
from trials.workbench._derive import Derivation
from trials.workbench._rebuild import derive_again, store_derived
from trials.workbench._shop import Shop, expected_cut_s
from trials.workbench._values import HoleNow, OnProgress, Progress, RecordingSummary

_TELL_EVERY_S = 0.1  # how often a screen is told, wall clock
_LOOK_EVERY_S = (1.0, 2.0)  # how often holes not settled yet are counted, wall clock
_HAND_ON_EVERY_S, _HAND_ON_SAMPLES = 0.2, 4096  # to the thread that finds holes: waking it costs
_LOOK_SHARE = 0.03  # of a processor's time, as long as the interval allows it
_COUNT_EVERY_S = 0.5  # the same in time of the trace, when an end was asked for by holes
_STORE_EVERY_S = 5.0  # how often the store is told how many holes there are, wall clock
_RATE_OVER_S = 2.0
_MOST_PEAKS = 400
_COUNTED_WITHIN_S = 2.0
_ENDED = {
    "stopped": "it was stopped",
    "source ended": "the source ended",
    "link lost": "the link was lost",
}


@dataclass(frozen=True, slots=True)
class _Seen:
    """What the newest look at the holes gave."""

    holes: int = 0
    peaks_pct: tuple[float, ...] = ()
    current: HoleNow | None = None


class Session:
    """Hears what is recorded, finds holes, tells screen and store, and finishes the run.

    The recording thread only hands batches on: holes are found in a thread beside it and stored in
    another, so that neither a slow look at the trace nor a busy store holds up a byte. Whatever
    fails here, the journal goes on; the end makes up for it from the journal.
    """

    def __init__(
        self,
        shop: Shop,
        trial: Trial,
        run: Run,
        recording: Recording,
        derivation: Derivation,
        decoder: Decoder,
        journal: Journal,
        board: AlarmBoard,
        on_progress: OnProgress | None,
        max_holes: int | None,
        stop: threading.Event | None,
        *,
        source_waits: bool,
    ) -> None:
        self._shop = shop
        self._trial = trial
        self._run = run
        self._recording = recording
        self._derivation = derivation
        self._decoder = decoder
        self._board = board
        self._on_progress = on_progress
        self._max_holes = max_holes
        self._source_waits = source_waits
        self.stop = Stop(stop)
        self.alarm = Watch(trial.load_limit_pct, self._tick)
        self._journal = journal
        self._recorder: Recorder | None = None
        self._hole_alarm = HoleAlarm(
            trial.load_limit_pct, expected_cut_s=expected_cut_s(trial, run)
        )
        self._derive_trouble: str | None = None
        self._store_trouble: str | None = None
        self._told_trouble: str | None = None
        self._unstored: list[Hole] = []
        self._heard: list[Batch] = []  # and not yet handed on
        self._heard_samples = 0
        self._handed_on_at = 0.0
        self._seen = _Seen()
        self._newest_s = 0.0
        self._newest_load_pct: float | None = None
        self._counts: deque[tuple[float, int]] = deque()
        self._asked_at_s = 0.0
        self._looked_at = 0.0
        self._look_every_s = _LOOK_EVERY_S[0]
        self._told_at = 0.0
        self._stored_at = 0.0
        self._storing = False
        self._gaps = 0
        self._whole = True  # false once the derivation has missed something
        self._problems: list[str] = []
        self._deriver = Beside("holes", self._derivation_failed, tick=self._look_now_and_then)
        self._storer = Beside("store", self._storing_failed)

    # -- in the thread that records -------------------------------------------------------------

    def joins(self, recorder: Recorder) -> None:
        """The recorder that this session listens to; it knows how the link is."""
        self._recorder = recorder

    def catch_up(self, batch: Batch) -> None:
        """Take what the journal already holds; its holes are stored again at the end."""
        self._guarded(lambda: self._derivation.take(batch))

    def caught_up(self) -> None:
        """What was recorded before is known; its holes raise no alarm again."""
        self._gaps = len(self._derivation.gaps)

        def know() -> None:
            holes = self._derivation.holes
            self._hole_alarm.look(holes, float("inf"), silent=True)
            self._see(holes)

        self._guarded(know)

    def _guarded(self, work: Callable[[], object]) -> None:
        """Whatever fails in finding holes, the recording goes on."""
        if not self._whole:
            return
        try:
            work()
        except Exception as error:  # noqa: BLE001 - told, and made up for at the end
            self._derivation_failed(error)

    def hear(self, batch: Batch) -> None:
        """Take new samples, and hand them on a few times a second."""
        if len(batch):
            self._newest_s = float(batch.time_s[-1])
            self._newest_load_pct = float(batch.load_pct[-1])
        self._gaps += len(batch.gaps)
        if not self._whole:
            return
        self._heard.append(batch)
        self._heard_samples += len(batch)
        if self._heard_samples >= _HAND_ON_SAMPLES:
            self._hand_on()
        asked = self._max_holes is not None
        if asked and self._newest_s - self._asked_at_s >= _COUNT_EVERY_S:
            self._asked_at_s = self._newest_s
            self._hand_on()
            self._deriver.put(self._look)
            self._deriver.done(_COUNTED_WITHIN_S)

    def _hand_on(self) -> None:
        self._handed_on_at = time.monotonic()
        heard, self._heard, self._heard_samples = self._heard, [], 0
        if not heard or not self._whole:
            return
        if not self._deriver.put(lambda: self._derive(heard), wait=self._source_waits):
            self._miss("finding holes fell behind; the end makes up for it")

    def hear_trouble(self, trouble: Trouble) -> None:
        """A disk that refuses is an alarm; the others are told as they are."""
        if trouble.kind == "disk":
            self._board.tell(AlarmEvent("disk", trouble.active, self._newest_s, None, trouble.text))

    def _tick(self) -> None:
        """A few times a second, also while nothing comes."""
        for note in self._board.notes():
            self._journal.note(note)
        if time.monotonic() - self._handed_on_at >= _HAND_ON_EVERY_S:
            self._hand_on()
        self.tell()

    def tell(self) -> None:
        """Tell the screen, not too often. A screen that fails is told no more."""
        now = time.monotonic()
        if self._on_progress is None or now - self._told_at < _TELL_EVERY_S:
            return
        self._told_at = now
        self._tell(self._progress(now))

    def _tell(self, progress: Progress) -> None:
        if self._on_progress is None:
            return
        self._told_trouble = progress.trouble or self._told_trouble
        try:
            self._on_progress(progress)
        except Exception as error:  # noqa: BLE001 - no screen may end a recording
            self._on_progress = None
            self._problems.append(f"the screen failed: {error!r}")

    def _progress(self, now: float) -> Progress:
        counters = self._decoder.counters
        self._counts.append((now, counters.samples))
        while now - self._counts[0][0] > _RATE_OVER_S and len(self._counts) > 2:
            self._counts.popleft()
        since, count = self._counts[0]
        gap = self._decoder.open_gap
        link = None if self._recorder is None else self._recorder.link
        return Progress(
            counters.samples, counters.rejected, self._seen.holes,
            newest_load_pct=self._newest_load_pct, over_limit=self.alarm.over_limit,
            trouble=self._derive_trouble or self._store_trouble or self._board.trouble,
            peaks_pct=self._seen.peaks_pct, current=self._seen.current, time_s=self._newest_s,
            gaps=self._gaps, broken=None if gap is None else gap.reason,
            rate_per_s=(counters.samples - count) / (now - since) if now > since else 0.0,
            silent_s=None if link is None else link.silent_s(now),
            stale=link is not None and link.stale,
            alarms=self._board.standing,
        )  # fmt: skip

    # -- in the thread that finds holes ---------------------------------------------------------

    def _derive(self, batches: list[Batch]) -> None:
        if not self._whole:
            return
        self._unstored += self._derivation.take(Batch.join(batches))
        self._look_now_and_then()

    def _look_now_and_then(self) -> None:
        if self._whole and time.monotonic() - self._looked_at >= self._look_every_s:
            self._look()

    def _look(self, *, final: bool = False) -> None:
        if not self._whole:
            return
        begun = time.thread_time()
        holes = self._derivation.holes
        self._see(holes)
        starts = {hole.number: hole.start_s for hole in holes}
        newest_s = float("inf") if final else self._derivation.newest_s
        for event in self._hole_alarm.look(holes, newest_s):
            if event.kind == "over_limit" and event.hole is not None:
                start_s = starts[event.hole]
                if self._board.told_between(start_s - 1.0, event.time_s + 1.0):
                    continue
            self._board.tell(event)
        self._looked_at = time.monotonic()
        least, most = _LOOK_EVERY_S
        self._look_every_s = min(most, max(least, (time.thread_time() - begun) / _LOOK_SHARE))
        if self._max_holes is not None and len(holes) >= self._max_holes:
            self.stop.set()
        if not self._storing and self._looked_at - self._stored_at >= _STORE_EVERY_S:
            self._stored_at = self._looked_at
            self._storing = True
            settled, self._unstored = self._unstored, []
            self._storer.put(lambda: self._store_holes(settled, len(holes)))

    def _see(self, holes: list[Hole]) -> None:
        now = self._derivation.current
        current = None
        if now is not None:
            elapsed_s = max(0.0, self._derivation.newest_s - now.start_s)
            current = HoleNow(now.number, elapsed_s, now.peak_pct)
        peaks = tuple(hole.peak_pct for hole in holes[-_MOST_PEAKS:])
        self._seen = _Seen(len(holes), peaks, current)

    def _derivation_failed(self, error: Exception) -> None:
        self._miss(str(error) if isinstance(error, HolewiseError) else repr(error))

    def _miss(self, why: str) -> None:
        self._whole = False
        self._derive_trouble = why

    # -- in the thread that stores --------------------------------------------------------------

    def _store_holes(self, settled: list[Hole], drilled: int) -> None:
        try:
            self._shop.store.add_holes(
                self._trial.name, self._run.number, self._recording.uuid,
                to_frame(settled), drilled,
            )  # fmt: skip
        finally:
            self._storing = False
        self._store_trouble = None

    def _storing_failed(self, error: Exception) -> None:
        # All of them are stored again at the end; the next try may leave a hole in between out.
        self._store_trouble = str(error)

    # -- the end --------------------------------------------------------------------------------

    def give_up(self) -> None:
        """End the threads when the recording failed."""
        self._deriver.close()
        self._storer.close()

    def finish(self, result: RecordingResult, writer: TraceWriter) -> RecordingSummary:
        """Store what the recording gave."""
        self._hand_on()
        self._deriver.close()
        self._storer.close()
        ended = _ENDED[result.ended]
        if self._max_holes is not None and self._seen.holes >= self._max_holes:
            ended = f"{self._max_holes} holes were drilled"
        if result.note:
            ended += f": {result.note}"
        if self._whole and not result.problems:
            try:
                self._look(final=True)
            except HolewiseError as error:
                self._derivation_failed(error)
        last = self._progress(time.monotonic())
        if last.trouble is not None and last.trouble != self._told_trouble:
            self._tell(last)
        if self._whole and not result.problems:
            derived = self._derivation.finish()
            peaks = tuple(float(peak) for peak in derived.holes["peak_pct"][-_MOST_PEAKS:])
            last = replace(last, peaks_pct=peaks)
            summary = store_derived(
                self._shop, self._trial, self._run, self._recording, derived,
                self._decoder.counters.to_dict(), ended,
            )  # fmt: skip
        else:
            writer.discard()
            summary = derive_again(self._shop, self._trial, self._run, self._recording, ended)
        self._tell(replace(last, holes=summary.holes, current=None, trouble=None))
        return replace(summary, alarms=self._board.standing_at_the_end())


class Watch(Alarm):
    """The alarm of the recorder, which also asks it while nothing comes: a clock for the rest."""

    def __init__(self, limit_pct: float, tick: Callable[[], None]) -> None:
        super().__init__(limit_pct)
        self._tick = tick

    def check(self, now_s: float) -> list[AlarmEvent]:
        events = super().check(now_s)
        self._tick()
        return events


class Opened:
    """A source that is open already, so that nothing is stored for one that cannot be opened."""

    def __init__(self, source: Source) -> None:
        self._source = source
        self._at_hand = True
        self.name = source.name
        self.is_file = source.is_file
        self.can_go_on = source.can_go_on
        self.first_line_whole = source.first_line_whole

    def open(self) -> None:
        if not self._at_hand:
            self._source.open()
        self._at_hand = False

    def read(self, timeout_s: float) -> bytes | None:
        return self._source.read(timeout_s)

    def land_in(self, memory: memoryview | None) -> None:
        self._source.land_in(memory)

    def fileno(self) -> int | None:
        return self._source.fileno()

    def close(self) -> None:
        self._source.close()

    def describe(self) -> dict[str, str]:
        return self._source.describe()

    def go_on_from(self, byte_count: int) -> None:
        self._source.go_on_from(byte_count)

    def go_on_behind(self, tail: bytes, /) -> bool:
        return self._source.go_on_behind(tail)


class Stop(threading.Event):
    """Set by the recording itself, or by whoever started it."""

    def __init__(self, asked: threading.Event | None) -> None:
        super().__init__()
        self._asked = asked or threading.Event()

    def is_set(self) -> bool:
        return super().is_set() or self._asked.is_set()

    def wait(self, timeout: float | None = None) -> bool:
        # What the recording sets itself is seen after this wait, which is short.
        return super().is_set() or self._asked.wait(timeout)

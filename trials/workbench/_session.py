"""One recording in this process: what listens to the recorder, and how it is wrapped up."""

from __future__ import annotations

import threading
import time
from dataclasses import replace

from trials.errors import HolewiseError
from trials.holes import Hole, to_frame
from trials.logger import Alarm, Batch, Decoder, RecordingResult, Source
from trials.model import Run, Trial
from trials.store import Recording, TraceWriter
from trials.workbench._derive import Derivation
from trials.workbench._rebuild import derive_again, store_derived
from trials.workbench._shop import Shop
from trials.workbench._values import OnProgress, Progress, RecordingSummary

_TELL_EVERY_S = 0.25  # how often a screen is told, wall clock
_COUNT_EVERY_S = 0.5  # how often holes not settled yet are counted, time of the trace
_STORE_EVERY_S = 5.0  # how often the store is told how many holes there are, wall clock
_ENDED = {
    "stopped": "it was stopped",
    "source ended": "the source ended",
    "link lost": "the link was lost",
}


class Session:
    """Hears what is recorded, counts holes, tells screen and store, and finishes the run.

    Whatever fails here, the journal goes on; the end makes up for it from the journal.
    """

    def __init__(
        self,
        shop: Shop,
        trial: Trial,
        run: Run,
        recording: Recording,
        derivation: Derivation,
        decoder: Decoder,
        on_progress: OnProgress | None,
        max_holes: int | None,
        stop: threading.Event | None,
    ) -> None:
        self._shop = shop
        self._trial = trial
        self._run = run
        self._recording = recording
        self._derivation = derivation
        self._decoder = decoder
        self._on_progress = on_progress
        self._max_holes = max_holes
        self.stop = Stop(stop)
        self.alarm = Alarm(trial.load_limit_pct)
        self._trouble: str | None = None
        self._unstored: list[Hole] = []
        self._holes = 0
        self._holes_told = -1
        self._counted_at_s = 0.0
        self._told_at = 0.0
        self._stored_at = 0.0
        self._whole = True  # false once the derivation has missed something

    def catch_up(self, batch: Batch) -> None:
        """Take what the journal already holds; its holes are stored again at the end."""
        self._derivation.take(batch)

    def hear(self, batch: Batch) -> None:
        """Take new samples. Whatever fails here, the journal goes on; the end makes up for it."""
        if not self._whole:
            return
        try:
            self._unstored += self._derivation.take(batch)
        except HolewiseError as error:
            self._whole = False
            self._trouble = str(error)
            return
        newest_s = self._derivation.newest_s
        now = time.monotonic()
        asked = self._max_holes is not None and newest_s - self._counted_at_s >= _COUNT_EVERY_S
        if asked or now - self._stored_at >= _STORE_EVERY_S:
            self._counted_at_s = newest_s
            self._holes = len(self._derivation.holes)
        if self._max_holes is not None and self._holes >= self._max_holes:
            self.stop.set()
        if now - self._stored_at >= _STORE_EVERY_S:
            self._stored_at = now
            self._store_holes()

    def _store_holes(self) -> None:
        if not self._unstored and self._holes == self._holes_told:
            return
        try:
            self._shop.store.add_holes(
                self._trial.name, self._run.number, self._recording.uuid,
                to_frame(self._unstored), self._holes,
            )  # fmt: skip
        except HolewiseError as error:
            self._trouble = str(error)
        else:
            self._unstored.clear()
            self._holes_told = self._holes
            self._trouble = None

    def tell(self, _batch: Batch) -> None:
        """Tell the screen, not too often."""
        now = time.monotonic()
        if self._on_progress is None or now - self._told_at < _TELL_EVERY_S:
            return
        self._told_at = now
        self._on_progress(self._progress())

    def _progress(self) -> Progress:
        counters = self._decoder.counters
        return Progress(
            counters.samples, counters.rejected, self._holes,
            newest_load_pct=self._derivation.newest_load_pct, over_limit=self.alarm.over_limit,
            trouble=self._trouble,
        )  # fmt: skip

    def finish(self, result: RecordingResult, writer: TraceWriter) -> RecordingSummary:
        """Store what the recording gave."""
        ended = _ENDED[result.ended]
        if self._max_holes is not None and self._holes >= self._max_holes:
            ended = f"{self._max_holes} holes were drilled"
        if result.note:
            ended += f": {result.note}"
        if self._whole and not result.problems:
            derived = self._derivation.finish()
            summary = store_derived(
                self._shop, self._trial, self._run, self._recording, derived,
                self._decoder.counters.to_dict(), ended,
            )  # fmt: skip
        else:
            writer.discard()
            summary = derive_again(self._shop, self._trial, self._run, self._recording, ended)
        if self._on_progress is not None:
            self._on_progress(replace(self._progress(), holes=summary.holes, trouble=None))
        return summary


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

    def close(self) -> None:
        self._source.close()

    def describe(self) -> dict[str, str]:
        return self._source.describe()

    def go_on_from(self, byte_count: int) -> None:
        self._source.go_on_from(byte_count)


class Stop(threading.Event):
    """Set by the recording itself, or by whoever started it."""

    def __init__(self, asked: threading.Event | None) -> None:
        super().__init__()
        self._asked = asked or threading.Event()

    def is_set(self) -> bool:
        return super().is_set() or self._asked.is_set()

    def wait(self, timeout: float | None = None) -> bool:
        # Only the recording's own thread waits here, so only the other event can come.
        return super().is_set() or self._asked.wait(timeout)

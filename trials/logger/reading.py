"""The reading side of a recording: source, journal, link that breaks and comes back."""

from __future__ import annotations

import threading
import time

from trials.errors import SourceError
from trials.logger.handover import Handover, Happening
from trials.logger.journal import Journal
from trials.logger.keeper import Keeper
from trials.logger.readings import Arrival
from trials.logger.sources.protocol import GapError, Source

READ_TIMEOUT_S = 0.1
GATHER_S = 0.040  # of a stream, while a keeper would save it …
GATHER_UNTIMED_S = 0.010  # … shorter where the arrival is all that tells the time of a line …
_GATHER_BYTES = 2048  # … unless reads are as large as this without waiting
_FIRST_WAIT_S, LONGEST_WAIT_S = 0.1, 1.0


class Reading:
    """Reads a source into a journal, in a thread of its own, and hands over what it read.

    Attributes:
        dropped: whether the journal could not keep something.
    """

    def __init__(
        self,
        source: Source,
        journal: Journal,
        handover: Handover,
        *,
        reconnect: bool,
        longest_wait_s: float,
        keep: bool,
        gather_s: float = GATHER_S,
    ) -> None:
        self._source = source
        self._journal = journal
        self._handover = handover
        self._reconnect = reconnect
        self._longest_wait_s = longest_wait_s
        self._keep = keep
        self._gather_s = gather_s
        self._keeper: Keeper | None = None
        self._halt = threading.Event()
        self._failure: Exception | None = None
        self.dropped = False

    def open(self) -> None:
        """Open the source.

        Raises:
            SourceError: it cannot be opened.
        """
        self._source.open()
        if self._keep:
            lock = self._journal.lock_descriptor
            self._keeper = Keeper.start(self._journal.folder, lock, self._source.fileno())
            self._source.land_in(None if self._keeper is None else self._keeper.landing.view)

    def close(self) -> None:
        """Close the source."""
        self._source.land_in(None)
        if self._keeper is not None:
            self._keeper.dismiss()
            self._keeper = None
        self._source.close()

    @property
    def gathers(self) -> bool:
        """Whether lines come in gulps already."""
        return self._keeper is not None

    def stop(self) -> None:
        """End the thread soon."""
        self._halt.set()

    def raise_failure(self) -> None:
        """Raise what ended the thread, if anything but the source did."""
        if self._failure is not None:
            raise self._failure

    def run(self, stop: threading.Event) -> None:
        """Read until the source ends, the link is lost for good, or one of the events is set."""
        try:
            end = self._loop(stop)
        except Exception as error:  # noqa: BLE001 - raised again where the recording was started
            self._failure = error
            end = Happening("end", "link lost", note=str(error))
        self._handover.tell(end)

    def _loop(self, stop: threading.Event) -> Happening:
        gather_until = 0.0
        while not (stop.is_set() or self._halt.is_set()):
            if self._keeper is not None:
                time.sleep(max(0.0, gather_until - time.monotonic()))
                self._keeper.landing.expect(self._journal.data_records)
            try:
                chunk = self._source.read(READ_TIMEOUT_S)
                lost = "the other side closed the link"
            except GapError as cut:
                self._note_gap(str(cut), anew=cut.anew)
                continue
            except SourceError as error:
                chunk, lost = None, str(error)
            if chunk:
                if self._keeper is not None:
                    self._keeper.landing.landed(len(chunk))
                arrival = Arrival.now()
                gather_until = 0.0
                if len(chunk) < _GATHER_BYTES:
                    gather_until = time.monotonic() + self._gather_s
                self.dropped = not self._journal.append(chunk, arrival) or self.dropped
                self._handover.put(chunk, arrival)
            elif chunk is None:
                if self._reconnect and self._connect_again(lost, stop):
                    continue
                if stop.is_set() or self._halt.is_set():
                    break
                if self._source.is_file:
                    return Happening("end", "source ended")
                return Happening("end", "link lost", note=lost)
        return Happening("end", "stopped")

    def _note_gap(self, reason: str, *, anew: bool = False, note: str = "") -> None:
        gap = {"event": "gap", "reason": reason, "new_session": False}
        self._journal.note({**gap, "anew": True} if anew else gap)
        self._handover.tell(Happening("gap", reason, note=note, anew=anew))

    def _connect_again(self, lost: str, stop: threading.Event) -> bool:
        """Note the break and try until the link is there again; False when stopped meanwhile."""
        self._note_gap(lost, note=lost)
        self.close()
        wait_s = _FIRST_WAIT_S
        while not stop.wait(wait_s) and not self._halt.is_set():
            try:
                self.open()
            except SourceError:
                wait_s = min(2 * wait_s, self._longest_wait_s)
            else:
                self._handover.tell(Happening("back"))
                return True
        return False

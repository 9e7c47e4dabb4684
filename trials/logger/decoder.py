"""Bytes to samples. The same bytes give the same samples however they are cut into chunks."""

from __future__ import annotations

import codecs
from collections.abc import Sequence

import numpy as np

from trials.errors import InputError
from trials.logger.line_format import LineFormat
from trials.logger.lines import DelimitedReader, KeyValueReader, LineReader, Rows, ShdrReader
from trials.logger.mapping import Mapping
from trials.logger.readings import (
    RAW_KEPT_BYTES,
    Arrival,
    Batch,
    ClockStep,
    Counters,
    Flags,
    Floats,
    Gap,
    Ints,
    LineArrivals,
    Reject,
)
from trials.logger.time_axis import TimeAxis

LONGEST_LINE_BYTES = 65_536
SILENCE_S = 5.0  # common practice, no source: longer than any tool change hides in a load trace
_TIME_DIVISOR = {"s": 1.0, "ms": 1e3, "iso": 1e9}


class Decoder:
    """Turns the bytes of one recording into samples.

    ``feed`` takes chunks of any size, ``finish`` ends the recording. Memory is bounded: one
    unfinished line of at most 64 KiB is kept, longer ones are rejected. Lines end with LF, CR LF
    or CR, also mixed.

    Time: with a time field (or SHDR), seconds since the first sample by the source's own clock,
    depending on nothing but the bytes; only of a live link, arrivals tell a leap of the source's
    clock from silence. Without, the arrival of the chunk in which the line ended.

    Args:
        line_format: how lines are written.
        mapping: which field is what.
        first_line_whole: False when listening may have started in the middle of a line (a serial
            port): the first line is then rejected, unless it is the header or SHDR (whose time
            stamp shows whether it is whole).
        live: lines came in as they were written, and `feed` is told when.

    Attributes:
        counters: what was seen so far.
        newest_s: time of the newest sample, s.
        open_gap: the gap we are in, or None.

    Raises:
        InputError: from ``feed``, when the header has not the mapped columns or units.
    """

    def __init__(
        self,
        line_format: LineFormat,
        mapping: Mapping,
        *,
        first_line_whole: bool = True,
        live: bool = False,
    ) -> None:
        self.line_format = line_format
        self.mapping = mapping
        self.counters = Counters()
        self.first_line_whole = first_line_whole
        self._reader: LineReader = _reader(line_format, mapping, self.counters)
        self._own_clock = line_format.kind == "shdr" or mapping.time is not None
        if line_format.kind == "shdr":
            divisor = 1e9
        elif mapping.time is not None:
            divisor = _TIME_DIVISOR[mapping.time.unit]
        else:
            divisor = 1.0 if mapping.interval_s is not None else 1e9
        self._axis = TimeAxis(divisor)
        self._live = live and self._own_clock
        silence = None if line_format.kind == "shdr" else SILENCE_S
        self._silence_s = mapping.gap_after_s if mapping.gap_after_s is not None else silence
        self._wide = None
        if line_format.encoding.startswith("utf-16"):
            self._wide = codecs.getincrementaldecoder(line_format.encoding)("replace")
        self._pending = bytearray()
        self._after_cr = False  # the last chunk ended with CR: an LF that follows belongs to it
        self._too_long = False  # inside a line over the limit
        self._line = 1
        self._doubt_line = self._doubtful_from(1)
        self._gap_start: tuple[float, str] | None = None
        self._last_arrival: Arrival | None = None
        self._session_starts = False

    @property
    def needs_arrival(self) -> bool:
        """Whether times come from the arrival of the bytes."""
        return not self._own_clock and self.mapping.interval_s is None

    @property
    def newest_s(self) -> float:
        return self._axis.newest_s

    @property
    def open_gap(self) -> Gap | None:
        if self._gap_start is None:
            return None
        return Gap(self._gap_start[0], self._axis.newest_s, self._gap_start[1])

    # -- bytes to lines -------------------------------------------------------------------------

    def feed(self, chunk: bytes, arrival: Arrival | None = None) -> Batch:
        """Samples of the lines that end in this chunk.

        Args:
            chunk: any bytes.
            arrival: when they came in; needed where lines carry no time.
        """
        return self.feed_all(((chunk, arrival),))

    def feed_all(self, chunks: Sequence[tuple[bytes, Arrival | None]]) -> Batch:
        """The same as `feed` with one after the other, but quicker."""
        texts: list[bytes] = []
        arrived = LineArrivals(self._line)
        for chunk, arrival in chunks:
            self.counters.bytes += len(chunk)
            text = self._plain(chunk)
            arrived.add(0 if arrival is None else text.count(b"\n"), arrival)
            texts.append(text)
        return self._text(texts[0] if len(texts) == 1 else b"".join(texts), arrived)

    def _plain(self, chunk: bytes) -> bytes:
        """UTF-8 (or Latin-1) with line feeds alone as line ends."""
        if self._wide is not None:
            chunk = self._wide.decode(chunk).encode("utf-8")
        if self._after_cr and chunk:
            chunk = chunk.removeprefix(b"\n")
            self._after_cr = False
        if b"\r" in chunk:
            self._after_cr = chunk.endswith(b"\r")
            chunk = chunk.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
        return chunk

    def _text(self, chunk: bytes, arrived: LineArrivals) -> Batch:
        end = chunk.rfind(b"\n")
        if end < 0:
            return self._keep(chunk)
        if self._too_long:  # the rest of the long line ends here; an empty line stands for it
            start = chunk.find(b"\n")
            self._too_long = False
        else:
            start = 0
        block = bytes(self._pending) + chunk[start:end] if self._pending else chunk[start:end]
        self._pending.clear()
        taken = self._take(block, arrived)
        kept = self._keep(chunk[end + 1 :])
        return Batch.join((taken, kept)) if kept else taken

    def _keep(self, rest: bytes) -> Batch:
        """Keep an unfinished line, within the limit."""
        if self._too_long or not rest:
            return Batch()
        room = LONGEST_LINE_BYTES + 1 - len(self._pending)
        self._pending += rest[:room]
        if len(self._pending) <= LONGEST_LINE_BYTES:
            return Batch()
        reject = self._long_line(self._line, bytes(self._pending[:RAW_KEPT_BYTES]))
        self._pending.clear()
        self._too_long = True
        return self._count(Batch(rejects=(reject,)))

    @staticmethod
    def _long_line(number: int, raw: bytes) -> Reject:
        return Reject(number, raw[:RAW_KEPT_BYTES], "line too long", "", "",
                      f"at most {LONGEST_LINE_BYTES} bytes in a line",
                      "Is this a text with line ends?")  # fmt: skip

    def _without_long_lines(self, block: bytes) -> tuple[bytes, list[Reject]]:
        if len(block) <= LONGEST_LINE_BYTES:
            return block, []
        at = 0  # from the last line end within reach to the next: no line between is too long
        while len(block) - at > LONGEST_LINE_BYTES:
            end = block.rfind(b"\n", at, at + LONGEST_LINE_BYTES + 1)
            if end < 0:
                break
            at = end + 1
        else:
            return block, []
        lines = block.split(b"\n")
        rejects = []
        for index, line in enumerate(lines):
            if len(line) > LONGEST_LINE_BYTES:
                rejects.append(self._long_line(self._line + index, line))
                lines[index] = b""
        return b"\n".join(lines), rejects

    # -- lines to samples -----------------------------------------------------------------------

    def _take(self, block: bytes, arrived: LineArrivals) -> Batch:
        block, rejects = self._without_long_lines(block)
        first = self._line
        if first == 1:
            block = block.removeprefix(codecs.BOM_UTF8)
        lines = block.count(b"\n") + 1
        self._line += lines
        self.counters.lines += lines
        if self._doubt_line == first:
            line, _, after = block.partition(b"\n")
            raw, why = line[:RAW_KEPT_BYTES], "may have begun before we listened"
            rejects.append(Reject(first, raw, why, allowed="whole lines; the next one counts"))
            block = b"\n" + after if first + 1 < self._line else b""
            self._doubt_line = 0
        rows = self._reader.read(block, first, lines)
        rejects += rows.rejects
        rejects += self._outside_range(rows, block, first)
        batch = self._place(rows, arrived)
        if rejects:
            rejects.sort(key=lambda reject: reject.line_number)
            batch = Batch.join((batch, Batch(rejects=tuple(rejects))))
        return self._count(batch)

    def _outside_range(self, rows: Rows, block: bytes, first: int) -> list[Reject]:
        """Turn loads to percent and drop those that nobody believes."""
        if not len(rows):
            return []
        factor = self.mapping.load_factor
        if factor != 1.0:
            rows.load = rows.load * factor
        if self.mapping.depth is not None and self.mapping.depth.unit == "in":
            rows.depth = rows.depth * 25.4
        low, high = self.mapping.load_range_pct
        if rows.load.min() >= low and rows.load.max() <= high:
            return []
        bad = (rows.load < low) | (rows.load > high)
        if not bad.any():
            return []
        lines = block.split(b"\n")
        rejects = [
            Reject(
                number, lines[number - first][:RAW_KEPT_BYTES], "outside the allowed range", "load",
                f"{load:g} %", f"{low:g} to {high:g} % of the rated load",
                "Is the unit right? The range is part of the mapping (range=0..300).",
            )
            for number, load in zip(rows.line[bad].tolist(), rows.load[bad].tolist(), strict=True)
        ]  # fmt: skip
        rows.keep(~bad)
        return rejects

    def _times(self, rows: Rows, arrived: LineArrivals) -> tuple[Floats | Ints, Ints | None]:
        """Times in the source's unit, and arrivals where they tell more."""
        if rows.time is not None:
            arrivals = None
            if self._live and arrived.known:
                self._comes(arrived, rows)
                arrivals = arrived.of(rows.line)
            return rows.time, arrivals
        if self.mapping.interval_s is not None:
            return np.asarray(rows.line * self.mapping.interval_s, dtype=np.float64), None
        if not arrived.known:
            raise ValueError("lines without a time field need the arrival of their bytes")
        self._comes(arrived, rows)
        return arrived.of(rows.line), None

    def _comes(self, arrived: LineArrivals, rows: Rows) -> None:
        """After a restart the monotonic clock means nothing to the old one: go on by UTC."""
        if self._session_starts:
            first = arrived.at(int(rows.line[0]))
            self._axis.forget_arrivals()
            if not self._own_clock and self._last_arrival is not None and self._axis.started:
                away_s = max(0.0, (first.utc_ns - self._last_arrival.utc_ns) / 1e9)
                self._axis.rebase(first.monotonic_ns, self._axis.newest_s + away_s)
        self._session_starts = False
        self._last_arrival = arrived.at(int(rows.line[-1]))

    def _place(self, rows: Rows, arrived: LineArrivals) -> Batch:
        missing = np.isnan(rows.load)
        if not self._axis.started and missing.any():  # nothing can be missed before the first
            have = np.flatnonzero(~missing)
            mask = np.arange(len(rows)) >= (have[0] if len(have) else len(rows))
            rows.keep(mask)
            missing = missing[mask]
        if not len(rows):
            return Batch()
        before_s = self._axis.newest_s if self._axis.started else None
        times, moved = self._axis.place(*self._times(rows, arrived))
        lines = rows.line
        steps = tuple(
            ClockStep(int(lines[index]), float(times[index]), back_s, rebased)
            for index, back_s, rebased in moved
        )
        gaps = self._gaps(times, missing, before_s, {i: b for i, b, large in moved if large})
        here = ~missing
        if missing.any():
            rows.keep(here)
            times = times[here]
        return Batch(times, rows.load, rows.rpm, rows.depth, gaps, (), steps, rows.cycle)

    def _gaps(
        self, times: Floats, missing: Flags, before_s: float | None, rebased: dict[int, float]
    ) -> tuple[Gap, ...]:
        start_s = float(times[0]) if before_s is None else before_s
        quick = self._silence_s is None or float(times[-1]) - start_s <= self._silence_s
        if quick and self._gap_start is None and not rebased and not missing.any():
            return ()
        previous = np.concatenate(([start_s], times[:-1]))
        events = set(rebased) | set(np.flatnonzero(missing).tolist())
        if self._silence_s is not None:
            events |= set(np.flatnonzero(times - previous > self._silence_s).tolist())
        if self._gap_start is not None:
            events.add(0)
        gaps: list[Gap] = []
        for index in sorted(events | {index + 1 for index in events if index + 1 < len(times)}):
            at, before = float(times[index]), float(previous[index])
            if index in rebased:
                gaps.append(Gap(before, at, _clock_words(rebased[index])))
            if missing[index]:
                if self._gap_start is None:
                    self._gap_start = (at, "value not available, said by the source")
            elif self._gap_start is not None:
                gaps.append(Gap(self._gap_start[0], at, self._gap_start[1]))
                self._gap_start = None
            elif (
                index not in rebased
                and self._silence_s is not None
                and at - before > self._silence_s
            ):
                gaps.append(Gap(before, at, f"no values for {at - before:.1f} s"))
        return tuple(gaps)

    def _count(self, batch: Batch) -> Batch:
        self.counters.samples += len(batch)
        self.counters.rejects.update(reject.kind for reject in batch.rejects)
        for step in batch.clock_steps:
            if step.rebased:
                self.counters.clock_steps += 1
            else:
                self.counters.clock_clamps += 1
        return batch

    # -- interruptions and the end --------------------------------------------------------------

    def interrupt(self, reason: str, *, new_session: bool = False, anew: bool = False) -> Batch:
        """The link was cut, or the logger stopped: what follows does not join on.

        The unfinished line is rejected, and the time until the next value is a gap.

        Args:
            reason: for the gap.
            new_session: the logger was started anew after a restart of the computer.
            anew: the source begins from its beginning again, with a header where it has one.
        """
        batch = self._drop_unfinished("line cut by a break in the link")
        self._reader.interrupt(anew=anew)
        self._session_starts = self._session_starts or new_session
        self._doubt_line = self._doubtful_from(self._line)
        if self._gap_start is None and self._axis.started:
            self._gap_start = (self._axis.newest_s, reason)
        return batch

    def finish(self, *, last_line_whole: bool = True) -> Batch:
        """End the recording.

        Args:
            last_line_whole: a last line without a line end counts (the end of a file); False on a
                live stream, where it may be half a number: it is rejected.
        """
        batch = Batch()
        if self._wide is not None:
            rest = self._wide.decode(b"", final=True).encode("utf-8")
            batch = self._text(rest, LineArrivals.same(self._line, self._last_arrival))
        if last_line_whole and self._pending and not self._too_long:
            block = bytes(self._pending)
            self._pending.clear()
            last = LineArrivals.same(self._line, self._last_arrival)
            batch = Batch.join((batch, self._take(block, last)))
        else:
            batch = Batch.join((batch, self._drop_unfinished("unfinished line at the end")))
        if self._gap_start is not None:
            start, reason = self._gap_start
            self._gap_start = None
            batch = Batch.join((batch, Batch(gaps=(Gap(start, self._axis.newest_s, reason),))))
        return batch

    def _drop_unfinished(self, why: str) -> Batch:
        self._after_cr = False
        if not self._pending and not self._too_long:
            return Batch()
        raw, already = bytes(self._pending[:RAW_KEPT_BYTES]), self._too_long
        number = self._line
        self._line += 1
        self.counters.lines += 1
        self._pending.clear()
        self._too_long = False
        if already:  # was rejected for its length
            return Batch()
        return self._count(Batch(rejects=(Reject(number, raw, why, "", "", "whole lines"),)))

    def _doubtful_from(self, line: int) -> int:
        """The number of the line that may have begun before we listened; 0 for none."""
        if self.first_line_whole or self.line_format.kind == "shdr":
            return 0
        header = self.line_format.header
        if line == 1 and self.line_format.kind == "delimited":
            names = any(isinstance(one.name, str) for one in self.mapping.fields().values())
            if header or (header is None and names):
                return 0
        return line


def _clock_words(back_s: float) -> str:
    if back_s < 0:
        return f"source clock leapt ahead {-back_s:.1f} s"
    return f"source clock stepped back {back_s:.1f} s"


def _reader(line_format: LineFormat, mapping: Mapping, counters: Counters) -> LineReader:
    if line_format.kind == "shdr":
        return ShdrReader(line_format, mapping, counters)
    if line_format.kind == "key=value":
        return KeyValueReader(line_format, mapping, counters)
    return DelimitedReader(line_format, mapping, counters)


def require_times(line_format: LineFormat, mapping: Mapping, name: str) -> None:
    """Refuse lines without times where the arrival of bytes says nothing, as in a file.

    Raises:
        InputError: neither a time field nor an interval is mapped.
    """
    if Decoder(line_format, mapping).needs_arrival:
        raise InputError(
            f"{name}: time", got="no time field in the mapping",
            allowed="a time field, or a fixed interval",
            do="Say which field it is, such as --map load=…,time=<name>,time_unit=s; or "
            "interval=0.01 for values that come every 0.01 s.",
        )  # fmt: skip

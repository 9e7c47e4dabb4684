"""Importing a recorded file: strict unless asked otherwise, with progress, in bounded memory."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

from trials.errors import InputError
from trials.logger.decoder import Decoder, require_times
from trials.logger.line_format import LineFormat
from trials.logger.mapping import Mapping
from trials.logger.readings import Batch, ClockStep, Counters, Reject
from trials.logger.sniff import FileFormat, guess_mapping, sniff
from trials.logger.sources.files import open_file

Progress = Callable[[int, int], None]
CHUNK_BYTES = (65_536, 1_048_576)
_CHUNKS = 20  # at least so many where a file is not tiny, so that progress is seen
_AHEAD = 4  # chunks that are read while the caller works on the one before
_SKIP = "To leave such lines out and count them, use --skip-bad-lines."


class FileImport:
    """One pass over a file: iterate it for batches of samples.

    Attributes:
        path, line_format, mapping: what is read, and how.
        found: what `sniff` saw; None when line format and mapping were given.
        size_bytes: of the file; done_bytes: read so far.
        counters: what was seen so far.
    """

    def __init__(
        self,
        path: Path | str,
        line_format: LineFormat | None = None,
        mapping: Mapping | None = None,
        *,
        skip_bad_lines: bool = False,
        on_progress: Progress | None = None,
        chunk_bytes: int | None = None,
    ) -> None:
        self.path = Path(path)
        self.found: FileFormat | None = None
        if line_format is None or mapping is None:
            self.found = sniff(self.path)
        self.line_format = line_format or self._sniffed().line_format
        self.mapping = mapping or guess_mapping(self._sniffed(), self.path.name)
        require_times(self.line_format, self.mapping, f"file {self.path.name}")
        self._skip = skip_bad_lines
        self._on_progress = on_progress
        descriptor = open_file(self.path)
        self.size_bytes = os.fstat(descriptor).st_size
        os.close(descriptor)
        least, most = CHUNK_BYTES
        self._chunk_bytes = chunk_bytes or min(max(self.size_bytes // _CHUNKS, least), most)
        self.done_bytes = 0
        if not self.size_bytes:
            raise InputError(
                f"file {self.path.name}", got="an empty file", allowed="lines with load values",
                do="Was the recording exported to this file?",
            )  # fmt: skip
        self.counters = Counters()

    def _sniffed(self) -> FileFormat:
        assert self.found is not None  # noqa: S101 - set whenever it is asked for
        return self.found

    def __iter__(self) -> Iterator[Batch]:
        decoder = Decoder(self.line_format, self.mapping)
        self.counters = decoder.counters
        self.done_bytes = 0
        parts = self._parts(decoder)
        with ThreadPoolExecutor(1, "file import") as reader:
            # One thread reads one chunk after the other, some ahead of the caller.
            ahead = deque(reader.submit(next, parts, None) for _ in range(_AHEAD))
            while (part := ahead.popleft().result()) is not None:
                ahead.append(reader.submit(next, parts, None))
                size, batch = part
                self.done_bytes += size
                if self._checked(batch):
                    yield batch
                if size and self._on_progress is not None:
                    self._on_progress(self.done_bytes, max(self.size_bytes, self.done_bytes))
        if not self.counters.samples:
            raise self._no_samples()

    def _parts(self, decoder: Decoder) -> Iterator[tuple[int, Batch]]:
        """Bytes read and what was in them; the last part is what was left at the end."""
        with open(open_file(self.path), "rb") as file, self._file_named():  # noqa: PTH123 - it is open
            while chunk := file.read(self._chunk_bytes):
                yield len(chunk), decoder.feed(chunk)
            yield 0, decoder.finish(last_line_whole=True)

    @contextmanager
    def _file_named(self) -> Iterator[None]:
        """Errors of the decoder know the line; this adds the file."""
        try:
            yield
        except InputError as error:
            raise InputError(
                f"{self.path.name}, {error.what}", got=error.got, allowed=error.allowed, do=error.do
            ) from None

    def _checked(self, batch: Batch) -> Batch:
        """The batch, unless strict and something in it is wrong."""
        if self._skip or not (batch.rejects or batch.clock_steps):
            return batch
        steps = batch.clock_steps if self.line_format.kind != "shdr" else ()
        troubles: list[Reject | ClockStep] = [*batch.rejects, *steps]
        if not troubles:
            return batch
        first = min(troubles, key=lambda trouble: trouble.line_number)
        place = f"{self.path.name}, line {first.line_number}"
        if isinstance(first, ClockStep):
            raise InputError(
                f"{place}, time ({self.mapping.time})",
                got=f"a time {first.back_s:g} s before the line above",
                allowed="times that never step back",
                do="Were two recordings joined, or lines sorted otherwise? With --skip-bad-lines "
                "the trace goes on after such a step, and the steps are counted.",
            )  # fmt: skip
        raise InputError(
            f"{place}, {self._field_named(first)}{first.kind}",
            got=first.found or first.raw.decode("utf-8", "replace"),
            allowed=first.allowed, do=f"{first.do} {_SKIP}".strip(),
        )  # fmt: skip

    def _field_named(self, reject: Reject) -> str:
        field = self.mapping.fields().get(reject.field)
        return f"{reject.field} ({field}): " if field is not None else ""

    def _no_samples(self) -> InputError:
        counters = self.counters
        if self.line_format.kind != "delimited" and counters.lines > counters.rejected:
            names = ", ".join(sniff(self.path).columns)[:400]
            return InputError(
                f"file {self.path.name}: load", got=f"no value under the name {self.mapping.load}",
                allowed=f"one of the names seen: {names or 'none'}",
                do="Say which is the load, such as --map load=<name>,unit=%.",
            )  # fmt: skip
        if counters.rejected:
            most = ", ".join(f"{kind} {n}" for kind, n in counters.rejects.most_common(3))
            found = f"no line that could be read ({counters.rejected} left out: {most})"
        else:
            found = "no values, only a header"
        return InputError(
            f"file {self.path.name}", got=found, allowed="lines with load values",
            do="Look at the line format, the delimiter and the mapping.",
        )  # fmt: skip


def import_file(
    path: Path | str,
    line_format: LineFormat | None = None,
    mapping: Mapping | None = None,
    *,
    skip_bad_lines: bool = False,
    on_progress: Progress | None = None,
) -> FileImport:
    """Read a recorded file; iterate the result for batches of samples.

    Strict by default: the first line that cannot be read, or (other than in SHDR) a time that
    steps back, ends the import. Store nothing before the iteration has come to its end.

    Args:
        path: text in UTF-8, UTF-16 or Latin-1.
        line_format: None looks at the file (`sniff`).
        mapping: None takes what the header leaves no doubt about (`guess_mapping`).
        skip_bad_lines: leave such lines out and count them; times that step back are treated as
            on a live link: clamped or re-based, and counted.
        on_progress: called with bytes done and bytes in all.

    Raises:
        InputError: names file, line, field, what was found, what is allowed and what to do; at
            once for the file as a whole, and from the iteration for its lines.
    """
    return FileImport(
        path, line_format, mapping, skip_bad_lines=skip_bad_lines, on_progress=on_progress
    )

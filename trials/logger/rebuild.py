"""Samples from a journal: the same decoder over the same bytes gives the same samples."""

from __future__ import annotations

import json
from collections.abc import Iterator
from collections.abc import Mapping as AnyMapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trials.errors import JournalError
from trials.logger.decoder import Decoder
from trials.logger.journal import Damage, JournalReader, Kind
from trials.logger.line_format import LineFormat
from trials.logger.mapping import Mapping
from trials.logger.readings import Arrival, Batch, Counters, Gap, Reject
from trials.logger.sources.protocol import Source

if TYPE_CHECKING:
    import pandas as pd

_AT_ONCE_BYTES = 65_536


def recording_settings(source: Source, line_format: LineFormat, mapping: Mapping) -> dict[str, Any]:
    """What `Journal.create` is to be given so that the recording can be rebuilt."""
    return {
        "source": source.describe(),
        "first_line_whole": source.first_line_whole,
        "live": not source.can_go_on,
        "line_format": line_format.to_dict(),
        "mapping": mapping.to_dict(),
    }


def decoder_from(
    settings: AnyMapping[str, Any],
    *,
    line_format: LineFormat | None = None,
    mapping: Mapping | None = None,
) -> Decoder:
    """The decoder that settings of a journal ask for; what is given goes before them.

    Raises:
        JournalError: the settings say nothing about lines, and nothing is given.
    """
    try:
        line_format = line_format or LineFormat.from_dict(settings["line_format"])
        mapping = mapping or Mapping.from_dict(settings["mapping"])
    except KeyError as error:
        raise JournalError(
            "settings of the journal", got=f"no {error.args[0]}",
            allowed="line_format and mapping", do="Give them by hand.",
        ) from None  # fmt: skip
    whole = bool(settings.get("first_line_whole", True))
    live = bool(settings.get("live", False))
    return Decoder(line_format, mapping, first_line_whole=whole, live=live)


def replay(reader: JournalReader, decoder: Decoder) -> Iterator[Batch]:
    """Feed what a journal holds to a decoder, batch by batch.

    The decoder is not finished unless the recording was ended in good order, so that a resumed
    recording can go on with it. Damage that the reader passes over becomes a gap.
    """
    seen = len(reader.damaged)
    waiting: list[tuple[bytes, Arrival | None]] = []
    waiting_bytes = 0
    for record in reader:
        data = record.kind is Kind.DATA
        damages, seen = reader.damaged[seen:], len(reader.damaged)
        if waiting and (damages or not data or waiting_bytes >= _AT_ONCE_BYTES):
            yield decoder.feed_all(waiting)
            waiting, waiting_bytes = [], 0
        for damage in damages:
            yield decoder.interrupt(f"journal damaged: {damage}")
        if data:
            waiting.append((record.payload, record.arrival))
            waiting_bytes += len(record.payload)
        elif record.kind is Kind.NOTE:
            note = json.loads(record.payload)
            if note.get("event") == "gap":
                reason, new = str(note["reason"]), bool(note.get("new_session"))
                yield decoder.interrupt(reason, new_session=new, anew=bool(note.get("anew")))
            elif note.get("event") == "ended":
                yield decoder.finish(last_line_whole=bool(note["last_line_whole"]))
    if waiting:
        yield decoder.feed_all(waiting)


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """A recording rebuilt from its journal.

    ``batch`` holds the samples (``samples`` as a frame), gaps and rejects; ``damaged`` and ``torn``
    are the places in the journal that could not be read.
    """

    batch: Batch
    counters: Counters
    settings: dict[str, Any]
    damaged: tuple[Damage, ...]
    torn: Damage | None

    @property
    def samples(self) -> pd.DataFrame:
        return self.batch.frame()

    @property
    def gaps(self) -> tuple[Gap, ...]:
        return self.batch.gaps

    @property
    def rejects(self) -> tuple[Reject, ...]:
        return self.batch.rejects


def rebuild(
    folder: Path | str,
    *,
    line_format: LineFormat | None = None,
    mapping: Mapping | None = None,
    strict: bool = True,
) -> Rebuilt:
    """All samples of a journal, with its own settings or others.

    Args:
        folder: the journal.
        line_format, mapping: instead of the ones it was recorded with.
        strict: damage with whole records behind it is an error; otherwise it becomes a gap and is
            reported in ``damaged``. An unfinished record at the very end is always only reported.

    Raises:
        JournalError: no journal there, damage when strict, or no settings and none given.
    """
    reader = JournalReader(folder, strict=strict)
    try:
        settings = reader.settings()
    except JournalError:
        if line_format is None or mapping is None or strict:
            raise
        settings = {}
    reader = JournalReader(folder, strict=strict)
    decoder = decoder_from(settings, line_format=line_format, mapping=mapping)
    batches = list(replay(reader, decoder))
    batches.append(decoder.finish(last_line_whole=False))
    batch = Batch.join(batches)
    return Rebuilt(batch, decoder.counters, settings, tuple(reader.damaged), reader.torn)

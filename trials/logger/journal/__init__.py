"""The durable recording of raw bytes that everything else can be rebuilt from."""

from trials.logger.journal.reader import Check, JournalReader, after
from trials.logger.journal.record import Damage, Kind, Position, Record
from trials.logger.journal.writer import Journal

__all__ = [
    "Check",
    "Damage",
    "Journal",
    "JournalReader",
    "Kind",
    "Position",
    "Record",
    "after",
]

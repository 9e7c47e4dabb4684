"""Logger: from a source of bytes to samples of spindle load, with nothing lost on the way.

One direction: source → journal (bytes, before anything is understood) → lines → samples → alarm.

Record a live source::

    source = open_source("tcp://10.0.0.7:7878")
    line_format, mapping = LineFormat("shdr"), Mapping.parse("load=S1load,unit=%")
    with Journal.create(folder, recording_settings(source, line_format, mapping)) as journal:
        recorder = Recorder(source, journal, Decoder(line_format, mapping), [on_batch])
        result = recorder.run(stop_event)

Resume after a kill::

    with Journal.reopen(folder) as journal:                  # cuts a torn end back
        decoder = decoder_from(journal.settings)
        for batch in replay(JournalReader(folder), decoder): # what was recorded before
            on_batch(batch)
        Recorder(source, journal, decoder, [on_batch], resumed=True).run(stop_event)

Import a file: ``for batch in import_file(path, line_format, mapping): …``. Samples again from a
journal: ``rebuild(folder).samples``. Watch a recording from another process: keep a `Position`,
take ``JournalReader(folder).read_from(position)`` and go on behind the newest record with `after`.
"""

from trials.logger.alarm import Alarm, AlarmEvent
from trials.logger.decoder import Decoder
from trials.logger.file_import import FileImport, import_file
from trials.logger.journal import (
    Check,
    Damage,
    Journal,
    JournalReader,
    Kind,
    Position,
    Record,
    after,
)
from trials.logger.line_format import LineFormat
from trials.logger.mapping import Field, Mapping
from trials.logger.readings import Arrival, Batch, ClockStep, Counters, Gap, Reject
from trials.logger.rebuild import Rebuilt, decoder_from, rebuild, recording_settings, replay
from trials.logger.recorder import Recorder, RecordingResult
from trials.logger.sniff import FileFormat, guess_mapping, sniff
from trials.logger.sources import Source, open_source, ports_found

__all__ = [
    "Alarm",
    "AlarmEvent",
    "Arrival",
    "Batch",
    "Check",
    "ClockStep",
    "Counters",
    "Damage",
    "Decoder",
    "Field",
    "FileFormat",
    "FileImport",
    "Gap",
    "Journal",
    "JournalReader",
    "Kind",
    "LineFormat",
    "Mapping",
    "Position",
    "Rebuilt",
    "Record",
    "Recorder",
    "RecordingResult",
    "Reject",
    "Source",
    "after",
    "decoder_from",
    "guess_mapping",
    "import_file",
    "open_source",
    "ports_found",
    "rebuild",
    "recording_settings",
    "replay",
    "sniff",
]

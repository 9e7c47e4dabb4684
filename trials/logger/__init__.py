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

from trials.logger.alarm import Alarm, AlarmEvent, AlarmKind
from trials.logger.decoder import Decoder
from trials.logger.file_import import FileImport, import_file
from trials.logger.guesses import Guess, guess, set_load_unit, time_unit
from trials.logger.hole_alarm import HoleAlarm
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
from trials.logger.link_watch import LinkWatch
from trials.logger.mapping import Field, Mapping
from trials.logger.outlets import AlarmCommand, AlarmFile, AlarmNews, AlarmState, Outlet
from trials.logger.profile import Profile, profiles_in, read_profile, write_profile
from trials.logger.readings import Arrival, Batch, ClockStep, Counters, Gap, Reject
from trials.logger.rebuild import Rebuilt, decoder_from, rebuild, recording_settings, replay
from trials.logger.recorder import Recorder, RecordingResult, Trouble
from trials.logger.sniff import FileFormat, guess_mapping, sniff
from trials.logger.sources import Source, open_source, ports_found
from trials.logger.survey import FieldSeen, Heard, Survey, Tried, listen, survey, try_out

__all__ = [
    "Alarm",
    "AlarmCommand",
    "AlarmEvent",
    "AlarmFile",
    "AlarmKind",
    "AlarmNews",
    "AlarmState",
    "Arrival",
    "Batch",
    "Check",
    "ClockStep",
    "Counters",
    "Damage",
    "Decoder",
    "Field",
    "FieldSeen",
    "FileFormat",
    "FileImport",
    "Gap",
    "Guess",
    "Heard",
    "HoleAlarm",
    "Journal",
    "JournalReader",
    "Kind",
    "LineFormat",
    "LinkWatch",
    "Mapping",
    "Outlet",
    "Position",
    "Profile",
    "Rebuilt",
    "Record",
    "Recorder",
    "RecordingResult",
    "Reject",
    "Source",
    "Survey",
    "Tried",
    "Trouble",
    "after",
    "decoder_from",
    "guess",
    "guess_mapping",
    "import_file",
    "listen",
    "open_source",
    "ports_found",
    "profiles_in",
    "read_profile",
    "rebuild",
    "recording_settings",
    "replay",
    "set_load_unit",
    "sniff",
    "survey",
    "time_unit",
    "try_out",
    "write_profile",
]

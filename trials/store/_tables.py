"""The tables. What will be asked about has a column; the whole of a trial is kept beside it.

Rows carry UUIDs, so that what one machine stores can later join a shop's store and stay the same.
Every change here goes with a migration under ``migrations/versions``.
"""

from __future__ import annotations

from typing import get_args

from sqlalchemy import (
    JSON,
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    Uuid,
)

from trials.model import ENDS, ISO_GROUPS, PECK_MODES, RunState
from trials.store._types import PlainFloat, PlainInteger, UtcTime

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _one_of(column: str, allowed: tuple[str, ...]) -> str:
    return f'"{column}" IN (' + ", ".join(f"'{word}'" for word in allowed) + ")"


trial = Table(
    "trial",
    metadata,
    Column("uuid", Uuid, primary_key=True),
    Column("version", PlainInteger, nullable=False),
    Column("name", String(100), nullable=False, unique=True),
    Column("machine", Text, nullable=False),
    Column("material", Text, nullable=False, index=True),
    Column("iso_group", String(1), nullable=False, index=True),
    Column("hardness_hb", PlainFloat),
    Column("diameter_mm", PlainFloat, nullable=False, index=True),
    Column("depth_mm", PlainFloat, nullable=False),
    Column("through", Boolean, nullable=False),
    Column("tolerance", Text, nullable=False),
    Column("load_limit_pct", PlainFloat, nullable=False),
    Column("wear_limit_mm", PlainFloat, nullable=False),
    Column("holes_to_make", PlainInteger),
    Column("currency", String(3), nullable=False),
    Column("invented", Boolean, nullable=False),
    Column("created_utc", UtcTime, nullable=False),
    Column("changed_utc", UtcTime, nullable=False),
    Column("plain", JSON, nullable=False),  # the trial as trials.model.plain writes it
    CheckConstraint(_one_of("iso_group", ISO_GROUPS), name="iso_group"),
)

drill = Table(
    "drill",
    metadata,
    Column("trial_uuid", ForeignKey("trial.uuid", ondelete="CASCADE"), primary_key=True),
    Column("position", PlainInteger, primary_key=True),
    Column("name", Text, nullable=False, index=True),
    Column("maker", Text, nullable=False),
    Column("substrate", String(16), nullable=False),
    Column("coating", String(16), nullable=False),
    Column("diameter_mm", PlainFloat, nullable=False),
    Column("price", PlainFloat, nullable=False),
    Column("regrinds", PlainInteger, nullable=False),
    Column("regrind_cost", PlainFloat, nullable=False),
)

run = Table(
    "run",
    metadata,
    Column("uuid", Uuid, primary_key=True),
    Column("version", PlainInteger, nullable=False),
    Column("trial_uuid", ForeignKey("trial.uuid", ondelete="CASCADE"), nullable=False),
    Column("number", PlainInteger, nullable=False),
    Column("drill", Text, nullable=False),
    Column("speed_m_per_min", PlainFloat, nullable=False),
    Column("feed_mm_per_rev", PlainFloat, nullable=False),
    Column("peck_mode", String(16), nullable=False),
    Column("peck_depth_xd", PlainFloat, nullable=False),
    Column("breakthrough_feed_factor", PlainFloat, nullable=False),
    Column("breakthrough_mm", PlainFloat, nullable=False),
    Column("state", String(16), nullable=False),
    Column("end", String(24)),
    Column("holes", PlainInteger, nullable=False),
    Column("load_fresh_pct", PlainFloat),
    Column("load_worn_pct", PlainFloat),
    Column("cycle_min", PlainFloat),
    Column("origin", String(16), nullable=False),
    Column("note", Text, nullable=False),
    Column("batch", Text, nullable=False, server_default=""),
    Column("machine", Text, nullable=False, server_default=""),
    Column("regrinds_done", PlainInteger, nullable=False, server_default="0"),
    Column("test_holes", PlainInteger),
    Column("planned_utc", UtcTime, nullable=False),
    Column("changed_utc", UtcTime, nullable=False),
    Column("ended_utc", UtcTime),
    UniqueConstraint("trial_uuid", "number"),
    CheckConstraint(_one_of("peck_mode", PECK_MODES), name="peck_mode"),
    CheckConstraint(_one_of("state", get_args(RunState)), name="state"),
    CheckConstraint(f'"end" IS NULL OR {_one_of("end", ENDS)}', name="end"),
    CheckConstraint('("state" = \'ended\') = ("end" IS NOT NULL)', name="end_when_ended"),
)

wear_reading = Table(
    "wear_reading",
    metadata,
    Column("uuid", Uuid, primary_key=True),
    Column("run_uuid", ForeignKey("run.uuid", ondelete="CASCADE"), nullable=False),
    Column("position", PlainInteger, nullable=False),  # order of entry, for readings of one hole
    Column("hole", PlainInteger, nullable=False),
    Column("vb_average_mm", PlainFloat),
    Column("vb_maximum_mm", PlainFloat),
    Column("corner_chipping_mm", PlainFloat),
    Column("margin_chipping_mm", PlainFloat),
    Column("hole_diameter_mm", PlainFloat),
    Column("note", Text, nullable=False),
    Column("taken_utc", UtcTime, nullable=False),
    Column("removed_utc", UtcTime),  # when it was taken back as wrong
    Column("removed_by", Text, nullable=False, server_default=""),
    UniqueConstraint("run_uuid", "position"),
)

photo = Table(
    "photo",
    metadata,
    Column("uuid", Uuid, primary_key=True),
    Column("run_uuid", ForeignKey("run.uuid", ondelete="CASCADE"), nullable=False),
    Column("hole", PlainInteger, nullable=False),
    Column("sha256", String(64), nullable=False),  # of the file, and its name under photos/
    Column("width_px", PlainInteger, nullable=False),
    Column("height_px", PlainInteger, nullable=False),
    Column("mm_per_pixel", PlainFloat),
    Column("note", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("added_utc", UtcTime, nullable=False),
    Column("removed_utc", UtcTime),
    Column("removed_by", Text, nullable=False, server_default=""),
    Index("ix_photo_run_uuid", "run_uuid"),
)

recording = Table(
    "recording",
    metadata,
    Column("uuid", Uuid, primary_key=True),
    Column("run_uuid", ForeignKey("run.uuid", ondelete="CASCADE"), nullable=False),
    Column("kind", String(8), nullable=False),
    Column("source", Text, nullable=False),
    Column("line_format", JSON, nullable=False),
    Column("mapping", JSON, nullable=False),
    Column("journal", Text),  # folder below the shop folder; None for an import
    Column("trace", Text),  # file below the shop folder; None until the recording is finished
    Column("trace_sha256", String(64)),
    Column("samples", PlainInteger, nullable=False),
    Column("counters", JSON, nullable=False),
    Column("started_utc", UtcTime, nullable=False),
    Column("finished_utc", UtcTime),
    CheckConstraint(_one_of("kind", ("live", "import")), name="kind"),
    Index("ix_recording_run_uuid", "run_uuid"),
)

hole = Table(
    "hole",
    metadata,
    Column("recording_uuid", ForeignKey("recording.uuid", ondelete="CASCADE"), primary_key=True),
    Column("number", PlainInteger, primary_key=True),
    Column("start_s", PlainFloat, nullable=False),
    Column("end_s", PlainFloat, nullable=False),
    Column("cut_s", PlainFloat, nullable=False),
    Column("pecks", PlainInteger, nullable=False),
    Column("peak_pct", PlainFloat, nullable=False),
    Column("peak_raw_pct", PlainFloat, nullable=False),
    Column("mean_pct", PlainFloat, nullable=False),
    Column("p95_pct", PlainFloat),
    Column("entry_pct", PlainFloat),
    Column("exit_pct", PlainFloat),
    Column("area_pct_s", PlainFloat, nullable=False),
    Column("rise_pct_per_s", PlainFloat),
    Column("idle_pct", PlainFloat),
    Column("peck_peaks_pct", JSON, nullable=False),
    Column("trend_pct", PlainFloat),
    Column("confidence", PlainFloat, nullable=False),
    Column("flags", Text, nullable=False),
)

gap = Table(
    "gap",
    metadata,
    Column("recording_uuid", ForeignKey("recording.uuid", ondelete="CASCADE"), primary_key=True),
    Column("position", PlainInteger, primary_key=True),
    Column("start_s", PlainFloat, nullable=False),
    Column("end_s", PlainFloat, nullable=False),
    Column("reason", Text, nullable=False),
)

alarm = Table(
    "alarm",
    metadata,
    Column("recording_uuid", ForeignKey("recording.uuid", ondelete="CASCADE"), primary_key=True),
    Column("position", PlainInteger, primary_key=True),
    Column("kind", String(24), nullable=False),
    Column("text", Text, nullable=False),
    Column("time_s", PlainFloat, nullable=False),
    Column("hole", PlainInteger),
    Column("load_pct", PlainFloat),
    Column("began_utc", UtcTime, nullable=False),
    Column("over_utc", UtcTime),  # when what raised it had passed
    Column("acknowledged_utc", UtcTime),
    Column("acknowledged_by", Text, nullable=False),
)

hole_edit = Table(
    "hole_edit",
    metadata,
    Column("recording_uuid", ForeignKey("recording.uuid", ondelete="CASCADE"), primary_key=True),
    Column("position", PlainInteger, primary_key=True),  # order in which they were made
    Column("kind", String(8), nullable=False),
    Column("text", Text, nullable=False),
    Column("spans", JSON, nullable=False),  # start and end, s, of the holes it was made on
    Column("at_s", PlainFloat),
    Column("made", JSON, nullable=False),  # the holes that it makes
    Column("made_utc", UtcTime, nullable=False),
    Column("made_by", Text, nullable=False),
    Column("undone_utc", UtcTime),
    Column("undone_by", Text, nullable=False),
    CheckConstraint(_one_of("kind", ("merge", "split", "drop", "add")), name="kind"),
)

taken_in = Table(
    "taken_in",
    metadata,
    Column("uuid", Uuid, primary_key=True),
    Column("kind", String(8), nullable=False),
    Column("digest", String(64), nullable=False, index=True),  # SHA-256 of the file
    Column("trial_uuid", ForeignKey("trial.uuid", ondelete="CASCADE"), nullable=False),
    Column("file", Text, nullable=False),
    Column("licence", Text, nullable=False),
    Column("removed", JSON, nullable=False),  # what its sender had left out
    Column("made", JSON, nullable=False),  # what it made, and what stood there before
    Column("imported_utc", UtcTime, nullable=False),
    CheckConstraint(_one_of("kind", ("package", "sheet")), name="kind"),
)

_WHERE_FROM = (("came_from", Text), ("taken_utc", UtcTime))  # of this shop alone, never packed

remark = Table(
    "remark",
    metadata,
    Column("uuid", Uuid, primary_key=True),
    Column("trial_uuid", ForeignKey("trial.uuid", ondelete="CASCADE"), nullable=False),
    Column("position", PlainInteger, nullable=False),  # order in which they came
    Column("run_uuid", ForeignKey("run.uuid", ondelete="SET NULL")),  # None: of the whole trial
    Column("text", Text, nullable=False),
    Column("made_by", Text, nullable=False),
    Column("made_utc", UtcTime, nullable=False),
    *(Column(name, kind, nullable=False) for name, kind in _WHERE_FROM),
    UniqueConstraint("trial_uuid", "position"),
)

proposal = Table(
    "proposal",
    metadata,
    Column("uuid", Uuid, primary_key=True),
    Column("trial_uuid", ForeignKey("trial.uuid", ondelete="CASCADE"), nullable=False),
    Column("position", PlainInteger, nullable=False),
    Column("run_uuid", ForeignKey("run.uuid", ondelete="SET NULL")),  # the run that it became
    Column("drill", Text, nullable=False),
    Column("speed_m_per_min", PlainFloat, nullable=False),
    Column("feed_mm_per_rev", PlainFloat, nullable=False),
    Column("peck_mode", String(16), nullable=False),
    Column("peck_depth_xd", PlainFloat, nullable=False),
    Column("breakthrough_feed_factor", PlainFloat, nullable=False),
    Column("breakthrough_mm", PlainFloat, nullable=False),
    Column("why", Text, nullable=False),
    Column("made_by", Text, nullable=False),
    Column("made_utc", UtcTime, nullable=False),
    *(Column(name, kind, nullable=False) for name, kind in _WHERE_FROM),
    UniqueConstraint("trial_uuid", "position"),
    CheckConstraint(_one_of("peck_mode", PECK_MODES), name="peck_mode"),
)

# Which stations send what they record to this store, and the number of the last portion of each
# that is in it. It is written with that portion, so that none is taken in twice.
station = Table(
    "station",
    metadata,
    Column("uuid", Uuid, primary_key=True),
    Column("name", Text, nullable=False),
    Column("sent", PlainInteger, nullable=False),
    Column("sent_utc", UtcTime, nullable=False),
)

"""The first tables: trial, drill, run, wear reading, recording, hole, gap."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "trial",
        sa.Column("uuid", sa.Uuid(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=100), nullable=False),
        sa.Column("machine", sa.Text(), nullable=False),
        sa.Column("material", sa.Text(), nullable=False),
        sa.Column("iso_group", sa.String(length=1), nullable=False),
        sa.Column("hardness_hb", sa.Double(), nullable=True),
        sa.Column("diameter_mm", sa.Double(), nullable=False),
        sa.Column("depth_mm", sa.Double(), nullable=False),
        sa.Column("through", sa.Boolean(), nullable=False),
        sa.Column("tolerance", sa.Text(), nullable=False),
        sa.Column("load_limit_pct", sa.Double(), nullable=False),
        sa.Column("wear_limit_mm", sa.Double(), nullable=False),
        sa.Column("holes_to_make", sa.Integer(), nullable=True),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.Column("created_utc", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_utc", sa.DateTime(timezone=True), nullable=False),
        sa.Column("plain", sa.JSON(), nullable=False),
        sa.CheckConstraint(
            "\"iso_group\" IN ('P', 'M', 'K', 'N', 'S', 'H')", name=op.f("ck_trial_iso_group")
        ),
        sa.PrimaryKeyConstraint("uuid", name=op.f("pk_trial")),
        sa.UniqueConstraint("name", name=op.f("uq_trial_name")),
    )
    op.create_index("ix_trial_diameter_mm", "trial", ["diameter_mm"], unique=False)
    op.create_index("ix_trial_iso_group", "trial", ["iso_group"], unique=False)
    op.create_index("ix_trial_material", "trial", ["material"], unique=False)

    op.create_table(
        "drill",
        sa.Column("trial_uuid", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("substrate", sa.String(length=16), nullable=False),
        sa.Column("coating", sa.String(length=16), nullable=False),
        sa.Column("diameter_mm", sa.Double(), nullable=False),
        sa.Column("price", sa.Double(), nullable=False),
        sa.Column("regrinds", sa.Integer(), nullable=False),
        sa.Column("regrind_cost", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(
            ["trial_uuid"], ["trial.uuid"], name=op.f("fk_drill_trial_uuid"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("trial_uuid", "position", name=op.f("pk_drill")),
    )
    op.create_index("ix_drill_name", "drill", ["name"], unique=False)

    op.create_table(
        "run",
        sa.Column("uuid", sa.Uuid(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("trial_uuid", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("drill", sa.Text(), nullable=False),
        sa.Column("speed_m_per_min", sa.Double(), nullable=False),
        sa.Column("feed_mm_per_rev", sa.Double(), nullable=False),
        sa.Column("peck_mode", sa.String(length=16), nullable=False),
        sa.Column("peck_depth_xd", sa.Double(), nullable=False),
        sa.Column("breakthrough_feed_factor", sa.Double(), nullable=False),
        sa.Column("breakthrough_mm", sa.Double(), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("end", sa.String(length=24), nullable=True),
        sa.Column("holes", sa.Integer(), nullable=False),
        sa.Column("load_fresh_pct", sa.Double(), nullable=True),
        sa.Column("load_worn_pct", sa.Double(), nullable=True),
        sa.Column("cycle_min", sa.Double(), nullable=True),
        sa.Column("origin", sa.String(length=16), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("planned_utc", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_utc", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_utc", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "\"end\" IS NULL OR \"end\" IN ('worn', 'stopped', 'chipped', 'broken', "
            "'out_of_tolerance', 'load_limit')",
            name=op.f("ck_run_end"),
        ),
        sa.CheckConstraint(
            "\"peck_mode\" IN ('none', 'chip_break', 'full_retract')", name=op.f("ck_run_peck_mode")
        ),
        sa.CheckConstraint(
            "\"state\" IN ('planned', 'recording', 'drilled', 'ended')", name=op.f("ck_run_state")
        ),
        sa.CheckConstraint(
            '("state" = \'ended\') = ("end" IS NOT NULL)', name=op.f("ck_run_end_when_ended")
        ),
        sa.ForeignKeyConstraint(
            ["trial_uuid"], ["trial.uuid"], name=op.f("fk_run_trial_uuid"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("uuid", name=op.f("pk_run")),
        sa.UniqueConstraint("trial_uuid", "number", name=op.f("uq_run_trial_uuid")),
    )
    op.create_table(
        "recording",
        sa.Column("uuid", sa.Uuid(), nullable=False),
        sa.Column("run_uuid", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(length=8), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("line_format", sa.JSON(), nullable=False),
        sa.Column("mapping", sa.JSON(), nullable=False),
        sa.Column("journal", sa.Text(), nullable=True),
        sa.Column("trace", sa.Text(), nullable=True),
        sa.Column("trace_sha256", sa.String(length=64), nullable=True),
        sa.Column("samples", sa.Integer(), nullable=False),
        sa.Column("counters", sa.JSON(), nullable=False),
        sa.Column("started_utc", sa.DateTime(timezone=True), nullable=False),
        sa.Column("finished_utc", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("\"kind\" IN ('live', 'import')", name=op.f("ck_recording_kind")),
        sa.ForeignKeyConstraint(
            ["run_uuid"], ["run.uuid"], name=op.f("fk_recording_run_uuid"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("uuid", name=op.f("pk_recording")),
    )
    op.create_index("ix_recording_run_uuid", "recording", ["run_uuid"], unique=False)

    op.create_table(
        "wear_reading",
        sa.Column("uuid", sa.Uuid(), nullable=False),
        sa.Column("run_uuid", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("hole", sa.Integer(), nullable=False),
        sa.Column("vb_average_mm", sa.Double(), nullable=True),
        sa.Column("vb_maximum_mm", sa.Double(), nullable=True),
        sa.Column("corner_chipping_mm", sa.Double(), nullable=True),
        sa.Column("margin_chipping_mm", sa.Double(), nullable=True),
        sa.Column("hole_diameter_mm", sa.Double(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("taken_utc", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["run_uuid"], ["run.uuid"], name=op.f("fk_wear_reading_run_uuid"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("uuid", name=op.f("pk_wear_reading")),
        sa.UniqueConstraint("run_uuid", "position", name=op.f("uq_wear_reading_run_uuid")),
    )
    op.create_table(
        "gap",
        sa.Column("recording_uuid", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("start_s", sa.Double(), nullable=False),
        sa.Column("end_s", sa.Double(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["recording_uuid"],
            ["recording.uuid"],
            name=op.f("fk_gap_recording_uuid"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("recording_uuid", "position", name=op.f("pk_gap")),
    )
    op.create_table(
        "hole",
        sa.Column("recording_uuid", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("start_s", sa.Double(), nullable=False),
        sa.Column("end_s", sa.Double(), nullable=False),
        sa.Column("cut_s", sa.Double(), nullable=False),
        sa.Column("pecks", sa.Integer(), nullable=False),
        sa.Column("peak_pct", sa.Double(), nullable=False),
        sa.Column("peak_raw_pct", sa.Double(), nullable=False),
        sa.Column("mean_pct", sa.Double(), nullable=False),
        sa.Column("p95_pct", sa.Double(), nullable=True),
        sa.Column("entry_pct", sa.Double(), nullable=True),
        sa.Column("exit_pct", sa.Double(), nullable=True),
        sa.Column("area_pct_s", sa.Double(), nullable=False),
        sa.Column("rise_pct_per_s", sa.Double(), nullable=True),
        sa.Column("idle_pct", sa.Double(), nullable=True),
        sa.Column("peck_peaks_pct", sa.JSON(), nullable=False),
        sa.Column("trend_pct", sa.Double(), nullable=True),
        sa.Column("confidence", sa.Double(), nullable=False),
        sa.Column("flags", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["recording_uuid"],
            ["recording.uuid"],
            name=op.f("fk_hole_recording_uuid"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("recording_uuid", "number", name=op.f("pk_hole")),
    )


def downgrade() -> None:
    op.drop_table("hole")
    op.drop_table("gap")
    op.drop_table("wear_reading")
    op.drop_index("ix_recording_run_uuid", "recording")

    op.drop_table("recording")
    op.drop_table("run")
    op.drop_index("ix_drill_name", "drill")

    op.drop_table("drill")
    op.drop_index("ix_trial_material", "trial")
    op.drop_index("ix_trial_iso_group", "trial")
    op.drop_index("ix_trial_diameter_mm", "trial")

    op.drop_table("trial")

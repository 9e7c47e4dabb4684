"""Alarms of a recording: raised by the logger, acknowledged by a person."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.create_table(
        "alarm",
        sa.Column("recording_uuid", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=24), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("time_s", sa.Double(), nullable=False),
        sa.Column("hole", sa.Integer(), nullable=True),
        sa.Column("load_pct", sa.Double(), nullable=True),
        sa.Column("began_utc", sa.DateTime(timezone=True), nullable=False),
        sa.Column("over_utc", sa.DateTime(timezone=True), nullable=True),
        sa.Column("acknowledged_utc", sa.DateTime(timezone=True), nullable=True),
        sa.Column("acknowledged_by", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["recording_uuid"],
            ["recording.uuid"],
            name=op.f("fk_alarm_recording_uuid"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("recording_uuid", "position", name=op.f("pk_alarm")),
    )


def downgrade() -> None:
    op.drop_table("alarm")

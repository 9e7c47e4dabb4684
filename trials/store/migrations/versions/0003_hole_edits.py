"""What a person mended in the holes of a recording."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.create_table(
        "hole_edit",
        sa.Column("recording_uuid", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=8), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("spans", sa.JSON(), nullable=False),
        sa.Column("at_s", sa.Double(), nullable=True),
        sa.Column("made", sa.JSON(), nullable=False),
        sa.Column("made_utc", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("undone_utc", sa.DateTime(timezone=True), nullable=True),
        sa.Column("undone_by", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "\"kind\" IN ('merge', 'split', 'drop', 'add')", name=op.f("ck_hole_edit_kind")
        ),
        sa.ForeignKeyConstraint(
            ["recording_uuid"],
            ["recording.uuid"],
            name=op.f("fk_hole_edit_recording_uuid"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("recording_uuid", "position", name=op.f("pk_hole_edit")),
    )


def downgrade() -> None:
    op.drop_table("hole_edit")

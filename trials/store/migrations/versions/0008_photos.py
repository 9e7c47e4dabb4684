"""Photos of drills; wear readings that were taken back stay, and can be put back."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"


def upgrade() -> None:
    op.create_table(
        "photo",
        sa.Column("uuid", sa.Uuid(), nullable=False),
        sa.Column("run_uuid", sa.Uuid(), nullable=False),
        sa.Column("hole", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("mm_per_pixel", sa.Double()),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("added_utc", sa.DateTime(timezone=True), nullable=False),
        sa.Column("removed_utc", sa.DateTime(timezone=True)),
        sa.Column("removed_by", sa.Text(), nullable=False, server_default=""),
        sa.ForeignKeyConstraint(
            ["run_uuid"], ["run.uuid"], name=op.f("fk_photo_run_uuid"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("uuid", name=op.f("pk_photo")),
    )
    op.create_index("ix_photo_run_uuid", "photo", ["run_uuid"])
    op.add_column("wear_reading", sa.Column("removed_utc", sa.DateTime(timezone=True)))
    op.add_column(
        "wear_reading", sa.Column("removed_by", sa.Text(), nullable=False, server_default="")
    )


def downgrade() -> None:
    op.execute("DELETE FROM wear_reading WHERE removed_utc IS NOT NULL")
    for name in ("removed_by", "removed_utc"):
        op.drop_column("wear_reading", name)
    op.drop_index("ix_photo_run_uuid", "photo")
    op.drop_table("photo")

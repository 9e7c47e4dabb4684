"""Stations that send what they record to this store, and how far each has come."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"


def upgrade() -> None:
    op.create_table(
        "station",
        sa.Column("uuid", sa.Uuid(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("sent", sa.Integer(), nullable=False),
        sa.Column("sent_utc", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("uuid", name=op.f("pk_station")),
    )


def downgrade() -> None:
    op.drop_table("station")

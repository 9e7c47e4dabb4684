"""Workpiece batch, machine and regrinds of a run, so that like is compared with like."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    for column in (
        sa.Column("batch", sa.Text(), nullable=False, server_default=""),
        sa.Column("machine", sa.Text(), nullable=False, server_default=""),
        sa.Column("regrinds_done", sa.Integer(), nullable=False, server_default="0"),
    ):
        op.add_column("run", column)


def downgrade() -> None:
    for name in ("regrinds_done", "machine", "batch"):
        op.drop_column("run", name)

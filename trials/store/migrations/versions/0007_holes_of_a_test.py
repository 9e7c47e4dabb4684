"""Holes after which the test of a run may stop although the drill still cuts."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    op.add_column("run", sa.Column("test_holes", sa.Integer(), nullable=True))


def downgrade() -> None:
    op.drop_column("run", "test_holes")

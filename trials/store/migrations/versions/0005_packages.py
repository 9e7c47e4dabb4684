"""Packages that were taken in: of which trial, on what terms, and how to take them out again."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.create_table(
        "package",
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("trial_uuid", sa.Uuid(), nullable=False),
        sa.Column("file", sa.Text(), nullable=False),
        sa.Column("licence", sa.Text(), nullable=False),
        sa.Column("removed", sa.JSON(), nullable=False),
        sa.Column("made", sa.JSON(), nullable=False),
        sa.Column("imported_utc", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["trial_uuid"], ["trial.uuid"], name=op.f("fk_package_trial_uuid"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_package")),
    )


def downgrade() -> None:
    op.drop_table("package")

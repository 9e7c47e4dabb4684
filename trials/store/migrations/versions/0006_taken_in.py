"""What was taken in, packages and sheets alike; remarks and proposals that came with it."""

import uuid
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    taken = op.create_table(
        "taken_in",
        sa.Column("uuid", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(length=8), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("trial_uuid", sa.Uuid(), nullable=False),
        sa.Column("file", sa.Text(), nullable=False),
        sa.Column("licence", sa.Text(), nullable=False),
        sa.Column("removed", sa.JSON(), nullable=False),
        sa.Column("made", sa.JSON(), nullable=False),
        sa.Column("imported_utc", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("\"kind\" IN ('package', 'sheet')", name=op.f("ck_taken_in_kind")),
        sa.ForeignKeyConstraint(
            ["trial_uuid"], ["trial.uuid"], name=op.f("fk_taken_in_trial_uuid"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("uuid", name=op.f("pk_taken_in")),
    )
    op.create_index(op.f("ix_taken_in_digest"), "taken_in", ["digest"])
    package = sa.table(
        "package", sa.column("digest"), sa.column("trial_uuid", sa.Uuid()), sa.column("file"),
        sa.column("licence"), sa.column("removed", sa.JSON()), sa.column("made", sa.JSON()),
        sa.column("imported_utc", sa.DateTime(timezone=True)),
    )  # fmt: skip
    for row in op.get_bind().execute(sa.select(package)):
        values = dict(row._mapping)
        op.get_bind().execute(taken.insert().values(uuid=uuid.uuid4(), kind="package", **values))
    op.drop_table("package")
    for name, own in (("remark", _REMARK), ("proposal", _PROPOSAL)):
        checks = [
            sa.CheckConstraint(
                "\"peck_mode\" IN ('none', 'chip_break', 'full_retract')",
                name=op.f("ck_proposal_peck_mode"),
            )
        ]
        op.create_table(
            name,
            sa.Column("uuid", sa.Uuid(), nullable=False),
            sa.Column("trial_uuid", sa.Uuid(), nullable=False),
            sa.Column("position", sa.Integer(), nullable=False),
            sa.Column("run_uuid", sa.Uuid(), nullable=True),
            *(sa.Column(column, kind, nullable=False) for column, kind in own),
            sa.Column("made_by", sa.Text(), nullable=False),
            sa.Column("made_utc", sa.DateTime(timezone=True), nullable=False),
            sa.Column("came_from", sa.Text(), nullable=False),
            sa.Column("taken_utc", sa.DateTime(timezone=True), nullable=False),
            *(checks if name == "proposal" else []),
            sa.ForeignKeyConstraint(
                ["trial_uuid"],
                ["trial.uuid"],
                name=op.f(f"fk_{name}_trial_uuid"),
                ondelete="CASCADE",
            ),
            sa.ForeignKeyConstraint(
                ["run_uuid"], ["run.uuid"], name=op.f(f"fk_{name}_run_uuid"), ondelete="SET NULL"
            ),
            sa.PrimaryKeyConstraint("uuid", name=op.f(f"pk_{name}")),
            sa.UniqueConstraint("trial_uuid", "position", name=op.f(f"uq_{name}_trial_uuid")),
        )


_REMARK: tuple[tuple[str, Any], ...] = (("text", sa.Text()),)
_PROPOSAL: tuple[tuple[str, Any], ...] = (
    ("drill", sa.Text()),
    ("speed_m_per_min", sa.Double()),
    ("feed_mm_per_rev", sa.Double()),
    ("peck_mode", sa.String(length=16)),
    ("peck_depth_xd", sa.Double()),
    ("breakthrough_feed_factor", sa.Double()),
    ("breakthrough_mm", sa.Double()),
    ("why", sa.Text()),
)


def downgrade() -> None:
    op.drop_table("proposal")
    op.drop_table("remark")
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
    op.drop_table("taken_in")

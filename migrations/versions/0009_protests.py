"""Protests, and how long after an event they may be filed."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the table, and the time limit with the half hour that a new competition has."""
    op.create_table(
        "protest",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("entry_id", sa.String(), nullable=False),
        sa.Column("event_id", sa.String(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("via", sa.String(), nullable=False),
        sa.Column("filed_wall_ms", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"]),
        sa.ForeignKeyConstraint(["event_id"], ["event.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_protest_entry_id", "protest", ["entry_id"])
    op.create_index("ix_protest_event_id", "protest", ["event_id"])
    op.add_column("competition", sa.Column("protest_minutes", sa.Integer(), nullable=False, server_default="30"))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

"""What is asked before the day and at the door: keys of imported entries, markings, reaches, who is there."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds four tables; nothing was known before."""
    op.create_table(
        "imported",
        sa.Column("entry_id", sa.String(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("entry_id"),
    )
    op.create_table(
        "marking",
        sa.Column("event_id", sa.String(), nullable=False),
        sa.Column("markings", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("event_id"),
    )
    op.create_table(
        "measure",
        sa.Column("athlete_id", sa.String(), nullable=False),
        sa.Column("reach", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("athlete_id"),
    )
    op.create_table(
        "checkin",
        sa.Column("athlete_id", sa.String(), nullable=False),
        sa.Column("present_wall_ms", sa.BigInteger(), nullable=True),
        sa.Column("present_by", sa.String(), nullable=False),
        sa.Column("waiver_wall_ms", sa.BigInteger(), nullable=True),
        sa.Column("waiver_by", sa.String(), nullable=False),
        sa.Column("height", sa.JSON(), nullable=True),
        sa.PrimaryKeyConstraint("athlete_id"),
    )


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

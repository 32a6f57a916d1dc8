"""Openers: the load with which a lifter means to begin."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the table. It refers to nothing: what was deleted and is put back finds its openers again."""
    op.create_table(
        "opener",
        sa.Column("event_id", sa.String(), nullable=False),
        sa.Column("task", sa.String(), nullable=False),
        sa.Column("entry_id", sa.String(), nullable=False),
        sa.Column("member", sa.Integer(), nullable=False),
        sa.Column("load", sa.JSON(), nullable=False),
        sa.Column("then", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("event_id", "task", "entry_id", "member"),
    )


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

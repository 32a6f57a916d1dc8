"""The plan of the day: its rules and draft, and the changes of published heats."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds two tables; a day that was never planned has no row in either."""
    op.create_table(
        "day_plan",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("rules", sa.JSON(), nullable=True),
        sa.Column("draft", sa.JSON(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "plan_change",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("made_wall_ms", sa.BigInteger(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=False),
        sa.Column("after", sa.JSON(), nullable=False),
        sa.Column("rules_before", sa.JSON(), nullable=True),
        sa.Column("taken_back", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("number"),
    )


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

"""The people who judge, and which of them was chosen for a lane."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the judges; the lanes that are there keep the names they have, and refer to nobody."""
    op.create_table(
        "judge",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("club_id", sa.String(), nullable=True),
        sa.Column("level", sa.String(), nullable=False),
        sa.Column("hours", sa.JSON(), nullable=False),
        sa.Column("away", sa.Boolean(), nullable=False),
        sa.Column("notes", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    # One statement in both dialects: a rebuilt table would let go of the rulings that refer to it.
    op.execute("ALTER TABLE assignment ADD COLUMN judge_id VARCHAR REFERENCES judge (id)")
    op.create_index("ix_assignment_judge_id", "assignment", ["judge_id"])


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

"""The safety facts of a competition, judges' practice, and paper sheets that are being keyed in."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds a column and two tables; nobody has said anything for the competition that is there."""
    op.add_column("competition", sa.Column("safety", sa.JSON(), nullable=False, server_default="{}"))
    op.create_table(
        "practice",
        sa.Column("id", sa.String(), primary_key=True),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("judge", sa.String(), nullable=False),
        sa.Column("made_wall_ms", sa.BigInteger(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
    )
    op.create_table(
        "keying",
        sa.Column("id", sa.String(), primary_key=True),
        sa.Column("sheet", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("made_wall_ms", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("typed", sa.JSON(), nullable=False),
    )
    op.create_index("ix_keying_sheet", "keying", ["sheet"])


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

"""What several server processes share: news of changes, and guesses at codes and passwords."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the tables."""
    op.create_table(
        "news",
        sa.Column("number", sa.BigInteger(), autoincrement=True, nullable=False),
        sa.Column("origin", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("body", sa.String(), nullable=False),
        sa.Column("made_wall_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("number"),
    )
    op.create_table(
        "guess",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("pot", sa.String(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("at_wall_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

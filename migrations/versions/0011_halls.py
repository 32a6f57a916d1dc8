"""Other halls' competition files."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the table."""
    op.create_table(
        "hall_file",
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("taken_wall_ms", sa.BigInteger(), nullable=False),
        sa.Column("aside_wall_ms", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("digest"),
    )


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

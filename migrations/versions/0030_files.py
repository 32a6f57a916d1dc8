"""Files by their digest: a head for each, and the contents of those that are rows of the database, as hand-ins were."""

import sqlalchemy as sa
from alembic import op

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the heads, with those of the hand-ins that came. Contents stay: a store moves them when it is opened."""
    op.create_table(
        "file_head",
        sa.Column("digest", sa.String(), primary_key=True),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("arrived_wall_ms", sa.BigInteger(), nullable=False),
    )
    op.rename_table("round_hand_in", "file_content")
    op.execute("INSERT INTO file_head SELECT digest, length(content), arrived_wall_ms FROM file_content")


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

"""Pictures of entries."""

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds their table; nobody has one yet."""
    op.create_table(
        "entry_picture",
        sa.Column("entry_id", sa.String(), primary_key=True),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
    )


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

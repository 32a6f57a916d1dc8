"""What the desk knew when a mark came, beside the mark."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the receipt. Of marks that are there already nobody knows it any more, so nothing is said of them."""
    op.add_column("mark", sa.Column("number", sa.BigInteger(), nullable=True))
    op.add_column("mark", sa.Column("seat", sa.String(), nullable=True))
    op.add_column("mark", sa.Column("clock", sa.BigInteger(), nullable=True))
    op.add_column("mark", sa.Column("wall", sa.Boolean(), nullable=True))
    op.add_column("mark", sa.Column("again", sa.Boolean(), nullable=True))
    op.create_index("ix_mark_number", "mark", ["number"])


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

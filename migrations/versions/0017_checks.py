"""A check of its own for each mark's row."""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the check. Of marks that are there already nobody knows whether they are as they were written: theirs stays empty."""
    op.add_column("mark", sa.Column("crc", sa.BigInteger(), nullable=True))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

"""How a pairing ended, and which pairings of before a browser speaks for."""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds both. How older pairings ended nobody knows: what was marked under them waits for the desk's yes."""
    op.add_column("device", sa.Column("ended", sa.String(), nullable=False, server_default=""))
    op.add_column("device", sa.Column("before", sa.JSON(), nullable=False, server_default="[]"))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

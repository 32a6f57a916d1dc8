"""For which entries a device stands whose place is theirs: a coach's phone."""

import sqlalchemy as sa
from alembic import op

revision = "0029"
down_revision = "0028"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the lists, and what the desk calls the device that an invitation makes. No older one stood for any."""
    for table in ("device", "pairing"):
        op.add_column(table, sa.Column("entries", sa.JSON(), nullable=False, server_default="[]"))
    op.add_column("pairing", sa.Column("name", sa.String(), nullable=False, server_default=""))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

"""The named team whom an entry's points count for too."""

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds it; entries that are there already are of none."""
    op.add_column("entry", sa.Column("team", sa.String(), nullable=False, server_default=""))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

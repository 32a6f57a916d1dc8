"""The divisions that an event is for."""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds them; events that are there already name none, and so are for all whose entries fit."""
    op.add_column("event", sa.Column("divisions", sa.JSON(), nullable=False, server_default="[]"))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

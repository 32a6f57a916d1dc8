"""A heat can be held: each run keeps when its clock stood."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the holds of a run; the runs that are there were never held."""
    op.add_column("run", sa.Column("holds", sa.JSON(), nullable=False, server_default="[]"))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

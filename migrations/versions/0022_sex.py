"""In whose classes, and by whose formula, an athlete counts."""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds it; of athletes that are there already nobody has said it."""
    op.add_column("athlete", sa.Column("sex", sa.String(), nullable=False, server_default=""))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

"""The age of an athlete."""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds it; of athletes that are there already it is not known."""
    op.add_column("athlete", sa.Column("age", sa.Integer(), nullable=True))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

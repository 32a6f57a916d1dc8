"""The limits of a division that is a class, and the weigh-in."""

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds them; divisions that are there already have no limits, and nobody was weighed in."""
    op.add_column("division", sa.Column("limits", sa.JSON(), nullable=True))
    op.add_column("checkin", sa.Column("weighed", sa.JSON(), nullable=True))
    op.add_column("checkin", sa.Column("weighed_wall_ms", sa.BigInteger(), nullable=True))
    op.add_column("checkin", sa.Column("weighed_by", sa.String(), nullable=False, server_default=""))
    op.add_column("checkin", sa.Column("weighed_let", sa.String(), nullable=False, server_default=""))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

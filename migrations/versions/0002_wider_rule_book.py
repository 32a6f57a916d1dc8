"""What the wider rule book needs: bodyweights, variants, the rule of the overall standing, several counters on one lane."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds columns; each has a value for the rows that are there, which says what was true of them."""
    op.add_column("athlete", sa.Column("bodyweight", sa.JSON(), nullable=True))
    op.add_column("event", sa.Column("variants", sa.JSON(), nullable=False, server_default="{}"))
    op.add_column("assignment", sa.Column("variant", sa.String(), nullable=False, server_default=""))
    op.add_column("competition", sa.Column("overall", sa.JSON(), nullable=True))
    for table in ("device", "pairing"):
        op.add_column(table, sa.Column("sheet", sa.String(), nullable=False, server_default="lane"))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

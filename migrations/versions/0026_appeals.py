"""From when the time for protests runs, how long an answer may be appealed against, appeals, and why a late protest was taken."""

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds them. A competition that is there already keeps the time that it told: from the last bell."""
    op.add_column("competition", sa.Column("protest_from", sa.String(), nullable=False, server_default="bell"))
    op.add_column("competition", sa.Column("appeal_minutes", sa.Integer(), nullable=False, server_default="30"))
    op.add_column("protest", sa.Column("against", sa.String(), nullable=True))
    op.add_column("protest", sa.Column("late_why", sa.String(), nullable=False, server_default=""))


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

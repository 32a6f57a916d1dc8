"""Sheets of finished heats, packed, so that a start need not read each of their marks."""

import sqlalchemy as sa
from alembic import op

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the table; none is kept yet, and what is missing is made from the marks."""
    op.create_table(
        "kept_sheet",
        sa.Column("sheet", sa.String(), primary_key=True),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("checks", sa.BigInteger(), nullable=False),
        sa.Column("numbers", sa.String(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("digest", sa.LargeBinary(32), nullable=False),
    )


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

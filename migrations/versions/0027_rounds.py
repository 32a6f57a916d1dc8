"""A round's headquarters: its records, receipts and hand-ins."""

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds their tables; no store is a headquarters yet."""
    op.create_table(
        "round_record",
        sa.Column("number", sa.Integer(), autoincrement=False, primary_key=True),
        sa.Column("text", sa.String(), nullable=False),
    )
    op.create_table(
        "round_receipt",
        sa.Column("number", sa.Integer(), autoincrement=False, primary_key=True),
        sa.Column("content", sa.LargeBinary(), nullable=False),
    )
    op.create_table(
        "round_hand_in",
        sa.Column("digest", sa.String(), primary_key=True),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("arrived_wall_ms", sa.BigInteger(), nullable=False),
    )


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

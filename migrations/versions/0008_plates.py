"""What lies at each lane to load a bar with."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the sets of plates and which lane has which; so far no lane has any."""
    op.create_table(
        "plate_set",
        sa.Column("id", sa.String(), primary_key=True, nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
    )
    op.create_table(
        "lane_plates",
        sa.Column("lane", sa.Integer(), primary_key=True, nullable=False, autoincrement=False),
        sa.Column("plate_set_id", sa.String(), sa.ForeignKey("plate_set.id"), nullable=False),
    )
    op.create_index("ix_lane_plates_plate_set_id", "lane_plates", ["plate_set_id"])


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

"""Pairings that the desk confirms, what is known of each device, and the record of what was done."""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds columns, each with a value that says what was true of the rows that are there, and the table of acts, append-only."""
    for column in ("address", "browser"):
        op.add_column("device", sa.Column(column, sa.String(), nullable=False, server_default=""))
    op.add_column("device", sa.Column("seen_wall_ms", sa.BigInteger(), nullable=True))
    op.add_column("pairing", sa.Column("sure", sa.Boolean(), nullable=False, server_default=sa.false()))
    for column in ("word", "asked_hash", "address", "browser", "gives_up"):
        op.add_column("pairing", sa.Column(column, sa.String(), nullable=False, server_default=""))
    op.add_column("pairing", sa.Column("answered_wall_ms", sa.BigInteger(), nullable=True))
    op.create_table(
        "act",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("wall_ms", sa.BigInteger(), nullable=False),
        sa.Column("device_id", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("about", sa.String(), nullable=False),
        sa.Column("outcome", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("number"),
    )
    _append_only()


def _append_only() -> None:
    """Nobody changes or removes what is written, not even by mistake."""
    if op.get_bind().dialect.name == "sqlite":
        for act in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER act_refuses_{act.lower()} BEFORE {act} ON act "
                "BEGIN SELECT RAISE(ABORT, 'what was done stays on record'); END"
            )
        return
    op.execute(
        "CREATE FUNCTION refuse_act_change() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'what was done stays on record'; END $$"
    )
    op.execute(
        "CREATE TRIGGER act_refuses_change BEFORE UPDATE OR DELETE ON act FOR EACH ROW EXECUTE FUNCTION refuse_act_change()"
    )
    op.execute(
        "CREATE TRIGGER act_refuses_truncate BEFORE TRUNCATE ON act FOR EACH STATEMENT EXECUTE FUNCTION refuse_act_change()"
    )


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

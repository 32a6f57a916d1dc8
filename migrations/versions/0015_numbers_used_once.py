"""Marks that say something else under a used id are kept, and numbers that were used twice are found and told."""

import time

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None

DOUBLED = "SELECT count(*) FROM (SELECT 1 FROM mark GROUP BY device, epoch, seq HAVING count(*) > 1) AS doubled"


def upgrade() -> None:
    """Adds the table of marks laid aside, append-only, and a line in the record of what was done if numbers were used twice.

    The marks themselves stay where they are: that two share a number shows by itself, and neither counts until somebody rules.
    """
    op.create_table(
        "aside",
        sa.Column("print", sa.LargeBinary(32), primary_key=True, nullable=False),
        sa.Column("id", sa.LargeBinary(16), nullable=False),
        sa.Column("mark", sa.String(), nullable=False),
        sa.Column("received_wall_ms", sa.BigInteger(), nullable=False),
    )
    _append_only()
    doubled = op.get_bind().execute(sa.text(DOUBLED)).scalar_one()
    if doubled:
        _tell(doubled)


def _tell(doubled: int) -> None:
    """Says what was found where the desk reads what was done."""
    words = (
        f"Newer version: {doubled} number{'s' if doubled > 1 else ''} of tablets found on more than one mark. "
        "None of these marks counts until the head judge says which; see Review."
    )
    op.get_bind().execute(
        sa.text(
            "INSERT INTO act (number, wall_ms, device_id, name, role, address, kind, words, about, outcome) "
            "SELECT coalesce(max(number), 0) + 1, :wall_ms, '', 'This computer', '', '', 'setup', :words, '', 'done' FROM act"
        ),
        {"wall_ms": time.time_ns() // 1_000_000, "words": words},
    )
    if op.get_bind().dialect.name == "postgresql":
        op.execute("SELECT setval(pg_get_serial_sequence('act', 'number'), max(number)) FROM act")


def _append_only() -> None:
    """Refuses every change and removal, whoever asks."""
    if op.get_bind().dialect.name == "sqlite":
        for act in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER aside_refuses_{act.lower()} BEFORE {act} ON aside "
                "BEGIN SELECT RAISE(ABORT, 'a mark is never changed or removed'); END"
            )
        return
    op.execute(
        "CREATE TRIGGER aside_refuses_change BEFORE UPDATE OR DELETE ON aside FOR EACH ROW EXECUTE FUNCTION refuse_mark_change()"
    )
    op.execute(
        "CREATE TRIGGER aside_refuses_truncate BEFORE TRUNCATE ON aside FOR EACH STATEMENT EXECUTE FUNCTION refuse_mark_change()"
    )


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")

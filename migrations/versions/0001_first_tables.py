"""The first tables: the competition, its heats and runs, tablets, the ledger of marks, rulings, settings."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Makes all tables, and the triggers that keep the ledger append-only."""
    _people()
    _floor()
    _tablets()
    _ledger()
    _keep_marks()


def downgrade() -> None:
    """Data only ever moves forward."""
    raise NotImplementedError("Restore a backup to go back to an older version.")


def _text(name: str, nullable: bool = False) -> "sa.Column[str]":
    return sa.Column(name, sa.String(), nullable=nullable)


def _key(name: str = "id") -> "sa.Column[str]":
    return sa.Column(name, sa.String(), primary_key=True, nullable=False)


def _whole(name: str, nullable: bool = False) -> "sa.Column[int]":
    return sa.Column(name, sa.Integer(), nullable=nullable)


def _big(name: str, nullable: bool = False) -> "sa.Column[int]":
    return sa.Column(name, sa.BigInteger(), nullable=nullable)


def _to(column: str, nullable: bool = False) -> "sa.Column[str]":
    """A reference to another table's id: `club` makes the column club_id."""
    return sa.Column(f"{column}_id", sa.String(), sa.ForeignKey(f"{column}.id"), nullable=nullable)


def _people() -> None:
    op.create_table(
        "competition",
        _key(),
        _text("name"),
        _text("place"),
        _text("day"),
        _text("unit"),
        sa.Column("demo", sa.Boolean(), nullable=False),
    )
    op.create_table("division", _key(), _whole("position"), _text("name"))
    op.create_table("club", _key(), _text("name"))
    op.create_table("athlete", _key(), _text("name"), _to("club", nullable=True))
    op.create_table("entry", _key(), _to("division"), _whole("position"), _text("name"))
    op.create_index("ix_entry_division_id", "entry", ["division_id"])
    op.create_table(
        "member",
        sa.Column("entry_id", sa.String(), sa.ForeignKey("entry.id"), primary_key=True, nullable=False),
        sa.Column("number", sa.Integer(), primary_key=True, nullable=False, autoincrement=False),
        _to("athlete"),
    )
    op.create_index("ix_member_athlete_id", "member", ["athlete_id"])


def _floor() -> None:
    op.create_table("event", _key(), _whole("position"), _text("name"), sa.Column("format", sa.JSON(), nullable=False))
    op.create_table("heat", _key(), _to("event"), _whole("number"), _text("planned"), sa.UniqueConstraint("event_id", "number"))
    op.create_index("ix_heat_event_id", "heat", ["event_id"])
    op.create_table(
        "assignment",
        _key(),
        _to("heat"),
        _whole("lane"),
        _to("entry"),
        _text("judge"),
        sa.UniqueConstraint("heat_id", "lane"),
        sa.UniqueConstraint("heat_id", "entry_id"),
    )
    op.create_index("ix_assignment_heat_id", "assignment", ["heat_id"])
    op.create_index("ix_assignment_entry_id", "assignment", ["entry_id"])
    op.create_table(
        "run",
        sa.Column("heat_id", sa.String(), sa.ForeignKey("heat.id"), primary_key=True, nullable=False),
        sa.Column("number", sa.Integer(), primary_key=True, nullable=False, autoincrement=False),
        _big("go_server_ms"),
        _big("go_wall_ms"),
        _text("boot"),
        _text("state"),
        _text("why"),
    )
    op.create_table(
        "ruling",
        _key(),
        _text("kind"),
        _to("assignment", nullable=True),
        _to("entry", nullable=True),
        _to("event", nullable=True),
        sa.Column("body", sa.JSON(), nullable=False),
        _text("by"),
        _text("why"),
        _big("made_wall_ms"),
    )


def _tablets() -> None:
    op.create_table(
        "device",
        _key(),
        _text("role"),
        _whole("lane", nullable=True),
        _text("name"),
        _text("token_hash"),
        _big("paired_wall_ms"),
        _big("revoked_wall_ms", nullable=True),
    )
    op.create_index("ix_device_token_hash", "device", ["token_hash"], unique=True)
    op.create_table(
        "pairing",
        _key(),
        _text("role"),
        _whole("lane", nullable=True),
        _text("token_hash"),
        _text("code_hash"),
        _big("expires_wall_ms"),
        _big("used_wall_ms", nullable=True),
    )
    op.create_index("ix_pairing_token_hash", "pairing", ["token_hash"], unique=True)
    op.create_index("ix_pairing_code_hash", "pairing", ["code_hash"])
    op.create_table("setting", _key("name"), _text("value"))


def _ledger() -> None:
    op.create_table(
        "mark",
        sa.Column("id", sa.LargeBinary(16), primary_key=True, nullable=False),
        _text("sheet"),
        _text("device"),
        _big("epoch"),
        _big("seq"),
        _text("kind"),
        _big("at"),
        _big("err"),
        _whole("win", nullable=True),
        _text("body"),
        _big("received_wall_ms"),
        sa.CheckConstraint("length(id) = 16", name="ck_mark_id"),
        sa.CheckConstraint("epoch >= 1 AND seq >= 1", name="ck_mark_number"),
        sqlite_with_rowid=False,
    )


def _keep_marks() -> None:
    """Refuses every change and removal of a mark, whoever asks."""
    if op.get_bind().dialect.name == "sqlite":
        for act in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER mark_refuses_{act.lower()} BEFORE {act} ON mark "
                "BEGIN SELECT RAISE(ABORT, 'a mark is never changed or removed'); END"
            )
        return
    op.execute(
        "CREATE FUNCTION refuse_mark_change() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'a mark is never changed or removed'; END $$"
    )
    op.execute(
        "CREATE TRIGGER mark_refuses_change BEFORE UPDATE OR DELETE ON mark FOR EACH ROW EXECUTE FUNCTION refuse_mark_change()"
    )
    op.execute(
        "CREATE TRIGGER mark_refuses_truncate BEFORE TRUNCATE ON mark FOR EACH STATEMENT EXECUTE FUNCTION refuse_mark_change()"
    )

"""The schema's version: finds the migrations and walks a database up to the newest.

Alembic takes a fifth of a second to import, so it is loaded only when there is something to do. The names of the migration files
say which is the newest: `0001_….py`, `0002_….py`, each with its number as its revision.
"""

from sqlalchemy import Connection, Engine, inspect, text

from app.paths import migrations_dir

# As SQLite does it. By a language's rules, `asg_1/` may sort after `asg_10`, and ids in another order than in the file.
COMPARE_BYTES = """
DO $$ DECLARE one record; BEGIN
  FOR one IN
    SELECT c.table_name, c.column_name FROM information_schema.columns c
    JOIN information_schema.tables t USING (table_schema, table_name)
    WHERE c.table_schema = current_schema() AND t.table_type = 'BASE TABLE' AND c.data_type IN ('character varying', 'text')
      AND c.collation_name IS NULL
  LOOP
    EXECUTE format('ALTER TABLE %I ALTER COLUMN %I TYPE varchar COLLATE "C"', one.table_name, one.column_name);
  END LOOP;
END $$
"""


class StoreTooNew(RuntimeError):
    """Raised when a newer version of the app has made the data; its text is the sentence to show."""


def revisions() -> tuple[str, ...]:
    """All revisions, oldest first."""
    return tuple(sorted(path.name.split("_")[0] for path in (migrations_dir() / "versions").glob("[0-9]*_*.py")))


def current_revision(engine: Engine) -> str | None:
    """The revision that a database stands at; None for an empty one."""
    with engine.connect() as connection:
        return _revision_of(connection)


def _revision_of(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    found: str | None = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return found


def bring_to_head(engine: Engine, target: str | None = None) -> None:
    """Walks the database up to `target` (the newest revision unless told), all in one transaction. Raises StoreTooNew.

    Two servers that start at once walk one after the other: a writer's transaction waits for its turn, and then looks again.
    """
    known = revisions()
    target = target or known[-1]
    current = current_revision(engine)
    if current == target:
        return
    if current is not None and current not in known:
        raise StoreTooNew(
            "This data was made by a newer version of Lane Ledger. Install that version, or start with another data folder."
        )
    # Imported here for start-up cost: most starts find the schema at its newest.
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(migrations_dir()).replace("%", "%%"))
    with engine.begin() as connection:
        if _revision_of(connection) == target:  # another server has walked it up while this one waited
            return
        config.attributes["connection"] = connection
        command.upgrade(config, target)
        if connection.dialect.name == "postgresql":
            connection.execute(text(COMPARE_BYTES))

"""The schema's version: finds the migrations and walks a database up to the newest.

Alembic takes a fifth of a second to import, so it is loaded only when there is something to do. The names of the migration files
say which is the newest: `0001_….py`, `0002_….py`, each with its number as its revision.
"""

from sqlalchemy import Engine, inspect, text

from app.paths import migrations_dir


class StoreTooNew(RuntimeError):
    """Raised when a newer version of the app has made the data; its text is the sentence to show."""


def revisions() -> tuple[str, ...]:
    """All revisions, oldest first."""
    return tuple(sorted(path.name.split("_")[0] for path in (migrations_dir() / "versions").glob("[0-9]*_*.py")))


def current_revision(engine: Engine) -> str | None:
    """The revision that a database stands at; None for an empty one."""
    with engine.connect() as connection:
        if not inspect(connection).has_table("alembic_version"):
            return None
        found: str | None = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
        return found


def bring_to_head(engine: Engine, target: str | None = None) -> None:
    """Walks the database up to `target` (the newest revision unless told), all in one transaction. Raises StoreTooNew."""
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
        config.attributes["connection"] = connection
        command.upgrade(config, target)

"""Runs the migrations on the connection it is given, or on the address in the option `sqlalchemy.url`."""

from alembic import context
from sqlalchemy import Connection, create_engine


def run(connection: Connection) -> None:
    """All pending migrations in one transaction. Batch mode: SQLite changes a table by rebuilding it."""
    context.configure(connection=connection, render_as_batch=connection.dialect.name == "sqlite")
    with context.begin_transaction():
        context.run_migrations()


given = context.config.attributes.get("connection")
if given is not None:
    run(given)
else:
    url = context.config.get_main_option("sqlalchemy.url")
    if not url:
        raise SystemExit("Name the database: set sqlalchemy.url.")
    with create_engine(url).begin() as opened:
        run(opened)

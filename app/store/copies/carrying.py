"""Everything carried from one store into another, whatever kind either is: a PostgreSQL database into a backup file, and back.

A backup of a database server is the same file as a laptop's: any laptop can go on from it, with nothing else installed.
"""

import tempfile
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Connection, Table, select
from sqlmodel import Session, SQLModel

from app.store.copies.backup import (
    KEPT,
    Backup,
    BackupFailed,
    BadBackup,
    Contents,
    check,
    copied,
    copy_to_disk,
    let_old_ones_go,
    named,
)
from app.store.copies.files import files_beside, heads_of
from app.store.copies.rebuilding import Prove, Unfit, rebuild
from app.store.database import Database
from app.store.devices import delete_setting
from app.store.engines import is_sqlite, writer_engine
from app.store.files.folder import Folder
from app.store.files.heads import Head
from app.store.files.verbs import NotAsStored
from app.store.news import tell
from app.store.refusals import AlreadyThere
from app.store.schema import bring_to_head
from app.store.tables.files import FileContentRow
from app.store.tables.main import CompetitionRow, MarkRow
from app.store.tables.news import GuessRow, NewsRow
from app.store.whose import SECRET, SETTING, give_an_id, ledger_of, make_private_folder
from app.store.writer import StoreTrouble

ROWS_AT_ONCE = 2_000
OF_THE_PROCESSES = frozenset({NewsRow.__tablename__, GuessRow.__tablename__})  # nothing of the competition
CONTENTS = frozenset({FileContentRow.__tablename__})  # go into the folder beside a backup


def write_out(database: Database, file: Path) -> None:
    """Writes a store as it stands at one moment into a new SQLite file, but for files by digest. Nobody waits for it."""
    engine = writer_engine(f"sqlite:///{file.absolute().as_posix()}")
    try:
        bring_to_head(engine)
        with engine.begin() as target:
            database.read(lambda session: _carry(session.connection(), target, but=OF_THE_PROCESSES | CONTENTS))
        raw = engine.raw_connection()
        for pragma in ("PRAGMA wal_checkpoint(TRUNCATE)", "PRAGMA journal_mode=DELETE"):
            raw.execute(pragma).close()
        raw.close()
    finally:
        engine.dispose()


def back_up_server(database: Database, folder: Path, now: datetime) -> Backup:
    """Writes a store that is on a database server into a backup file in `folder`, reads it back, and lets old ones go.

    Not on the event loop. Raises BackupFailed.
    """
    begun = datetime.now(UTC)
    file = folder / named(database.ledger, now)
    try:
        make_private_folder(folder)
        with tempfile.TemporaryDirectory(prefix="lane-ledger-backup-") as room:
            write_out(database, Path(room) / "store.sqlite3")
            contents = copied(Path(room) / "store.sqlite3", file, database.files.get)
    except StoreTrouble as away:
        raise BackupFailed(f"The backup could not be made: {away}") from None
    except OSError as wrong:
        raise BackupFailed(f"The backup could not be written to {folder}: {wrong.strerror or wrong}.") from None
    left = let_old_ones_go(folder, database.ledger, KEPT)
    return Backup(file, contents, (datetime.now(UTC) - begun).total_seconds(), left)


def restore_to_server(backup: Path, database: Database, prove: Prove = lambda _: None) -> Contents:
    """Fills an empty store on a database server from a backup file, which stays as it is. Raises BadBackup."""
    contents = check(backup)
    with tempfile.TemporaryDirectory(prefix="lane-ledger-restore-") as room:
        came, here = Path(room) / "came.sqlite3", Path(room) / "store.sqlite3"
        if copy_to_disk(backup, came) != contents.digest:
            raise BadBackup(f"{backup.name} changed while it was read. Nothing was restored.")
        try:
            rebuild(came, contents.revision, here, prove)
            there = files_beside(backup, contents.ledger)
            lacking = _put_files(heads_of(here), there, database)
            read_in(here, database)
        except Unfit as wrong:
            raise BadBackup(f"{backup.name} contradicts itself: {wrong}. Nothing was restored. Take an older one.") from None
        except AlreadyThere as taken:
            raise BadBackup(str(taken)) from None
    return replace(contents, lacking=lacking)


def _put_files(heads: Iterable[Head], there: Folder, database: Database) -> int:
    """Puts files that a backup names into a database; how many of them are not there, or not as they came."""
    lacking = 0
    for one in heads:
        try:
            database.files.put(there.get(one.digest))
        except NotAsStored:
            lacking += 1
    return lacking


def read_in(file: Path, database: Database) -> None:
    """Fills an empty store with what a backup file holds, all or nothing. It walks the file up to the newest schema: give a copy.

    Raises AlreadyThere when the store holds a competition or marks.
    """
    engine = writer_engine(f"sqlite:///{file.absolute().as_posix()}")
    try:
        bring_to_head(engine)
        with engine.connect() as source:
            database.write(lambda session: _fill(session, source))
        database.ledger = database.read(ledger_of)
    finally:
        engine.dispose()


def _fill(session: Session, source: Connection) -> None:
    for table in (CompetitionRow, MarkRow):
        if session.connection().execute(select(table).limit(1)).first() is not None:
            raise AlreadyThere(
                "That database already holds a competition. A backup is restored into a new, empty one: createdb NAME"
            )
    delete_setting(session, SECRET)
    delete_setting(session, SETTING)  # it goes on as the ledger that was backed up
    _carry(source, session.connection())
    if not ledger_of(session):
        give_an_id(session)
    tell(session, "everything")


def _carry(source: Connection, target: Connection, but: frozenset[str] = OF_THE_PROCESSES) -> None:
    for table in SQLModel.metadata.sorted_tables:
        if table.name not in but:
            _carry_table(table, source, target)


def _carry_table(table: Table, source: Connection, target: Connection) -> None:
    rows = source.execution_options(yield_per=ROWS_AT_ONCE).execute(select(table))
    while some := rows.fetchmany(ROWS_AT_ONCE):
        target.execute(table.insert(), [dict(row._mapping) for row in some])
    if table.autoincrement_column is not None and not is_sqlite(target):
        # PostgreSQL counts beside the table: what is given a number next must come after those that came with theirs.
        name, counted = table.name, table.autoincrement_column.name
        sequence = f"pg_get_serial_sequence('{name}', '{counted}')"
        target.exec_driver_sql(f"SELECT setval({sequence}, max({counted})) FROM {name} HAVING count(*) > 0")

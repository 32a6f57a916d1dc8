"""The files by digest that belong to a backup: one folder beside it, which all backups of one ledger share.

A file never changes, so each is copied and read back once, before the first backup that names it has its name. None is ever let
go: whatever an older backup names is there too.
"""

import errno
import shutil
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing
from pathlib import Path

from app.store.copies.bounded import uri_of
from app.store.copies.proof import real_tables
from app.store.files.folder import Folder
from app.store.files.heads import Head
from app.store.files.verbs import NotAsStored
from app.store.full_disk import AMPLE_BYTES

NAMED = "lane-ledger-{ledger}-files"
TABLE, ROWS = "file_head", "file_content"
Get = Callable[[str], bytes]


def files_beside(backup: Path, ledger: str) -> Folder:
    """The files that belong to the backups of a ledger in the folder of this one."""
    return Folder(backup.with_name(NAMED.format(ledger=ledger)), read_back=True)


def heads_in(store: sqlite3.Connection) -> list[Head]:
    """The heads in a store or backup that was opened, of files that are no rows of it; none in one from before there were any."""
    if TABLE not in real_tables(store):
        return []
    asked = f"SELECT digest, size, arrived_wall_ms FROM {TABLE} WHERE digest NOT IN (SELECT digest FROM {ROWS}) ORDER BY digest"
    return [Head(*row) for row in store.execute(asked)]


def heads_of(store: Path) -> list[Head]:
    """The heads in a store or backup that nobody writes to."""
    with closing(sqlite3.connect(uri_of(store.absolute(), "mode=ro"), uri=True)) as opened:
        return heads_in(opened)


def lacking_in(folder: Folder, heads: Iterable[Head]) -> int:
    """How many files of these are not in a folder, or have another size."""
    return sum(folder.size(one.digest) != one.size for one in heads)


def copy_files(heads: Iterable[Head], get: Get, to: Folder, room: bool = False) -> None:
    """Copies files that a folder has not yet; one that `get` has not is left out. `room`: what follows needs space on the same
    disk. Raises OSError, NotAsStored for what is read back otherwise."""
    for one in heads:
        if to.size(one.digest) == one.size:
            continue
        try:
            content = get(one.digest)
        except NotAsStored:
            continue
        if room and shutil.disk_usage(to.folder.parent).free < one.size + AMPLE_BYTES:
            raise OSError(errno.ENOSPC, "the disk is too full for the files that came")
        to.put(content)

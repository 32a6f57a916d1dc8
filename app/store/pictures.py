"""Pictures of entries: kept, looked up by who has one, and gone for good when they are removed.

What is deleted from a store on SQLite is overwritten there (`secure_delete` in engines.py), and its log is emptied when the
server stops; PostgreSQL clears it away by itself in time. A backup from before still holds it.
"""

import hashlib
from collections.abc import Mapping

from sqlmodel import Session, select

from app.rules.values.image_bytes import Kind, Picture
from app.store.devices import delete_setting, get_setting, put_setting
from app.store.gateway import needed, put
from app.store.tables.main import EntryRow
from app.store.tables.pictures import EntryPictureRow

PUBLISHED = "pictures-published"  # the name under which the store keeps that pictures go out with the results


def put_picture(session: Session, entry: str, picture: Picture) -> None:
    """Gives an entry a picture, in place of the one it had. Raises NotThere for an unknown entry."""
    needed(session, EntryRow, entry, "entry")
    digest = hashlib.sha256(picture.data).hexdigest()
    put(session, EntryPictureRow(entry_id=entry, digest=digest, kind=picture.kind, content=picture.data))


def remove_picture(session: Session, entry: str) -> None:
    """Removes an entry's picture, if it has one."""
    row = session.get(EntryPictureRow, entry)
    if row is not None:
        session.delete(row)
        session.flush()


def picture(session: Session, entry: str) -> tuple[str, Kind, bytes] | None:
    """The digest, the kind and the bytes of an entry's picture; None without one."""
    row = session.get(EntryPictureRow, entry)
    return None if row is None else (row.digest, "png" if row.kind == "png" else "jpeg", row.content)


def digests(session: Session) -> Mapping[str, str]:
    """Which entries have a picture: its digest (SHA-256, 64 hex digits) by entry."""
    return dict(session.exec(select(EntryPictureRow.entry_id, EntryPictureRow.digest)).all())


def are_published(session: Session) -> bool:
    """Whether the competition says that pictures go out with its results. It does not until somebody says so."""
    return get_setting(session, PUBLISHED) is not None


def let_publish(session: Session, published: bool) -> None:
    """Says whether they do."""
    if published:
        put_setting(session, PUBLISHED, "yes")
    else:
        delete_setting(session, PUBLISHED)

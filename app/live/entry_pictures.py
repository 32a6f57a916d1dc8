"""Which entries have a picture, as screens name it: looked up again once records have changed, by whatever process."""

from collections.abc import Mapping
from urllib.parse import quote
from weakref import WeakKeyDictionary

from app.live.projection import Projection
from app.store.database import Database
from app.store.pictures import digests

SHORT = 12  # hex digits of a digest in an address: enough to tell a new picture from the one before it
_KNOWN: WeakKeyDictionary[Projection, tuple[int, Mapping[str, str]]] = WeakKeyDictionary()


def pictures_of(database: Database, projection: Projection) -> Mapping[str, str]:
    """The address of each entry's picture, by entry; those without one are not in it. The very same while none has changed."""
    number, known = projection.records, _KNOWN.get(projection)
    if known is None or known[0] != number:
        found = {entry: f"/entries/{quote(entry)}/picture?v={digest[:SHORT]}" for entry, digest in database.read(digests).items()}
        known = _KNOWN[projection] = number, known[1] if known is not None and known[1] == found else found
    return known[1]
